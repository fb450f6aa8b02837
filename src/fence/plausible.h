// Slips of a unit or of a decimal point, caught before a fence is moved by them.
#pragma once
#include <optional>
#include <string>
#include <string_view>

#include "base/result.h"
#include "base/units.h"
#include "fence/fence_error.h"

namespace tapersight {

// What a shop has; common practice, no published source. Beyond it a number is asked about, not believed: the
// person may say --even-so.
inline constexpr double kNarrowestStrip_mm = kMmPerInch / 8, kWidestStrip_mm = 4 * kMmPerInch;
inline constexpr double kNearestPivot_mm = 4 * kMmPerInch, kFarthestPivot_mm = 12 * kMmPerFoot;
inline constexpr double kLongestSlot_mm = kMmPerInch / 2;       // the slot of a fence's screw
inline constexpr double kLargestError = 1 / kDegreesPerRadian;  // rad; a fence set by eye is nearer

// A length as it was typed and as it was read.
struct TypedLength {
  std::string what;  // "--fence-end", "the pivot distance"
  std::string text;  // as typed
  double mm = 0;
  Units units = Units::kInch;  // what a bare number meant
};

// Failures "width-doubtful" and "pivot-distance-doubtful", with the other reading of the number.
std::optional<Failure> doubt_width(const TypedLength& width);
std::optional<Failure> doubt_pivot_distance(const TypedLength& distance);

// Failure "error-doubtful".
std::optional<Failure> doubt_error(const FenceError& error);
// Failure "move-doubtful".
std::optional<Failure> doubt_move(const FenceMove& move, Units units);

}  // namespace tapersight
