#include "fence/sled_setup.h"

#include <cmath>

#include "base/text.h"

namespace tapersight {
namespace {

constexpr double kLongestSled_mm = 100'000;

bool is_length(double mm) {
  return mm > 0 && mm <= kLongestSled_mm;  // false for NaN
}

}  // namespace

std::optional<Failure> validate(const SledSetup& setup) {
  if (setup.turns < 1 || setup.turns > 100)
    return Failure{"bad-turns", "The number of turns between the strip's two cuts must be 1 to 100.",
                   "Count the turns: the usual test of five cuts has 4."};
  if (setup.pivot_distance_mm && !is_length(*setup.pivot_distance_mm))
    return Failure{"bad-pivot-distance", "The distance from the pivot must be above zero.",
                   "Measure from the pivot screw's centre to where the fence is adjusted."};
  if (!(setup.pivot_distance_u_mm >= 0) || !std::isfinite(setup.pivot_distance_u_mm))
    return Failure{"bad-pivot-distance", "The uncertainty of the pivot distance must not be negative.",
                   "Give how far off the measured pivot distance may be, as a length."};
  if (!is_length(setup.cut_length_mm))
    return Failure{"bad-cut-length", "The length of the cut must be above zero.",
                   "Give the longest cut that the sled is used for."};
  return std::nullopt;
}

int taper_sign(const SledSetup& setup) {
  const bool near = setup.fence == FenceSide::kNear;
  const bool falls_right = setup.strip_falls == Side::kRight;
  return near == falls_right ? 1 : -1;
}

Result<FenceSide> parse_fence_side(std::string_view text) {
  const std::string word = lower_case(trimmed(text));
  if (word == "near") return FenceSide::kNear;
  if (word == "far") return FenceSide::kFar;
  return Failure{"bad-fence-side", "\"" + std::string(text) + "\" does not say where the fence stands.",
                 "Write near (on your side of the board) or far."};
}

Result<Side> parse_side(std::string_view text) {
  const std::string word = lower_case(trimmed(text));
  if (word == "left") return Side::kLeft;
  if (word == "right") return Side::kRight;
  return Failure{"bad-side", "\"" + std::string(text) + "\" is not a side.", "Write left or right."};
}

std::string_view fence_side_name(FenceSide side) {
  return side == FenceSide::kNear ? "near" : "far";
}

std::string_view side_name(Side side) {
  return side == Side::kLeft ? "left" : "right";
}

Side opposite(Side side) {
  return side == Side::kLeft ? Side::kRight : Side::kLeft;
}

}  // namespace tapersight
