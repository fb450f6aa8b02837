#include "caliper/caliper_taper.h"

#include <algorithm>
#include <cmath>

#include "numeric/descriptive.h"

namespace tapersight {
namespace {

constexpr double kTwoPiSquared = 19.739208802178716;
constexpr double kUnlikeScatterLevel = 0.01;

struct Scatter {
  double s_mm = 0;
  double dof = 0;
};

Scatter scatter_of(const std::vector<double>& values) {
  return {standard_deviation(values), static_cast<double>(values.size() - 1)};
}

Scatter pooled(const Scatter& a, const Scatter& b) {
  const double dof = a.dof + b.dof;
  return {std::sqrt((a.dof * a.s_mm * a.s_mm + b.dof * b.s_mm * b.s_mm) / dof), dof};
}

// Rounding makes equal readings at one end look infinitely better than at the other: no scatter below half a
// step.
bool scatter_alike(Scatter a, Scatter b, double step_mm) {
  a.s_mm = std::max(a.s_mm, step_mm / 2);
  b.s_mm = std::max(b.s_mm, step_mm / 2);
  if (a.s_mm < b.s_mm) std::swap(a, b);
  const double f = (a.s_mm * a.s_mm) / (b.s_mm * b.s_mm);
  return 2 * f_upper_p(f, a.dof, b.dof) >= kUnlikeScatterLevel;
}

Failure too_few() {
  return Failure{"caliper-too-few-readings",
                 "One reading at an end does not show how well the caliper repeats.",
                 "Take at least three readings at each end, opening the jaws in between; five are better."};
}

}  // namespace

double u_rounding(double step_mm, double s_mm) {
  const double whole = step_mm / std::sqrt(12.0);
  if (!(step_mm > 0)) return 0;
  const double without_rounding = std::max(0.0, s_mm * s_mm - whole * whole);
  return whole * std::exp(-kTwoPiSquared * without_rounding / (step_mm * step_mm));
}

Result<CaliperTaper> caliper_taper(const CaliperReadings& readings, const CaliperSpec& spec) {
  const auto& fence = readings.fence_end_mm;
  const auto& far = readings.far_end_mm;
  if (fence.size() < 2 || far.size() < 2) return too_few();
  if (!(readings.distance_mm > 0))
    return Failure{"caliper-no-distance", "The distance between the two places along the strip is not known.",
                   "Give the strip's length and how far from its ends the readings were taken."};
  const double step = spec.resolution_mm > 0 ? spec.resolution_mm : inferred_resolution(readings);
  Scatter at_fence = scatter_of(fence);
  Scatter at_far = scatter_of(far);
  const Scatter both = pooled(at_fence, at_far);

  CaliperTaper result;
  result.ends_scatter_alike = scatter_alike(at_fence, at_far, step);
  result.repeatability = {both.s_mm, both.dof, deviation_interval(both.s_mm, both.dof, 0.95)};
  const double u_limit = spec.limit_of_error_mm / std::sqrt(3.0);
  std::vector<UncertaintyPart> parts;
  if (result.ends_scatter_alike) {
    at_fence.s_mm = at_far.s_mm = both.s_mm;
    // One estimate of the scatter serves both ends: one part, so that its degrees of freedom count once.
    parts.push_back({both.s_mm * std::sqrt(1.0 / static_cast<double>(fence.size()) +
                                           1.0 / static_cast<double>(far.size())),
                     both.dof});
    at_fence.dof = at_far.dof = both.dof;
  }
  double scatter_square = 0;
  const auto width = [&](const std::vector<double>& values, const Scatter& scatter) {
    const double u_mean = scatter.s_mm / std::sqrt(static_cast<double>(values.size()));
    const double u_step = u_rounding(step, scatter.s_mm);
    if (!result.ends_scatter_alike) parts.push_back({u_mean, scatter.dof});
    parts.push_back({u_step, kInfiniteDof});
    parts.push_back({u_limit, kInfiniteDof});
    scatter_square += u_mean * u_mean;
    result.u_resolution_mm = std::hypot(result.u_resolution_mm, u_step);
    const CombinedUncertainty all = combine({{u_mean, scatter.dof}, {u_step}, {u_limit}});
    return WidthEstimate{mean(values), all.u, all.dof, values.size()};
  };
  result.fence_end = width(fence, at_fence);
  result.far_end = width(far, at_far);
  result.u_scatter_mm = std::sqrt(scatter_square);
  result.u_limit_mm = u_limit * std::sqrt(2.0);
  result.difference_mm = result.fence_end.mean_mm - result.far_end.mean_mm;
  result.u_difference = combine(parts);
  result.U_difference_mm = t_factor(kCaliperCoverage, result.u_difference.dof) * result.u_difference.u;
  result.taper = result.difference_mm / readings.distance_mm;
  result.u_taper =
      combine({{result.u_difference.u / readings.distance_mm, result.u_difference.dof},
               {std::abs(result.taper) * readings.u_distance_mm / readings.distance_mm, kInfiniteDof}});
  result.coverage_factor = t_factor(kCaliperCoverage, result.u_taper.dof);
  result.U_taper = result.coverage_factor * result.u_taper.u;
  return result;
}

}  // namespace tapersight
