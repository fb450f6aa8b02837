// The move as the chosen adjuster makes it: one stack, so many turns, so many shims, or a dial's reading.
#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "fence/adjusters.h"
#include "fence/feelers.h"
#include "fence/fence_error.h"

namespace tapersight {

// What is at hand for moving a fence.
struct AdjustMeans {
  AdjustBy by = AdjustBy::kFeelers;
  std::optional<FeelerSet> feelers;    // unset: the common set of the units in force
  ScrewThread thread;                  // only for kScrew
  std::vector<ShimKind> shims;         // empty: common_shims()
  std::optional<Indicator> indicator;  // unset: the common one of the units in force
};

struct ScrewPlan {
  ScrewThread thread;
  ScrewTurns turns;
};
struct IndicatorPlan {
  Indicator indicator;
  IndicatorReading reading;
};
struct StackPlan {
  std::string set;  // its name
  FeelerPlan plan;
};

struct Adjustment {
  std::variant<StackPlan, ScrewPlan, ShimPlan, IndicatorPlan> plan;

  AdjustBy by() const { return static_cast<AdjustBy>(plan.index()); }  // the same order
  // What will be moved, mm: the stack's own thickness, the dial's whole divisions, the screw's whole degrees.
  double made_mm() const;
};

// Failures: those of plan_feelers, screw_turns, plan_shims, indicator_reading.
Result<Adjustment> plan_adjustment(const FenceMove& move, const AdjustMeans& means, Units units);

// In shop words: describe_feelers, describe_screw, ...
std::vector<std::string> describe_adjustment(const Adjustment& adjustment, Units units);

// What is typed or stands in a config file; each element of a list may carry its own unit, `bare_number` is
// the unit of one that carries none. Elements are parted by commas, or by semicolons where there is one.

// A standard set's name, or the leaves: ".0015, .002, 0.05mm". Failures: empty-feeler-set,
// unknown-feeler-set, bad-leaf, those of parse_length.
Result<FeelerSet> parse_feelers(std::string_view text, Units bare_number);
// Blocks or drill shanks: "1/8in, 6mm". Failures: bad-leaf, those of parse_length.
Result<std::vector<double>> parse_spacers(std::string_view text, Units bare_number);
// "printer paper, ticket = 0.24mm": a common kind's name, or a kind with its thickness.
// Failures: no-shims, bad-shim, those of parse_length.
Result<std::vector<ShimKind>> parse_shims(std::string_view text, Units bare_number);
// One division / one revolution of the hand: "0.5thou/0.1in". Failure: bad-indicator.
Result<Indicator> parse_indicator(std::string_view text, Units bare_number);

}  // namespace tapersight
