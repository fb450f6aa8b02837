// Is the fence square enough? Decided by guard bands, so that "square" is never said of an interval that
// reaches out.
#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "base/units.h"
#include "fence/fence_error.h"

namespace tapersight {

// A permitted fence error to either side of square.
struct Tolerance {
  double angle = 0;    // rad, > 0
  std::string text;    // as it was typed
  bool usual = false;  // nobody gave one: usual_tolerance
};

// 2 thou over 12 in, or 0.05 mm over 300 mm, the same angle: common practice, no published source. It stands
// in where nobody gave one.
Tolerance usual_tolerance(Units units);

// "2thou/12in", "2 thou per 12 in", "0.1mm/m", "0.05mm/300mm", "1/64in/24in", "0.01deg". Both lengths carry
// their unit; a unit alone below the bar means one of it. Failure: bad-tolerance (also when zero, negative or
// above kMaxTaper).
Result<Tolerance> parse_tolerance(std::string_view text);

enum class Verdict { kSquare, kNotSquare, kCannotBeTold };
std::string_view verdict_name(Verdict verdict);  // "square", "not square", "cannot be told"

enum class MeasuredFrom { kPicture, kCaliper, kRing };

// What the present measurement stood on: it decides what would make it sharper.
struct PresentMeasurement {
  std::optional<double> strip_length_mm;  // > 0
  int strips = 1;                         // cut anew and averaged
  MeasuredFrom from = MeasuredFrom::kPicture;
};

inline constexpr int kManyStrips = 1'000'000;  // stands for this many and more

// What would settle an open decision, should the error stay where it was found. Sawn wood's roughness is the
// limit of a picture, so its u goes with (strip length)^-1.5; that of two caliper readings with 1 / length;
// either with 1 / sqrt(strips). Pictures of one strip share its roughness.
struct WhatWouldSettle {
  bool can_be_settled = false;            // false when the error lies on the tolerance itself
  double needed_U = 0;                    // rad, the largest expanded uncertainty that decides
  std::optional<double> strip_length_mm;  // of one strip; unset when the present length is not known
  int strips = 0;                         // of the present length, averaged
};

struct SquarenessDecision {
  Verdict verdict = Verdict::kCannotBeTold;
  double tolerance = 0;                    // rad
  std::optional<WhatWouldSettle> settled;  // set when the verdict is kCannotBeTold
};

// ISO 14253-1: square when |theta| + U <= tolerance, not square when |theta| - U > tolerance, otherwise open.
SquarenessDecision decide(const FenceError& error, const Tolerance& tolerance,
                          const PresentMeasurement& present = {});

// What the tolerance permits over a cut: "2 thou", "0.05 mm".
std::string allowed_text(const Tolerance& tolerance, double cut_length_mm, Units units);

// What would settle an open decision, as a sentence that begins small; empty when nothing reasonable would.
std::string settling_words(const SquarenessDecision& decision, double longest_strip_mm, Units units,
                           MeasuredFrom from);

// The decision in shop words; when it is open, with what would settle it. A strip longer than
// `longest_strip_mm` (what the printed sheet takes) is not advised. Of a ring it says "true" for "square".
std::vector<std::string> describe_decision(const SquarenessDecision& decision, const Tolerance& tolerance,
                                           double longest_strip_mm, Units units,
                                           MeasuredFrom from = MeasuredFrom::kPicture);

}  // namespace tapersight
