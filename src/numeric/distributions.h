// Tail probabilities and quantiles of the three distributions that the tests of significance use.
#pragma once

namespace tapersight {

// P(|T| > |t|) for Student's t with `dof` > 0 degrees of freedom (may be infinite: the Gaussian).
double t_two_sided_p(double t, double dof);

// x with P(X <= x) = `probability` (0 < probability < 1) for chi-squared with `dof` > 0 (finite).
double chi_squared_quantile(double probability, double dof);

// P(F > f) for Fisher's F with the degrees of freedom of numerator and denominator (> 0, finite), f >= 0.
double f_upper_p(double f, double numerator_dof, double denominator_dof);

// Interval for a standard deviation of which `s` was found with `dof` degrees of freedom (Gaussian readings).
struct DeviationInterval {
  double low = 0;
  double high = 0;
};
DeviationInterval deviation_interval(double s, double dof, double coverage);

}  // namespace tapersight
