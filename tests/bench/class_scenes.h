// Random scans of several strips with their tags, what a careful person would say of each, and what was said.
#pragma once
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "bench/issue_scenes.h"
#include "pipeline/measure_strips.h"

namespace tapersight::testing {

struct ClassScene {
  ScanScene scene;                          // its strips from left to right
  std::vector<std::optional<int>> benches;  // of each strip; unset where the tags leave it open
  std::vector<int> loose_tags;              // that name no strip
};

// 1..6 strips on the wide sheet, either end towards the bottom, tags within 3 mm of the middle and 10 degrees
// of straight; now and then a tag is missing, turned round, double, at both ends, or alone.
ClassScene class_scene(std::uint64_t seed, Edges edges);

// One of its strips measured alone, the very same pixels with its tag, the others taken away.
Trial run_alone(const ClassScene& scene, std::size_t strip);

struct ClassTrial {
  int strips = 0;      // in the scene
  int attributed = 0;  // measured under the right number, the fence end right
  int reported = 0;    // refused, or left open as it had to be
  int mixed_up = 0;    // measured under a wrong number or with the wrong fence end, or called by a number
                       // that the tags leave open
  int lost = 0;        // neither measured nor reported
  int loose_tags_told = 0;                // of scene.loose_tags
  std::vector<Trial> trials;              // of those attributed
  std::vector<std::size_t> trial_strips;  // which of the scene's strips each of them is
  std::vector<std::string> reasons;
};

ClassTrial run_class_trial(const ClassScene& scene);

}  // namespace tapersight::testing
