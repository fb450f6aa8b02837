#include "model/plane_map.h"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>

namespace tapersight {
namespace {

// P_1..P_n at x and, if asked, their derivatives, by Bonnet's recursion (Abramowitz and Stegun, 8.5.3).
void legendre(double x, int n, double* value, double* derivative) {
  double before = 1;
  double now = x;
  double derivative_before = 0;
  double derivative_now = 1;
  for (int k = 1; k <= n; ++k) {
    value[k - 1] = now;
    if (derivative) derivative[k - 1] = derivative_now;
    const double next = ((2 * k + 1) * x * now - k * before) / (k + 1);
    const double derivative_next =
        ((2 * k + 1) * (now + x * derivative_now) - k * derivative_before) / (k + 1);
    before = now;
    now = next;
    derivative_before = derivative_now;
    derivative_now = derivative_next;
  }
}

constexpr int kMostOrders = 32;

}  // namespace

std::string PlaneMap::name() const {
  if (order_u == 1 && order_v == 1) return "affine";
  return "separable-" + std::to_string(order_u) + "-" + std::to_string(order_v);
}

Eigen::VectorXd PlaneMap::basis(const Eigen::Vector2d& picture) const {
  const Eigen::Vector2d p = (picture - centre_px).cwiseQuotient(scale_px);
  Eigen::VectorXd b(1 + order_u + order_v);
  b[0] = 1;
  legendre(p.x(), order_u, b.data() + 1, nullptr);
  legendre(p.y(), order_v, b.data() + 1 + order_u, nullptr);
  return b;
}

Eigen::Vector2d PlaneMap::sheet_from_picture(const Eigen::Vector2d& picture) const {
  return coefficients.transpose() * basis(picture);
}

Eigen::Matrix2d PlaneMap::derivative(const Eigen::Vector2d& picture) const {
  const Eigen::Vector2d p = (picture - centre_px).cwiseQuotient(scale_px);
  double value[kMostOrders];
  double slope[kMostOrders];
  Eigen::Matrix2d d = Eigen::Matrix2d::Zero();
  legendre(p.x(), order_u, value, slope);
  for (int k = 0; k < order_u; ++k)
    d.col(0) += coefficients.row(1 + k).transpose() * (slope[k] / scale_px.x());
  legendre(p.y(), order_v, value, slope);
  for (int k = 0; k < order_v; ++k)
    d.col(1) += coefficients.row(1 + order_u + k).transpose() * (slope[k] / scale_px.y());
  return d;
}

double PlaneMap::uncertainty_of(const std::vector<Eigen::Vector2d>& pictures,
                                const std::vector<double>& weights) const {
  if (unit_covariance.size() == 0) return 0;
  Eigen::VectorXd sensitivity = Eigen::VectorXd::Zero(coefficients.rows());
  for (std::size_t i = 0; i < pictures.size(); ++i) sensitivity += weights[i] * basis(pictures[i]);
  return sigma_mm * std::sqrt(std::max(0.0, sensitivity.dot(unit_covariance * sensitivity)));
}

Eigen::Vector2d PlaneMap::picture_from_sheet(const Eigen::Vector2d& sheet) const {
  Eigen::Vector2d picture = centre_px;
  for (int i = 0; i < 12; ++i) {
    const Eigen::Vector2d step = derivative(picture).inverse() * (sheet - sheet_from_picture(picture));
    picture += step;
    if (step.squaredNorm() < 1e-18) break;
  }
  return picture;
}

}  // namespace tapersight
