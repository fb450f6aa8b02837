// Weighted linear least squares with a covariance, for lines and small polynomials.
#pragma once
#include <Eigen/Core>

#include "base/result.h"

namespace tapersight {

enum class WeightMeaning {
  kRelative,  // weights are known up to a factor; the residuals set the scale of the covariance
  kAbsolute   // weights are 1 / variance; the covariance is theirs alone
};

struct LinearFitOptions {
  WeightMeaning weights = WeightMeaning::kRelative;
  // A column whose part not explained by the others is below this fraction of itself (after centring and
  // scaling) makes the fit rank deficient. 1e-10 leaves about six right digits in the worst fit that is
  // accepted.
  double rank_tolerance = 1e-10;
};

struct LinearFit {
  Eigen::VectorXd coefficients;  // p
  Eigen::MatrixXd covariance;    // p x p; zero when dof is 0 and the weights are relative
  Eigen::VectorXd residuals;     // n, observed - fitted, not weighted
  double residual_sd = 0;        // sqrt(sum w r^2 / dof): JCGM 100:2008, H.3; 0 when dof is 0
  int dof = 0;                   // n - p

  double u(int i) const;  // standard uncertainty of coefficient i
  double correlation(int i, int j) const;
};

// Minimises sum w (y - X b)^2 for a design matrix X (n x p, n >= p >= 1), y (n) and weights w (n, > 0; empty
// means all 1). Solved by column-pivoted Householder QR of the centred and scaled matrix (centred when a
// column is constant), then improved once with residuals in extended precision. Failures: too-few-points (n <
// p), not-finite, bad-weights, rank-deficient. Accuracy: 9 or more digits of coefficients, their standard
// uncertainties and the residual sd on NIST StRD Norris, Longley and Wampler 1-3
// (tests/numeric/linear_least_squares_test.cpp).
Result<LinearFit> fit_linear(const Eigen::MatrixXd& design, const Eigen::VectorXd& y,
                             const Eigen::VectorXd& weights = {}, const LinearFitOptions& options = {});

// y = b0 + b1 x.
Result<LinearFit> fit_line(const Eigen::VectorXd& x, const Eigen::VectorXd& y,
                           const Eigen::VectorXd& weights = {}, const LinearFitOptions& options = {});

}  // namespace tapersight
