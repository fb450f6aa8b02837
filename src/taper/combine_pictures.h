// One taper from several pictures of the same strip.
#pragma once
#include <vector>

#include "base/result.h"
#include "numeric/student_t.h"
#include "taper/measure_strip.h"

namespace tapersight {

struct ShownTaper {
  double taper = 0, u = 0, dof = 0;
  bool reversed = false;  // the strip lay turned end for end: its taper shows with the other sign
  // Parts of u: of this picture alone, and of the scanner. The rest comes from the strip and is in every
  // picture.
  double u_alone = 0, u_instrument = 0;
};

// From the budget's rows.
ShownTaper shown_taper(const StripMeasurement& strip, bool reversed);

struct CombinedTaper {
  double taper = 0, u = 0, dof = 0;
  // What u is made of; the last is zero unless `reversal_doubtful`.
  UncertaintyPart of_pictures, of_instrument, of_strip, of_reversal;
  int pictures = 0, reversed = 0;
  std::vector<ShownTaper> each;  // as they were given
  // sqrt(chi-squared / degrees of freedom) of the pictures around their weighted means, by what is of each
  // picture alone; above 1 it widens that part of u (Birge 1932, Phys. Rev. 40:207). 0 when no two pictures
  // show the strip the same way round.
  double birge = 0;
  bool consistent = true;  // chi-squared by the pictures' whole u is below its 95 % quantile
  // With pictures of both ways round: what the instrument itself adds to a taper.
  bool reversal = false;
  double instrument = 0, u_instrument = 0;
  // The instrument's error is beyond the 95 % interval that the pictures' own u gives it: it may as well be a
  // strip that was not turned, and stands in u whole.
  bool reversal_doubtful = false;
};

// Weighted means of each way round, weights 1/u^2; with both, half their difference is the taper and half
// their sum the instrument's own error (reversal). The reversed pictures' tapers count as the sheet shows
// them. With reversed pictures alone the taper is minus their mean. However many pictures there are, what the
// strip's own edges leave open stays: each shows the same roughness and figure. So does the instrument's part
// but for the reversal, where the two ways round count as two instruments, for the strip may lie elsewhere.
// Failures: "no-pictures"; "pictures-disagree", when by the pictures' whole u no strip has tapers that far
// apart (a chance below 1e-6 by chi-squared): one of them is of another strip; "not-turned", when by the same
// measure the two ways round show no opposite tapers. Each picture's u claims to hold what its instrument
// adds, so an error far beyond it is not the instrument's: the strip was not turned, or there are two.
Result<CombinedTaper> combine_pictures(const std::vector<ShownTaper>& pictures);

}  // namespace tapersight
