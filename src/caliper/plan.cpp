#include "caliper/plan.h"

#include <algorithm>
#include <cmath>

#include "caliper/caliper_taper.h"

namespace tapersight {
namespace {

double scatter_of(const PlanRequest& request) {
  return std::max(request.scatter_mm, request.resolution_mm / 2);
}

// Standard uncertainty of the difference that stays however many readings there are, mm.
double u_lasting(const PlanRequest& request) {
  return std::hypot(request.limit_of_error_mm * std::sqrt(2.0 / 3),
                    std::sqrt(2.0) * u_rounding(request.resolution_mm, scatter_of(request)));
}

double expanded_of_difference(const PlanRequest& request, int readings) {
  const double dof = 2.0 * (readings - 1);
  const CombinedUncertainty u =
      combine({{scatter_of(request) * std::sqrt(2.0 / readings), dof}, {u_lasting(request)}});
  return t_factor(kCaliperCoverage, u.dof) * u.u;
}

PlanRow shortest(const PlanRequest& request, int readings) {
  return {readings,
          expanded_of_difference(request, readings) / (request.turns * request.share * request.tolerance) +
              2 * request.from_end_mm};
}

bool sensible(const PlanRequest& r) {
  return r.tolerance > 0 && r.share > 0 && r.share <= 1 && r.turns > 0 && r.scatter_mm >= 0 &&
         r.resolution_mm >= 0 && r.limit_of_error_mm >= 0 &&
         r.scatter_mm + r.resolution_mm + r.limit_of_error_mm > 0 && r.from_end_mm >= 0 &&
         r.fewest_readings >= 2 && r.most_readings >= r.fewest_readings;
}

}  // namespace

double planned_uncertainty(const PlanRequest& request, int readings, double strip_length_mm) {
  return expanded_of_difference(request, readings) / (strip_length_mm - 2 * request.from_end_mm) /
         request.turns;
}

Result<Plan> plan_readings(const PlanRequest& request, double strip_length_mm) {
  if (!sensible(request))
    return Failure{
        "caliper-bad-plan", "The tolerance or the caliper's figures make no plan possible.",
        "Give a tolerance above zero and what the caliper's step, scatter and limit of error are."};
  Plan plan;
  for (int n = request.fewest_readings; n <= request.most_readings; ++n)
    plan.rows.push_back(shortest(request, n));
  const double enough_mm = 1.1 * plan.rows.back().strip_length_mm;
  plan.advised = *std::find_if(plan.rows.begin(), plan.rows.end(),
                               [&](const PlanRow& row) { return row.strip_length_mm <= enough_mm; });
  const auto fits = std::find_if(plan.rows.begin(), plan.rows.end(),
                                 [&](const PlanRow& row) { return row.strip_length_mm <= strip_length_mm; });
  if (fits != plan.rows.end()) plan.for_strip = PlanRow{fits->readings, strip_length_mm};
  const double lasting = u_lasting(request) * u_lasting(request);
  const double scatter = scatter_of(request) * scatter_of(request) * 2 / plan.advised.readings;
  plan.limit_share = lasting / (lasting + scatter);
  return plan;
}

}  // namespace tapersight
