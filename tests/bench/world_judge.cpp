#include "bench/world_judge.h"

#include <algorithm>
#include <cmath>

#include "numeric/student_t.h"

namespace tapersight::testing {
namespace {

constexpr double kSilentUs = 3;
constexpr double kSilentThou = 1;

double median(std::vector<double> values) {
  if (values.empty()) return 0;
  std::sort(values.begin(), values.end());
  const std::size_t half = values.size() / 2;
  return values.size() % 2 == 1 ? values[half] : (values[half - 1] + values[half]) / 2;
}

double largest(const std::vector<double>& values) {
  return values.empty() ? 0 : *std::max_element(values.begin(), values.end());
}

using Outcome = WorldOutcome WorldTrial::*;
using Truth = double WorldTrial::*;

template <typename Which>
ErrorFigures figures_of(const std::vector<WorldTrial>& trials, Outcome outcome, const Which& counts,
                        Truth truth = &WorldTrial::taper) {
  std::vector<double> errors;
  int covered = 0;
  for (const WorldTrial& trial : trials) {
    const WorldOutcome& m = trial.*outcome;
    if (!trial.good || !m.measured() || !counts(trial)) continue;
    const double error = std::abs(m.taper - trial.*truth);
    errors.push_back(error * kThouPerTaper);
    covered += error <= t_factor(0.95, m.dof) * m.u;
  }
  ErrorFigures figures;
  figures.measured = static_cast<int>(errors.size());
  figures.median_thou = median(errors);
  figures.worst_thou = largest(errors);
  if (!errors.empty()) figures.covered = covered / static_cast<double>(errors.size());
  return figures;
}

ErrorRows rows_of(const std::vector<WorldTrial>& trials, Outcome outcome) {
  ErrorRows rows;
  rows.all = figures_of(trials, outcome, [](const WorldTrial&) { return true; });
  rows.smooth = figures_of(trials, outcome, [](const WorldTrial& t) { return !t.rough; });
  rows.rough = figures_of(trials, outcome, [](const WorldTrial& t) { return t.rough; });
  rows.faint = figures_of(trials, outcome,
                          [](const WorldTrial& t) { return t.contrast && *t.contrast < kFaintContrast; });
  rows.drawn = figures_of(
      trials, outcome, [](const WorldTrial&) { return true; }, &WorldTrial::taper_as_drawn);
  return rows;
}

TurnFigures turn_figures(const std::vector<WorldTrial>& trials) {
  TurnFigures figures;
  std::vector<double> thou, us;
  for (const WorldTrial& trial : trials) {
    if (!trial.good) continue;
    const bool one = trial.plain.measured();
    const bool other = trial.turned.measured();
    figures.only_one += one != other;
    if (!one || !other) continue;
    const double difference = std::abs(trial.plain.taper - trial.turned.taper);
    thou.push_back(difference * kThouPerTaper);
    us.push_back(difference / trial.plain.u);
  }
  figures.both = static_cast<int>(thou.size());
  figures.median_thou = median(thou);
  figures.worst_thou = largest(thou);
  figures.median_u = median(us);
  figures.worst_u = largest(us);
  return figures;
}

bool threw(const WorldTrial& trial) {
  for (const WorldOutcome* outcome : {&trial.plain, &trial.typed, &trial.turned})
    if (outcome->refused == "exception") return true;
  return false;
}

}  // namespace

bool speaks_of_taper(const std::string& warning) {
  return warning != "thickness-unknown" && warning != "dpi-disagrees";
}

bool silently_wrong(const WorldOutcome& outcome, double true_taper) {
  if (!outcome.measured()) return false;
  const double error = std::abs(outcome.taper - true_taper);
  return error > kSilentUs * outcome.u && error * kThouPerTaper > kSilentThou &&
         std::none_of(outcome.warnings.begin(), outcome.warnings.end(), speaks_of_taper);
}

WorldRow judge(const std::vector<WorldTrial>& trials) {
  WorldRow row;
  for (const WorldTrial& trial : trials) {
    if (threw(trial)) row.threw.push_back(trial.name);
    if (!trial.good) {
      ++row.must_refuse;
      if (trial.plain.measured()) row.wrongly_passed.push_back(trial.name + " (" + trial.refusal + ")");
      continue;
    }
    ++row.good;
    if (!trial.plain.measured()) {
      ++row.good_refused;
      ++row.codes[trial.plain.refused];
    }
    if (silently_wrong(trial.plain, trial.taper)) row.silent.push_back(trial.name);
    if (silently_wrong(trial.typed, trial.taper)) row.silent_typed.push_back(trial.name);
  }
  row.plain = rows_of(trials, &WorldTrial::plain);
  row.typed = rows_of(trials, &WorldTrial::typed);
  row.turned = turn_figures(trials);
  return row;
}

}  // namespace tapersight::testing
