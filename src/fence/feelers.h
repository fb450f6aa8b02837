// A stack of feeler leaves (and, for a long move, a spacer or two) that is as thick as the fence has to move.
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "base/units.h"

namespace tapersight {

inline constexpr std::size_t kMostLeaves = 32;
inline constexpr std::size_t kMostSpacers = 32;

// Every leaf and every spacer is one piece and is used at most once; two alike stand in the list twice.
struct FeelerSet {
  std::string name;
  std::vector<double> leaves_mm;   // 1..kMostLeaves, each > 0
  std::vector<double> spacers_mm;  // 0..kMostSpacers, each > 0: blocks or drill shanks
};

// Sets in common use; common practice, no published source. "inch-32", "inch-26", "metric-20", "metric-13".
// Failure: unknown-feeler-set.
Result<FeelerSet> standard_feeler_set(std::string_view name);
const std::vector<std::string>& standard_feeler_set_names();
FeelerSet default_feeler_set(Units units);  // "inch-32" or "metric-20"

struct FeelerOptions {
  double closeness_mm = 0.25 * kMmPerThou;  // how far the stack may be off, >= 0
  int max_leaves = 6;                       // more leaves in one stack spring apart; 1..32
  int alternatives = 3;                     // further stacks to list, 0..20
};

struct FeelerStack {
  std::vector<double> spacers_mm;  // thickest first
  std::vector<double> leaves_mm;   // thickest first
  double total_mm = 0;
  double error_mm = 0;  // total - wanted: what the stack cannot reach, negative when it is thin
};

struct FeelerPlan {
  double wanted_mm = 0;
  double closeness_mm = 0;
  bool within_closeness = false;
  // Fewest spacers, then fewest leaves, then least error among those within the closeness; when there is
  // none, the least error. Empty when the move is nearer to nothing than to the thinnest leaf.
  FeelerStack best;
  std::vector<FeelerStack> alternatives;  // in the same order, no two of the same leaves
};

// Exact: sums are compared as whole nanometres, and every stack is considered (meet in the middle). Spacers
// are used only when `max_leaves` leaves do not reach the move, and then as few as reach it, two at most.
// Failures: empty-feeler-set, too-many-leaves, bad-leaf, bad-move (negative or not finite),
// bad-feeler-options.
Result<FeelerPlan> plan_feelers(double move_mm, const FeelerSet& set, const FeelerOptions& options = {});

// ".010" or "0.25": a leaf as it is stamped, in the units asked for.
std::string leaf_text(double mm, Units units);
// ".035 + .0325 + ... in": the leaves of a stack.
std::string stack_text(const FeelerStack& stack, Units units);
// The plan in shop words: the stack, what it cannot reach, the alternatives.
std::vector<std::string> describe_feelers(const FeelerPlan& plan, Units units);

}  // namespace tapersight
