#include <cstdio>
#include <map>

#include "bench/world_report.h"

namespace tapersight::testing {
namespace {

const WorldTrials* world_called(const WorldRun& run, const std::string& name) {
  for (const WorldTrials& world : run.worlds)
    if (world.world == name) return &world;
  return nullptr;
}

std::string told(const WorldTrial& trial) {
  const WorldOutcome& m = trial.plain;
  if (!m.measured()) return m.refused;
  char text[80];
  const char* good = trial.good ? "" : ", must be refused";
  std::snprintf(text, sizeof text, "measured, off by %.3f (u %.3f)%s",
                kThouPerTaper * (trial.good ? m.taper - trial.taper : 0), kThouPerTaper * m.u, good);
  return text;
}

std::string figures(const char* what, double a, double b, int decimals) {
  char text[120];
  std::snprintf(text, sizeof text, "    %-34s %10.*f %10.*f\n", what, decimals, a, decimals, b);
  return text;
}

std::string rows(const WorldRow& a, const WorldRow& b) {
  std::string text = figures("good ones refused", a.good_refused, b.good_refused, 0);
  const auto size = [](const auto& list) { return static_cast<double>(list.size()); };
  text += figures("must-refuse ones measured", size(a.wrongly_passed), size(b.wrongly_passed), 0);
  text += figures("silent wrong", size(a.silent), size(b.silent), 0);
  text += figures("silent wrong, bars typed", size(a.silent_typed), size(b.silent_typed), 0);
  text += figures("exceptions", size(a.threw), size(b.threw), 0);
  for (const auto& [name, rows_a, rows_b] :
       {std::tuple{"plain", &a.plain, &b.plain}, {"bars", &a.typed, &b.typed}}) {
    const std::string label = std::string(", ") + name;
    text += figures(("median, thou" + label).c_str(), rows_a->all.median_thou, rows_b->all.median_thou, 3);
    text += figures(("worst, thou" + label).c_str(), rows_a->all.worst_thou, rows_b->all.worst_thou, 3);
    text += figures(("inside 95 %" + label).c_str(), 100 * rows_a->all.covered, 100 * rows_b->all.covered, 1);
  }
  text += figures("half a turn, worst, thou", a.turned.worst_thou, b.turned.worst_thou, 3);
  text += figures("measured only one way up", a.turned.only_one, b.turned.only_one, 0);
  return text;
}

std::string compare_world(const WorldTrials& a, const WorldTrials& b) {
  std::map<std::string, const WorldTrial*> of_b;
  for (const WorldTrial& trial : b.trials) of_b[trial.name] = &trial;
  std::vector<WorldTrial> both_a, both_b;
  std::string changed;
  for (const WorldTrial& trial : a.trials) {
    const auto other = of_b.find(trial.name);
    if (other == of_b.end()) continue;
    both_a.push_back(trial);
    both_b.push_back(*other->second);
    if (trial.plain.measured() == other->second->plain.measured()) continue;
    changed +=
        "    " + trial.name + "\n        A: " + told(trial) + "\n        B: " + told(*other->second) + "\n";
  }
  std::string text = a.world + ": " + std::to_string(both_a.size()) + " pictures in both, " +
                     std::to_string(a.trials.size() - both_a.size()) + " only in A, " +
                     std::to_string(b.trials.size() - both_b.size()) + " only in B\n";
  if (both_a.empty()) return text + "    (other seeds or another count: nothing to compare)\n";
  text += changed.empty() ? "    the same pictures are measured\n" : changed;
  char head[80];
  std::snprintf(head, sizeof head, "    %-34s %10s %10s\n", "of the pictures in both", "A", "B");
  return text + head + rows(judge(both_a), judge(both_b));
}

}  // namespace

std::string world_comparison(const WorldRun& a, const WorldRun& b) {
  std::string text;
  for (const WorldTrials& world : a.worlds) {
    const WorldTrials* other = world_called(b, world.world);
    text += other != nullptr ? compare_world(world, *other) : world.world + ": only in A\n";
  }
  for (const WorldTrials& world : b.worlds)
    if (world_called(a, world.world) == nullptr) text += world.world + ": only in B\n";
  return text;
}

}  // namespace tapersight::testing
