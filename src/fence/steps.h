// What to do next in the shop, in order: moving the fence, and cutting a test strip worth measuring.
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "base/units.h"
#include "fence/adjusters.h"
#include "fence/fence_error.h"
#include "fence/tolerance.h"

namespace tapersight {

struct StepsInput {
  SledSetup setup;
  FenceError error;
  FenceMove move;
  AdjustBy by = AdjustBy::kFeelers;
  std::vector<std::string>
      by_lines;                    // describe_feelers, describe_screw, describe_shims or describe_indicator
  std::optional<Verdict> verdict;  // of the tolerance, when one was given
  std::string see_to_first;        // what has to be found out before moving again; may be empty
  bool can_be_made = true;         // false: the move is finer than what is at hand makes
  bool bowed = false;              // one angle does not describe the cut: nothing is moved
  bool ring = false;               // a ring's closing gap was measured, not a test strip
  Units units = Units::kInch;
};

// The procedure, one step a string, not numbered; the cautions stand in it where they are needed. When the
// fence is square within the tolerance, or the direction of the move is not known, it says to leave the fence
// alone instead.
std::vector<std::string> adjustment_steps(const StepsInput& input);

// Whether the procedure moves the fence, rather than leaving it alone.
bool is_to_be_moved(const StepsInput& input);

// "1. ...", "2. ...": numbered for print.
std::vector<std::string> numbered(const std::vector<std::string>& steps);

// How a sawn edge departs from its straight line.
struct EdgeSurface {
  double roughness_mm = 0.015;  // rms
  double correlation_mm = 1;    // correlation length
};
inline constexpr EdgeSurface kCleanCut{0.015, 1};
inline constexpr EdgeSurface kRoughCut{0.030, 2};

// The smallest fence error (rad) that a strip of this length can tell from none: its expanded uncertainty, k
// = 2, from the roughness of both edges. With n = length / (2 correlation) independent places an edge's
// direction is known to roughness * sqrt(12 / n) / length; the error is the two directions' difference
// divided by the turns.
double resolvable_error(double strip_length_mm, const EdgeSurface& surface, int turns);

// How to cut a good test strip with this sled, with the table of what a strip of each length can resolve.
std::vector<std::string> guide(const SledSetup& setup, Units units);

}  // namespace tapersight
