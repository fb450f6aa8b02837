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

// What the present measurement stood on: it decides what would make it sharper. All u in rad, of the error.
struct PresentMeasurement {
  std::optional<double> strip_length_mm;  // > 0
  int strips = 1;                         // cut anew and averaged
  MeasuredFrom from = MeasuredFrom::kPicture;
  double u_own = 0;  // of one strip: all that the next strip gets anew, the cutting included
  double dof_own = kInfiniteDof;
  double u_length = 0;        // the part of u_own that a longer strip makes smaller,
  double length_power = 1.5;  //   as (strip length)^-this: 1.5 of roughness that is short, of a picture
  double u_shared = 0;        // what every further strip would have as well
  std::string shared = {};    // the largest part of u_shared in shop words; may be empty
};

inline constexpr int kMostStrips = 20;         // more than anyone will cut for one answer
inline constexpr double kPlannedChance = 0.9;  // that what is advised settles it

// What would settle an open decision. Asked is how often it would, since another strip shows another error:
// the mean's place after m more strips is predicted from what is known now (the fence's error as found, with
// its uncertainty; Gelman and others, Bayesian Data Analysis, 2.5, from memory: under a flat prior the mean
// moves by the difference of the variances before and after). Sawn wood's roughness is the limit of a
// picture, so u_length goes with the power that its spectrum shows; that of two caliper readings with
// 1 / length.
struct WhatWouldSettle {
  bool can_be_settled = false;  // by one of the next two, with kPlannedChance
  double needed_U = 0;          // rad, the largest expanded uncertainty that decides if the error stays
  int more_strips = 0;  // of the present length, cut anew and averaged with those at hand; 0: too many
  std::optional<double> strip_length_mm;  // one more strip of this length or longer
  double chance = 0;                      // with more_strips; or with kMostStrips, where that is not enough
  std::string stays;                      // where more strips do not help: what they share
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

// What would settle an open decision and how likely, as words that begin small, without a full stop;
// empty when nothing reasonable would.
std::string settling_words(const SquarenessDecision& decision, double longest_strip_mm, Units units,
                           MeasuredFrom from);

// The decision in shop words; when it is open, with what would settle it. A strip longer than
// `longest_strip_mm` (what the printed sheet takes) is not advised. Of a ring it says "true" for "square".
std::vector<std::string> describe_decision(const SquarenessDecision& decision, const Tolerance& tolerance,
                                           double longest_strip_mm, Units units,
                                           MeasuredFrom from = MeasuredFrom::kPicture);

}  // namespace tapersight
