#include "numeric/distributions.h"

#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/fisher_f.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>

namespace tapersight {

double t_two_sided_p(double t, double dof) {
  const double size = std::abs(t);
  if (std::isinf(size)) return 0;
  if (std::isinf(dof)) return 2 * cdf(complement(boost::math::normal(), size));
  return 2 * cdf(complement(boost::math::students_t(dof), size));
}

double chi_squared_quantile(double probability, double dof) {
  return quantile(boost::math::chi_squared(dof), probability);
}

double f_upper_p(double f, double numerator_dof, double denominator_dof) {
  if (std::isinf(f)) return 0;
  return cdf(complement(boost::math::fisher_f(numerator_dof, denominator_dof), f));
}

DeviationInterval deviation_interval(double s, double dof, double coverage) {
  const double tail = (1 - coverage) / 2;
  return {s * std::sqrt(dof / chi_squared_quantile(1 - tail, dof)),
          s * std::sqrt(dof / chi_squared_quantile(tail, dof))};
}

}  // namespace tapersight
