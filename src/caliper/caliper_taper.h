// The taper of a strip from caliper readings at its two ends, with its uncertainty (JCGM 100:2008, 4.2, 4.3,
// G.4).
#pragma once
#include "caliper/readings.h"
#include "numeric/distributions.h"
#include "numeric/student_t.h"

namespace tapersight {

// Coverage of the intervals, as everywhere in this program.
inline constexpr double kCaliperCoverage = 0.95;

struct WidthEstimate {
  double mean_mm = 0;
  double u_mm = 0;  // of this width, limit of error included
  double dof = kInfiniteDof;
  std::size_t readings = 0;
};

// Scatter of repeated readings at one place.
struct Repeatability {
  double s_mm = 0;  // standard deviation of one reading
  double dof = 0;
  DeviationInterval interval_mm;  // 95 % for that standard deviation (chi-squared)
};

struct CaliperTaper {
  WidthEstimate fence_end, far_end;
  Repeatability repeatability;       // pooled over the two ends
  bool ends_scatter_alike = true;    // F test at 1 %; if not, the ends keep their own scatter
  double difference_mm = 0;          // fence end less far end
  double taper = 0;                  // difference over distance, mm/mm
  CombinedUncertainty u_difference;  // mm
  CombinedUncertainty u_taper;       // mm/mm, the distance's uncertainty included
  double coverage_factor = 0;        // for u_taper at kCaliperCoverage
  double U_taper = 0;                // mm/mm
  double U_difference_mm = 0;        // at its own degrees of freedom
  // Standard uncertainties of the difference from each source, mm.
  double u_scatter_mm = 0, u_resolution_mm = 0, u_limit_mm = 0;
};

// Standard uncertainty that rounding to steps leaves in a mean of readings whose standard deviation (rounding
// included) is s: step/sqrt(12) when they all agree, nothing once they scatter over a step, because then the
// scatter already holds it. In between the first term of the rounding error's Fourier series, exp(-2 pi^2
// (sigma/step)^2) (Widrow and Kollar, "Quantization Noise", 2008, from memory); JCGM 100:2008, F.2.2.1 has
// the two ends.
double u_rounding(double step_mm, double s_mm);

// `readings` are screened. Limits of error at the two ends are rectangular and independent.
// Failures: caliper-too-few-readings (two at each end are the least), caliper-no-distance.
Result<CaliperTaper> caliper_taper(const CaliperReadings& readings, const CaliperSpec& spec);

}  // namespace tapersight
