// From the strip's taper to the fence's error, and from the error to the move that takes it away.
// All angles small: sin and tan are taken as the angle (a taper of 0.01 is wrong by 3e-5 of itself).
#pragma once
#include <string_view>

#include "base/result.h"
#include "fence/sled_setup.h"
#include "numeric/student_t.h"

namespace tapersight {

inline constexpr double kMaxTaper = 0.1;  // more than this is a slip of the pen, not a fence

// Dimensionless: (width at the fence end - width at the far end) / distance between the two places. The fence
// end is the end of the strip that touched the fence during the last cut.
struct Taper {
  double value = 0;
  double u = 0;  // standard uncertainty
  double dof = kInfiniteDof;
};

// One reading with a caliper on sawn wood, as a standard uncertainty: a thousandth of an inch (common
// practice, no published source).
inline constexpr double kCaliperReadingU_mm = 0.0254;

struct TwoWidths {
  double fence_end_mm = 0;                      // > 0
  double far_end_mm = 0;                        // > 0
  double apart_mm = 0;                          // between the two places, > 0
  double fence_end_u_mm = kCaliperReadingU_mm;  // standard uncertainties, >= 0
  double far_end_u_mm = kCaliperReadingU_mm;    //
  double apart_u_mm = 0;                        //
  double dof = kInfiniteDof;                    // of the two width uncertainties taken together
};

// Failures: bad-width, bad-distance, bad-uncertainty, taper-implausible.
Result<Taper> taper_from_widths(const TwoWidths& widths);

enum class Sense { kNone, kCounterclockwise, kClockwise };
std::string_view sense_name(Sense sense);  // "none", "counterclockwise", "clockwise"

struct FenceError {
  int turns = 4;
  double theta = 0;  // rad, counter-clockwise positive; as well the error in mm per mm of fence
  double u = 0;      // rad, standard uncertainty
  double dof = kInfiniteDof;
  double coverage_factor = 0;  // k for kCoverage
  double U = 0;                // rad, expanded: coverage_factor * u

  Sense sense() const;  // by theta's sign; kNone only when theta is zero
  // Whether the interval theta +/- U lies wholly on one side of zero: otherwise the sense is a guess.
  bool sense_is_known() const;
};

// Failures: those of validate(setup), bad-uncertainty, taper-implausible (|taper| > kMaxTaper).
Result<FenceError> fence_error(const Taper& taper, const SledSetup& setup);

enum class Toward { kNowhere, kOperator, kAwayFromOperator };
std::string_view toward_name(Toward toward);  // "nowhere", "operator", "away from the operator"

// Turning the fence by -theta about its pivot moves the place where it is adjusted by D * theta.
struct FenceMove {
  double move_mm = 0;  // >= 0
  double u_mm = 0;     // standard, with that of the pivot distance
  double dof = kInfiniteDof;
  double coverage_factor = 0;
  double U_mm = 0;          // expanded
  Side end = Side::kRight;  // the end that moves: opposite to the pivot
  Toward toward = Toward::kNowhere;
  bool direction_is_known = false;  // as FenceError::sense_is_known
};

// Failures: those of validate(setup), no-pivot-distance.
Result<FenceMove> correction_move(const FenceError& error, const SledSetup& setup);

}  // namespace tapersight
