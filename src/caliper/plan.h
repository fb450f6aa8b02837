// How many readings, how long a strip: what this caliper needs to decide a tolerance on the fence.
#pragma once
#include <optional>
#include <vector>

#include "base/result.h"

namespace tapersight {

struct PlanRequest {
  double tolerance = 0.002 / 12;  // of the fence's error, length over length (2 thou over 12 in)
  double share = 0.5;     // how much of it the expanded uncertainty may take: a fence better than (1 - share)
                          // of the tolerance can then be proved good, one worse than (1 + share) bad
                          // (guard bands of ISO 14253-1; the share itself is our choice)
  double turns = 4;       // strip's taper over fence error: 4 after five cuts
  double scatter_mm = 0;  // standard deviation of one reading; below half a step it counts as half a step
  double resolution_mm = 0.0127;
  double limit_of_error_mm = 0.0254;  // at each end, independent
  double from_end_mm = 6.35;          // where the caliper sits
  int fewest_readings = 3;
  int most_readings = 10;
};

// Expanded uncertainty (kCaliperCoverage) of the fence error to expect from `readings` an end on such a
// strip; the scatter is to be found from those same readings, so few of them cost a large t-factor.
double planned_uncertainty(const PlanRequest& request, int readings, double strip_length_mm);

struct PlanRow {
  int readings = 0;            // at each end
  double strip_length_mm = 0;  // shortest that will do
};

struct Plan {
  std::vector<PlanRow> rows;         // for each number of readings
  std::optional<PlanRow> for_strip;  // fewest readings that will do on the strip at hand, if any
  PlanRow advised;         // the fewest readings whose strip is within a tenth of what the most allow
  double limit_share = 0;  // part of the advised row's variance that more readings cannot lessen
};

// `strip_length_mm` = 0: no strip at hand. Failure: caliper-bad-plan when a number is not positive or not in
// order.
Result<Plan> plan_readings(const PlanRequest& request, double strip_length_mm);

}  // namespace tapersight
