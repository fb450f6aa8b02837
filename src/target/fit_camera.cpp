#include "target/fit_camera.h"

#include <Eigen/Geometry>
#include <Eigen/LU>
#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/core.hpp>

#include "imaging/parallel.h"
#include "numeric/dense.h"

namespace tapersight {
namespace {

constexpr double kWorth = 0.03;  // as PlaneFitOptions::worth
constexpr double kHuber = 2.5;   // robust standard deviations
constexpr double kReject = 5;
constexpr double kPrincipalPx =
    0.04;  // of the half diagonal: how far a phone's principal point lies off (from memory)

// Which parameters are free: homography always.
struct Freedom {
  bool k1, k2, principal;
};
constexpr Freedom kLadder[] = {{false, false, false},
                               {true, false, false},
                               {true, true, false},
                               {true, false, true},
                               {true, true, true}};

std::vector<int> free_parameters(const Freedom& f) {
  std::vector<int> free = {0, 1, 2, 3, 4, 5, 6, 7};
  if (f.k1) free.push_back(8);
  if (f.k2) free.push_back(9);
  if (f.principal) free.insert(free.end(), {10, 11});
  return free;
}

// Direct linear transform (Hartley and Zisserman, algorithm 4.1) on q and sheet / 100.
Eigen::Matrix3d linear_homography(const CameraView& view, const std::vector<const Correspondence*>& points) {
  Eigen::MatrixXd a(2 * static_cast<Eigen::Index>(points.size()), 9);
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Eigen::Vector3d q = ((points[i]->picture_px - view.principal_px) / view.radius_px).homogeneous();
    const Eigen::Vector2d s = points[i]->sheet_mm / 100;
    const auto r = 2 * static_cast<Eigen::Index>(i);
    a.row(r) << q.transpose(), 0, 0, 0, -s.x() * q.transpose();
    a.row(r + 1) << 0, 0, 0, q.transpose(), -s.y() * q.transpose();
  }
  // The eigenvector of the least eigenvalue, which comes last.
  Eigen::MatrixXd square = gram(a);
  cv::Mat values, vectors;
  cv::eigen(cv::Mat(9, 9, CV_64F, square.data()), values, vectors);
  const double* const h = vectors.ptr<double>(8);
  Eigen::Matrix3d m;
  m << h[0], h[1], h[2], h[3], h[4], h[5], h[6], h[7], h[8];
  m.topRows<2>() *= 100;
  return m / m(2, 2);
}

double median_of(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

// As many as are free, without asking for memory.
constexpr int kMost = CameraView::kParameters;
using Free = Eigen::Matrix<double, Eigen::Dynamic, 1, 0, kMost, 1>;
using FreeMatrix = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, 0, kMost, kMost>;

struct Solved {
  CameraView view;
  FreeMatrix normal;  // of the free parameters, weights included
  std::vector<int> free;
};

double cost_of(const CameraView& view, const std::vector<const Correspondence*>& points,
               const std::vector<double>& weight) {
  double cost = 0;
  for (std::size_t i = 0; i < points.size(); ++i)
    cost += weight[i] * (points[i]->sheet_mm - view.sheet_from_picture(points[i]->picture_px)).squaredNorm();
  return cost;
}

// The prior on the principal point keeps it near the picture's middle unless the points know better.
double prior_weight(double sigma_mm, double radius_px) {
  return sigma_mm * sigma_mm / std::pow(kPrincipalPx * radius_px, 2);
}

using Points = std::vector<const Correspondence*>;

// Robust standard deviation of the points along x and y, mm, and Huber's weights by it.
double weigh(const CameraView& view, const Points& points, std::vector<double>& weight) {
  std::vector<double> lengths;
  for (const auto* p : points)
    lengths.push_back((p->sheet_mm - view.sheet_from_picture(p->picture_px)).norm());
  const double sigma = std::max(median_of(lengths) / 1.1774, 1e-4);
  for (std::size_t i = 0; i < points.size(); ++i)
    weight[i] = std::min(1.0, kHuber * sigma / std::max(lengths[i], 1e-9));
  return sigma;
}

struct Linearised {
  FreeMatrix normal;
  Free right;
};

Linearised linearise(const CameraView& view, const Points& points, const std::vector<double>& weight,
                     const std::vector<int>& free) {
  const auto m = static_cast<Eigen::Index>(free.size());
  Linearised out{FreeMatrix::Zero(m, m), Free::Zero(m)};
  for (std::size_t i = 0; i < points.size(); ++i) {
    const auto all = view.by_parameters(points[i]->picture_px);
    Eigen::Matrix<double, 2, Eigen::Dynamic, 0, 2, kMost> j(2, m);
    for (Eigen::Index k = 0; k < m; ++k) j.col(k) = all.col(free[static_cast<std::size_t>(k)]);
    const Eigen::Vector2d r = points[i]->sheet_mm - view.sheet_from_picture(points[i]->picture_px);
    out.normal.noalias() += weight[i] * j.transpose().lazyProduct(j);
    out.right.noalias() += weight[i] * j.transpose() * r;
  }
  return out;
}

CameraView moved(const CameraView& view, const std::vector<int>& free, const Free& step) {
  Eigen::VectorXd parameters = view.parameters();
  for (Eigen::Index k = 0; k < step.size(); ++k) parameters[free[static_cast<std::size_t>(k)]] += step[k];
  return view.with(parameters);
}

// Levenberg-Marquardt from the linear homography, Huber's weights found anew every few passes.
Solved solve(CameraView view, const Points& points, const Freedom& freedom) {
  constexpr int kPasses = 30, kWeighEvery = 5, kLeastPasses = 12;
  Solved s;
  s.free = free_parameters(freedom);
  view.homography = linear_homography(view, points);
  const Eigen::Vector2d middle = view.principal_px;
  std::vector<double> weight(points.size(), 1.0);
  double sigma = 0;
  double lambda = 1e-4;
  for (int pass = 0; pass < kPasses; ++pass) {
    if (pass % kWeighEvery == 0) sigma = weigh(view, points, weight);
    auto [normal, right] = linearise(view, points, weight, s.free);
    const double prior = freedom.principal ? prior_weight(sigma, view.radius_px) : 0;
    if (freedom.principal) {
      normal.diagonal().tail<2>().array() += prior;
      right.tail<2>() += prior * (middle - view.principal_px);
    }
    s.normal = normal;
    normal.diagonal() *= 1 + lambda;
    const Free step = solve_symmetric(normal, right);
    if (!step.allFinite()) break;
    const CameraView next = moved(view, s.free, step);
    const auto cost = [&](const CameraView& v) {
      return cost_of(v, points, weight) + prior * (middle - v.principal_px).squaredNorm();
    };
    const double now = cost(view);
    const double then = cost(next);
    if (then > now) {
      lambda *= 10;
      continue;
    }
    view = next;
    lambda = std::max(lambda / 10, 1e-12);
    if (now - then < 1e-9 * now && pass >= kLeastPasses) break;
  }
  s.view = view;
  return s;
}

double squared_error(const CameraView& view, const Correspondence& p) {
  return (view.sheet_from_picture(p.picture_px) - p.sheet_mm).squaredNorm();
}

// The points are left out a part at a time, once by rows and once by columns.
constexpr int kParts = 6;

bool is_of_part(const Correspondence& p, bool by_rows, int part) {
  return (by_rows ? p.row % kParts : 3 * p.block + p.column) == part;
}

// Sum of squares of what the others' fit says of this part; 0 when too few are left, or none is in it.
double left_out_square(const CameraView& start, const std::vector<Correspondence>& points,
                       const Freedom& freedom, bool by_rows, int part) {
  std::vector<const Correspondence*> kept;
  for (const auto& p : points)
    if (!is_of_part(p, by_rows, part)) kept.push_back(&p);
  if (kept.size() == points.size() || kept.size() < 20) return 0;
  const Solved s = solve(start, kept, freedom);
  double sum = 0;
  for (const auto& p : points)
    if (is_of_part(p, by_rows, part)) sum += squared_error(s.view, p);
  return sum;
}

// Mean square of both ways of leaving out, for every rung of the ladder.
std::array<double, std::size(kLadder)> left_out_mean_squares(const CameraView& start,
                                                             const std::vector<Correspondence>& points) {
  constexpr int kRungs = static_cast<int>(std::size(kLadder)), kEach = 2 * kParts;
  std::vector<double> sums(std::size_t{kRungs} * kEach);
  in_parallel(kRungs * kEach, [&](int i) {
    const int of_rung = i % kEach;
    sums[static_cast<std::size_t>(i)] =
        left_out_square(start, points, kLadder[i / kEach], of_rung < kParts, of_rung % kParts);
  });
  std::array<double, std::size(kLadder)> means{};
  for (int i = 0; i < kRungs * kEach; ++i)
    means[static_cast<std::size_t>(i / kEach)] +=
        sums[static_cast<std::size_t>(i)] / 2 / static_cast<double>(points.size());
  return means;
}

std::vector<const Correspondence*> pointers(const std::vector<Correspondence>& points) {
  std::vector<const Correspondence*> all;
  all.reserve(points.size());
  for (const auto& p : points) all.push_back(&p);
  return all;
}

// Stretches of the rows of each of the two boards.
constexpr int kStretches = 4, kBoards = 2;

std::vector<CameraView> without_each_part(const CameraView& start, const std::vector<Correspondence>& points,
                                          const Freedom& freedom) {
  const auto by_row = [](const Correspondence& a, const Correspondence& b) { return a.row < b.row; };
  const int rows = 1 + std::max_element(points.begin(), points.end(), by_row)->row;
  std::vector<CameraView> views(std::size_t{kStretches} * kBoards, start);
  in_parallel(kStretches * kBoards, [&](int part) {
    Points kept;
    for (const auto& p : points)
      if (p.block != part / kStretches || p.row * kStretches / rows != part % kStretches) kept.push_back(&p);
    if (kept.size() >= 20) views[static_cast<std::size_t>(part)] = solve(start, kept, freedom).view;
  });
  return views;
}

}  // namespace

CameraFit fit_camera(const std::vector<Correspondence>& all, int width_px, int height_px) {
  CameraFit fit;
  std::vector<Correspondence> points = all;
  CameraView start;
  start.principal_px = {(width_px - 1) / 2.0, (height_px - 1) / 2.0};
  start.radius_px = std::hypot(width_px, height_px) / 2;
  if (points.size() < 40) return fit;
  const Solved rough = solve(start, pointers(points), {true, true, true});
  std::vector<double> errors;
  errors.reserve(points.size());
  for (const auto& p : points) errors.push_back(std::sqrt(squared_error(rough.view, p)));
  const double limit = kReject * std::max(median_of(errors) / 1.1774, 1e-3);
  std::vector<Correspondence> kept;
  for (std::size_t i = 0; i < points.size(); ++i)
    if (errors[i] <= limit) kept.push_back(points[i]);
  points = std::move(kept);
  if (points.size() < 40) return fit;
  fit.points_used = static_cast<int>(points.size());
  fit.points_rejected = static_cast<int>(all.size() - points.size());

  const auto left_out = left_out_mean_squares(start, points);
  const double best = *std::min_element(std::begin(left_out), std::end(left_out));
  std::size_t chosen = 0;
  while (left_out[chosen] > best * (1 + kWorth) * (1 + kWorth)) ++chosen;

  const Solved s = solve(start, pointers(points), kLadder[chosen]);
  fit.view = s.view;
  fit.parameters = static_cast<int>(s.free.size());
  double sum = 0;
  for (const auto& p : points) sum += squared_error(s.view, p);
  fit.residual_rms_mm = std::sqrt(sum / 2 / static_cast<double>(points.size()));
  fit.left_out_rms_mm = std::sqrt(left_out[chosen] / 2);
  const Eigen::MatrixXd inverse = tapersight::inverse(s.normal) * (fit.left_out_rms_mm * fit.left_out_rms_mm);
  fit.view.covariance = Eigen::MatrixXd::Zero(CameraView::kParameters, CameraView::kParameters);
  for (std::size_t a = 0; a < s.free.size(); ++a)
    for (std::size_t b = 0; b < s.free.size(); ++b)
      fit.view.covariance(s.free[a], s.free[b]) =
          inverse(static_cast<Eigen::Index>(a), static_cast<Eigen::Index>(b));
  fit.view.sigma_mm = fit.left_out_rms_mm;
  for (const auto& p : points) fit.view.middle_px += p.picture_px / static_cast<double>(points.size());
  fit.good = std::isfinite(fit.left_out_rms_mm);
  if (fit.good) fit.without_part = without_each_part(start, points, kLadder[chosen]);
  return fit;
}

}  // namespace tapersight
