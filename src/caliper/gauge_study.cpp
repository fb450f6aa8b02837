#include "caliper/gauge_study.h"

#include <algorithm>
#include <cmath>

#include "numeric/descriptive.h"
#include "numeric/outliers.h"

namespace tapersight {
namespace {

// Readings by place and person: cell (i, j) = cells[i * people + j].
struct Cells {
  std::size_t places = 0, people = 0, repeats = 0;
  std::vector<std::vector<double>> values;

  const std::vector<double>& at(std::size_t place, std::size_t person) const {
    return values[place * people + person];
  }
};

std::size_t index_of(std::vector<std::string>& names, const std::string& name) {
  const auto found = std::find(names.begin(), names.end(), name);
  if (found != names.end()) return static_cast<std::size_t>(found - names.begin());
  names.push_back(name);
  return names.size() - 1;
}

Result<Cells> crossed(const std::vector<StudyReading>& readings, GaugeStudy& study) {
  for (const StudyReading& reading : readings) {
    index_of(study.places, reading.place);
    index_of(study.people, reading.person);
  }
  Cells cells;
  cells.places = study.places.size();
  cells.people = study.people.size();
  cells.values.resize(cells.places * cells.people);
  for (const StudyReading& reading : readings)
    cells
        .values[index_of(study.places, reading.place) * cells.people + index_of(study.people, reading.person)]
        .push_back(reading.value_mm);
  for (const auto& cell : cells.values) cells.repeats = std::max(cells.repeats, cell.size());
  if (cells.places < 2 || cells.repeats < 2)
    return Failure{"study-too-small", "A gauge study needs at least two places and two readings at each.",
                   "Measure three or more places, each at least twice, by the same people."};
  for (std::size_t i = 0; i < cells.places; ++i)
    for (std::size_t j = 0; j < cells.people; ++j)
      if (cells.at(i, j).size() != cells.repeats)
        return Failure{"study-not-crossed",
                       study.people[j] + " has " + std::to_string(cells.at(i, j).size()) +
                           " readings at place " + study.places[i] + " where others have " +
                           std::to_string(cells.repeats) + ".",
                       "Let everybody measure every place equally often."};
  study.repeats = cells.repeats;
  return cells;
}

std::vector<double> joined(const Cells& cells, std::size_t from_place, std::size_t to_place,
                           std::size_t from_person, std::size_t to_person) {
  std::vector<double> all;
  for (std::size_t i = from_place; i < to_place; ++i)
    for (std::size_t j = from_person; j < to_person; ++j)
      all.insert(all.end(), cells.at(i, j).begin(), cells.at(i, j).end());
  return all;
}

AnovaRow row(double sum_of_squares_mm2, double dof) {
  return {std::max(0.0, sum_of_squares_mm2), dof, dof > 0 ? std::max(0.0, sum_of_squares_mm2) / dof : 0, 0,
          1};
}

void test_against(const AnovaRow& error, AnovaRow& effect) {
  if (!(effect.dof > 0) || !(error.dof > 0) || !(error.mean_square > 0)) return;
  effect.f = effect.mean_square / error.mean_square;
  effect.p = f_upper_p(effect.f, effect.dof, error.dof);
}

void analyse_variance(const Cells& cells, GaugeStudy& study) {
  const auto a = static_cast<double>(cells.places);
  const auto b = static_cast<double>(cells.people);
  const auto n = static_cast<double>(cells.repeats);
  std::vector<double> place_means, person_means, cell_means;
  for (std::size_t i = 0; i < cells.places; ++i)
    place_means.push_back(mean(joined(cells, i, i + 1, 0, cells.people)));
  for (std::size_t j = 0; j < cells.people; ++j)
    person_means.push_back(mean(joined(cells, 0, cells.places, j, j + 1)));
  double within = 0;
  for (const auto& cell : cells.values) {
    within += sum_of_squares(cell);
    cell_means.push_back(mean(cell));
  }
  const double places = b * n * sum_of_squares(place_means);
  const double people = a * n * sum_of_squares(person_means);
  study.place = row(places, a - 1);
  study.person = row(people, b - 1);
  study.interaction = row(n * sum_of_squares(cell_means) - places - people, (a - 1) * (b - 1));
  study.repeatability = row(within, a * b * (n - 1));
  study.total = row(sum_of_squares(joined(cells, 0, cells.places, 0, cells.people)), a * b * n - 1);
  const AnovaRow& error = study.interaction.dof > 0 ? study.interaction : study.repeatability;
  test_against(study.repeatability, study.interaction);
  test_against(error, study.place);
  test_against(error, study.person);
}

void find_components(const Cells& cells, double pool_above_p, GaugeStudy& study) {
  const auto a = static_cast<double>(cells.places);
  const auto b = static_cast<double>(cells.people);
  const auto n = static_cast<double>(cells.repeats);
  study.interaction_pooled = study.interaction.dof > 0 && study.interaction.p > pool_above_p;
  AnovaRow error = study.repeatability;
  if (study.interaction_pooled)
    error = row(error.sum_of_squares + study.interaction.sum_of_squares, error.dof + study.interaction.dof);
  const bool keeps_interaction = study.interaction.dof > 0 && !study.interaction_pooled;
  const double under_effects = keeps_interaction ? study.interaction.mean_square : error.mean_square;
  study.repeatability_dof = error.dof;
  study.var_repeatability = error.mean_square;
  if (keeps_interaction) study.var_interaction = std::max(0.0, (under_effects - error.mean_square) / n);
  if (study.person.dof > 0)
    study.var_person = std::max(0.0, (study.person.mean_square - under_effects) / (a * n));
  study.var_place = std::max(0.0, (study.place.mean_square - under_effects) / (b * n));
  study.s_repeatability_mm = std::sqrt(study.var_repeatability);
  study.s_reproducibility_mm = std::sqrt(study.var_repeatability + study.var_person + study.var_interaction);
  study.repeatability_interval_mm = deviation_interval(study.s_repeatability_mm, error.dof, 0.95);
}

void find_suspects(const Cells& cells, const GaugeStudyOptions& options, GaugeStudy& study) {
  OutlierOptions test;
  test.level = options.suspect_level;
  test.floor_sd = options.floor_sd_mm;
  const OutlierResult found = find_outliers(cells.values, test);
  for (std::size_t i = 0; i < found.outliers; ++i) {
    const OutlierStep& step = found.steps[i];
    std::vector<double> others = cells.values[step.group];
    StudySuspect suspect{study.places[step.group / cells.people], study.people[step.group % cells.people],
                         step.index + 1, others[step.index], 0};
    others.erase(others.begin() + static_cast<std::ptrdiff_t>(step.index));
    suspect.others_mm = median(others);
    study.suspects.push_back(suspect);
  }
}

}  // namespace

Result<GaugeStudy> gauge_study(const std::vector<StudyReading>& readings, const GaugeStudyOptions& options) {
  GaugeStudy study;
  const auto cells = crossed(readings, study);
  if (!cells) return cells.failure();
  analyse_variance(*cells, study);
  find_components(*cells, options.pool_above_p, study);
  find_suspects(*cells, options, study);
  return study;
}

}  // namespace tapersight
