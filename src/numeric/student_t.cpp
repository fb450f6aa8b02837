#include "numeric/student_t.h"

#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>

namespace tapersight {

double t_factor(double coverage, double dof) {
  const double upper_tail = (1 - coverage) / 2;
  if (std::isinf(dof)) return quantile(complement(boost::math::normal(), upper_tail));
  return quantile(complement(boost::math::students_t(dof), upper_tail));
}

CombinedUncertainty combine(const std::vector<UncertaintyPart>& parts) {
  double variance = 0;
  double quartic_over_dof = 0;
  for (const UncertaintyPart& part : parts) {
    const double square = part.u * part.u;
    variance += square;
    if (std::isfinite(part.dof)) quartic_over_dof += square * square / part.dof;
  }
  CombinedUncertainty result;
  result.u = std::sqrt(variance);
  if (quartic_over_dof > 0) result.dof = variance * variance / quartic_over_dof;
  return result;
}

}  // namespace tapersight
