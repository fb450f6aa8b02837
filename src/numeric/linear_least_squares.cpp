#include "numeric/linear_least_squares.h"

#include <cmath>
#include <optional>

#include "numeric/dense.h"

namespace tapersight {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

std::optional<Failure> refused(const MatrixXd& design, const VectorXd& y, const VectorXd& weights) {
  if (design.cols() < 1 || design.rows() < design.cols() || y.size() != design.rows())
    return Failure{"too-few-points", "There are fewer points than unknowns in the fit.", "Take more points."};
  if (!design.allFinite() || !y.allFinite())
    return Failure{"not-finite", "A point of the fit is not a finite number.", "Leave the broken point out."};
  if (weights.size() != 0 &&
      (weights.size() != y.size() || !weights.allFinite() || !(weights.array() > 0).all()))
    return Failure{"bad-weights", "The weights of a fit must all be above zero, one for each point.",
                   "Leave out a point that is to have no weight."};
  return std::nullopt;
}

// The column that is the same, and not zero, in every row: with it the others can be centred.
std::optional<Index> constant_column(const MatrixXd& design) {
  for (Index j = 0; j < design.cols(); ++j)
    if (design(0, j) != 0 && (design.col(j).array() == design(0, j)).all()) return j;
  return std::nullopt;
}

// Mean of the weighted column about its first value, so that a large common part costs no digits.
double weighted_mean(const VectorXd& column, const VectorXd& weights) {
  const double first = column(0);
  return first + weights.dot((column.array() - first).matrix()) / weights.sum();
}

// The problem in well-scaled variables z: design = conditioned * to_z, so that b = from_z * z.
struct Conditioned {
  MatrixXd matrix;  // n x p, weighted rows, columns of unit length
  MatrixXd from_z;  // p x p
};

std::optional<Conditioned> condition(const MatrixXd& design, const VectorXd& weights) {
  const Index p = design.cols();
  Conditioned result{design, MatrixXd::Identity(p, p)};
  if (const auto constant = constant_column(design)) {
    const double value = design(0, *constant);
    for (Index j = 0; j < p; ++j) {
      if (j == *constant) continue;
      const double mean = weighted_mean(design.col(j), weights);
      result.matrix.col(j).array() -= mean;
      // b_constant = z_constant - (mean_j / value) z_j; exact whatever `mean` is
      result.from_z(*constant, j) = -mean / value;
    }
  }
  result.matrix = weights.cwiseSqrt().asDiagonal() * result.matrix;
  for (Index j = 0; j < p; ++j) {
    const double length = result.matrix.col(j).norm();
    if (!(length > 0)) return std::nullopt;
    result.matrix.col(j) /= length;
    result.from_z.col(j) /= length;
  }
  return result;
}

VectorXd exact_residuals(const MatrixXd& design, const VectorXd& y, const VectorXd& b) {
  VectorXd residuals(y.size());
  for (Index i = 0; i < y.size(); ++i) {
    auto r = static_cast<long double>(y(i));
    for (Index j = 0; j < b.size(); ++j)
      r -= static_cast<long double>(design(i, j)) * static_cast<long double>(b(j));
    residuals(i) = static_cast<double>(r);
  }
  return residuals;
}

}  // namespace

double LinearFit::u(int i) const {
  return std::sqrt(covariance(i, i));
}

double LinearFit::correlation(int i, int j) const {
  return covariance(i, j) / (u(i) * u(j));
}

Result<LinearFit> fit_linear(const MatrixXd& design, const VectorXd& y, const VectorXd& given_weights,
                             const LinearFitOptions& options) {
  if (const auto failure = refused(design, y, given_weights)) return *failure;
  const VectorXd weights = given_weights.size() == 0 ? VectorXd::Ones(y.size()) : given_weights;
  const VectorXd roots = weights.cwiseSqrt();
  const Index p = design.cols();
  const Failure deficient{"rank-deficient", "The points do not determine all unknowns of the fit.",
                          "Spread the points out, or fit fewer unknowns."};
  const auto conditioned = condition(design, weights);
  if (!conditioned) return deficient;
  const PivotedQr qr(conditioned->matrix, options.rank_tolerance);
  if (qr.rank() < p) return deficient;

  LinearFit fit;
  fit.coefficients = product(conditioned->from_z, qr.solve(roots.cwiseProduct(y)));
  const VectorXd first_residuals = exact_residuals(design, y, fit.coefficients);
  fit.coefficients += product(conditioned->from_z, qr.solve(roots.cwiseProduct(first_residuals)));
  fit.residuals = exact_residuals(design, y, fit.coefficients);
  fit.dof = static_cast<int>(y.size() - p);
  if (fit.dof > 0) fit.residual_sd = roots.cwiseProduct(fit.residuals).norm() / std::sqrt(fit.dof);

  const MatrixXd root_covariance = product(conditioned->from_z, qr.root_of_inverse_gram());
  const double scale = options.weights == WeightMeaning::kRelative ? fit.residual_sd * fit.residual_sd : 1;
  fit.covariance = scale * product(root_covariance, root_covariance.transpose());
  return fit;
}

Result<LinearFit> fit_line(const VectorXd& x, const VectorXd& y, const VectorXd& weights,
                           const LinearFitOptions& options) {
  MatrixXd design(x.size(), 2);
  design.col(0).setOnes();
  design.col(1) = x;
  return fit_linear(design, y, weights, options);
}

}  // namespace tapersight
