// Other ways to make a measured move: a fine-adjust screw, shims, a dial indicator.
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "base/units.h"

namespace tapersight {

enum class AdjustBy { kFeelers, kScrew, kShims, kIndicator };
// "feelers", "screw", "shims", "indicator". Failure: bad-adjuster.
Result<AdjustBy> parse_adjust_by(std::string_view text);
std::string_view adjust_by_name(AdjustBy by);

// --- a screw that pushes the fence
// ----------------------------------------------------------------------------
struct ScrewThread {
  double pitch_mm = 0;  // travel of one full turn, > 0
  std::string text;     // as it was typed
};
// "20tpi", "1/4-20" (threads per inch behind the dash), "M6" (ISO 261 coarse pitch), "M6x1", or the pitch
// itself with its unit, "1.25mm". Failure: bad-thread (also when the pitch is not 0.1 to 10 mm).
Result<ScrewThread> parse_thread(std::string_view text);

struct ScrewTurns {
  double turns = 0;    // >= 0, exact
  double U_turns = 0;  // expanded, from the move's
  int whole_turns = 0;
  int degrees = 0;  // of the last, partial turn, 0..359, to the nearest degree
};
// Failure: bad-move (negative or not finite).
Result<ScrewTurns> screw_turns(double move_mm, double U_mm, const ScrewThread& thread);
std::vector<std::string> describe_screw(const ScrewTurns& turns, const ScrewThread& thread);

// --- shims: sheets of one kind may be used several times
// ------------------------------------------------------------
struct ShimKind {
  std::string name;  // "printer paper"
  double thickness_mm = 0;
};
// Common practice, no published source: measure your own.
const std::vector<ShimKind>& common_shims();

struct ShimLayer {
  ShimKind kind;
  int sheets = 0;
};
struct ShimPlan {
  double wanted_mm = 0;
  double total_mm = 0;
  double error_mm = 0;  // total - wanted
  bool within_closeness = false;
  std::vector<ShimLayer> layers;  // thickest kind first; empty when nothing comes nearer than no shim
};
struct ShimOptions {
  double closeness_mm = 0.025;  // paper is not truer than this, >= 0
  int max_sheets = 8;           // 1..12
};
// Fewest sheets within the closeness, then least error; when none is within it, the least error.
// Failures: no-shims, bad-shim, bad-move.
Result<ShimPlan> plan_shims(double move_mm, const std::vector<ShimKind>& kinds,
                            const ShimOptions& options = {});
std::vector<std::string> describe_shims(const ShimPlan& plan, Units units);

// --- a dial indicator at the adjusting place
// ---------------------------------------------------------------------
struct Indicator {
  double graduation_mm = 0;  // one division of the dial, at least 0.0001 mm
  double revolution_mm = 0;  // one revolution of the hand, > graduation
};
Indicator common_indicator(Units units);  // 0.5 thou and 0.1 in, or 0.01 mm and 1 mm; common practice

struct IndicatorReading {
  double reading_mm = 0;  // the move, rounded to a whole division
  double error_mm = 0;    // reading - move
  int revolutions = 0;    // whole ones of the hand
  int divisions = 0;      // further ones
};
// Failures: bad-move, bad-indicator.
Result<IndicatorReading> indicator_reading(double move_mm, const Indicator& indicator);
std::vector<std::string> describe_indicator(const IndicatorReading& reading, const Indicator& indicator,
                                            Units units);

}  // namespace tapersight
