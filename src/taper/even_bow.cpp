#include "taper/even_bow.h"

#include <Eigen/Core>
#include <algorithm>
#include <cmath>

#include "numeric/dense.h"

namespace tapersight {
namespace {

constexpr double kBinMm = 8;
constexpr Eigen::Index kLeastBins = 8;
constexpr double kLeastSquareMm2 = 1e-8;  // 0.1 um: rounding, not wood

// Means of the used places, by even bins: position from -1 to 1, across in mm.
Eigen::MatrixX2d binned(const std::vector<LocalPoint>& points, const Stretch& stretch) {
  const auto bins = std::max<Eigen::Index>(1, static_cast<Eigen::Index>(stretch.length() / kBinMm));
  Eigen::MatrixX3d sums = Eigen::MatrixX3d::Zero(bins, 3);
  for (const LocalPoint& p : points) {
    if (!p.used) continue;
    const double part = (p.position - stretch.far) / stretch.length();
    const auto bin =
        std::clamp(static_cast<Eigen::Index>(part * static_cast<double>(bins)), Eigen::Index{0}, bins - 1);
    sums.row(bin) += Eigen::RowVector3d(1, 2 * part - 1, p.across);
  }
  Eigen::MatrixX2d means(bins, 2);
  Eigen::Index seen = 0;
  for (Eigen::Index i = 0; i < bins; ++i)
    if (sums(i, 0) > 0) means.row(seen++) = sums.row(i).tail<2>() / sums(i, 0);
  return means.topRows(seen);
}

// Mean square of what a third term leaves beside level and slope.
template <typename Term>
double left_by(const Eigen::MatrixX2d& means, Term&& term) {
  Eigen::MatrixXd design(means.rows(), 3);
  for (Eigen::Index i = 0; i < means.rows(); ++i) design.row(i) << 1, means(i, 0), term(means(i, 0));
  const Eigen::VectorXd across = means.col(1);
  const Eigen::Vector3d fitted = PivotedQr(design).solve(across);
  return (across - design * fitted).squaredNorm() / static_cast<double>(means.rows());
}

}  // namespace

double log_odds_of_even_bow(const std::vector<LocalPoint>& points, const Stretch& stretch) {
  const Eigen::MatrixX2d means = binned(points, stretch);
  if (means.rows() < kLeastBins) return 0;
  const double even = left_by(means, [](double x) { return x * x; });
  double hinged = HUGE_VAL;
  for (double knot = -0.9; knot <= 0.9; knot += 0.05)
    hinged = std::min(hinged, left_by(means, [&](double x) { return std::abs(x - knot); }));
  const auto n = static_cast<double>(means.rows());
  return n / 2 * std::log((hinged + kLeastSquareMm2) / (even + kLeastSquareMm2)) + std::log(n) / 2;
}

}  // namespace tapersight
