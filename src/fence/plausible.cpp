#include "fence/plausible.h"

#include <cmath>

#include "base/text.h"

namespace tapersight {
namespace {

std::string in_both(double mm) {
  return plain_length_text(mm, Units::kInch) + " (" + length_text(mm, Units::kMillimetre, 3, 2) + ")";
}

// The same number in the other unit: what a person meant who forgot that the units are set otherwise.
double other_reading_mm(const TypedLength& typed) {
  const auto as_in = parse_length(typed.text, Units::kInch);
  const auto as_mm = parse_length(typed.text, Units::kMillimetre);
  const bool bare = as_in && as_mm && *as_in != *as_mm;
  if (bare) return typed.units == Units::kInch ? *as_mm : *as_in;
  // The unit was written: the one that makes it smaller when it is too large, and the other way round.
  return typed.mm > kWidestStrip_mm ? typed.mm / kMmPerInch : typed.mm * kMmPerInch;
}

struct Range {
  double low_mm, high_mm;
  bool holds(double mm) const { return mm >= low_mm && mm <= high_mm; }
};

std::optional<Failure> doubt(const TypedLength& typed, const Range& usual, const char* code,
                             const std::string& thing) {
  if (usual.holds(typed.mm)) return std::nullopt;
  Failure failure;
  failure.code = code;
  failure.text = "\"" + typed.text + "\" for " + typed.what + " is read as " + in_both(typed.mm) + ". " +
                 thing + (typed.mm < usual.low_mm ? " that small." : " that large.");
  const double other_mm = other_reading_mm(typed);
  if (usual.holds(other_mm)) failure.text += " Did you mean " + in_both(other_mm) + "?";
  failure.remedy =
      "Write the unit with the number, like .571in or 14.5mm. If it is right as it stands, add --even-so.";
  return failure;
}

}  // namespace

std::optional<Failure> doubt_width(const TypedLength& width) {
  return doubt(width, {kNarrowestStrip_mm, kWidestStrip_mm}, "width-doubtful", "No test strip is");
}

std::optional<Failure> doubt_pivot_distance(const TypedLength& distance) {
  return doubt(distance, {kNearestPivot_mm, kFarthestPivot_mm}, "pivot-distance-doubtful",
               "No sled's fence is");
}

std::optional<Failure> doubt_error(const FenceError& error) {
  if (std::fabs(error.theta) <= kLargestError) return std::nullopt;
  return Failure{"error-doubtful",
                 "The fence would be " + fixed(std::fabs(error.theta) * kDegreesPerRadian, 1) +
                     " degrees out of square. You would see that with a try square.",
                 "Check the widths, their units and the number of turns. If it is right, add --even-so."};
}

std::optional<Failure> doubt_move(const FenceMove& move, Units units) {
  if (move.move_mm <= kLongestSlot_mm) return std::nullopt;
  return Failure{
      "move-doubtful",
      "The fence would have to move " + length_text(move.move_mm, units) + ". No screw's slot is that long.",
      "Check the lengths and their units. If it is right, add --even-so."};
}

}  // namespace tapersight
