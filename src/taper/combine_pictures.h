// One taper from several pictures of the same strip.
#pragma once
#include <vector>

#include "base/result.h"

namespace tapersight {

struct ShownTaper {
  double taper = 0, u = 0, dof = 0;
  bool reversed = false;  // the strip lay turned end for end: its taper shows with the other sign
};

struct CombinedTaper {
  double taper = 0, u = 0, dof = 0;
  int pictures = 0, reversed = 0;
  // sqrt(chi-squared / degrees of freedom) of the pictures around their weighted means; above 1 it widens u
  // (Birge 1932, Phys. Rev. 40:207). 0 when no two pictures show the strip the same way round.
  double birge = 0;
  bool consistent = true;  // chi-squared is below its 95 % quantile
  // With pictures of both ways round: what the instrument itself adds to a taper.
  bool reversal = false;
  double instrument = 0, u_instrument = 0;
};

// Weighted means of each way round, weights 1/u^2; with both, half their difference is the taper and half
// their sum the instrument's own error (reversal). The reversed pictures' tapers count as the sheet shows
// them. With reversed pictures alone the taper is minus their mean. Failure "no-pictures".
Result<CombinedTaper> combine_pictures(const std::vector<ShownTaper>& pictures);

}  // namespace tapersight
