#include "target/fit_plane.h"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <utility>

#include "numeric/dense.h"
#include "target/sheet_layout.h"

namespace tapersight {
namespace {

struct Ladder {
  int u, v;
};

// Orders across the channel and along it, from stiff to loose.
constexpr Ladder kLadder[] = {{1, 1}, {2, 1}, {1, 2}, {3, 1}, {1, 3}, {2, 3},  {3, 3},
                              {1, 5}, {2, 5}, {3, 5}, {1, 8}, {3, 8}, {1, 12}, {3, 12}};

// The channel may lie along u or along v in the picture.
bool channel_along_v(const std::vector<Correspondence>& points) {
  double su = 0, sv = 0, sy = 0;
  for (const auto& p : points) sy += p.sheet_mm.y() / static_cast<double>(points.size());
  for (const auto& p : points) {
    su += p.picture_px.x() * (p.sheet_mm.y() - sy);
    sv += p.picture_px.y() * (p.sheet_mm.y() - sy);
  }
  return std::abs(sv) >= std::abs(su);
}

// The ladder's orders as orders of u and v.
Ladder turned(Ladder across_along, const std::vector<Correspondence>& points) {
  return channel_along_v(points) ? across_along : Ladder{across_along.v, across_along.u};
}

PlaneMap frame_of(const std::vector<Correspondence>& points, Ladder order) {
  Eigen::Vector2d low = points.front().picture_px;
  Eigen::Vector2d high = low;
  for (const auto& p : points) {
    low = low.cwiseMin(p.picture_px);
    high = high.cwiseMax(p.picture_px);
  }
  PlaneMap map;
  map.order_u = order.u;
  map.order_v = order.v;
  map.centre_px = (low + high) / 2;
  map.scale_px = (high - low).cwiseMax(2.0) / 2;
  return map;
}

void solve(PlaneMap& map, const std::vector<const Correspondence*>& points) {
  const auto n = static_cast<Eigen::Index>(points.size());
  const Eigen::Index m = 1 + map.order_u + map.order_v;
  Eigen::MatrixXd design(n, m);
  Eigen::MatrixXd target(n, 2);
  for (Eigen::Index i = 0; i < n; ++i) {
    design.row(i) = map.basis(points[static_cast<std::size_t>(i)]->picture_px);
    target.row(i) = points[static_cast<std::size_t>(i)]->sheet_mm;
  }
  map.coefficients = PivotedQr(design).solve(target);
  map.unit_covariance = inverse(gram(design));
}

double squared_error(const PlaneMap& map, const Correspondence& p) {
  return (map.sheet_from_picture(p.picture_px) - p.sheet_mm).squaredNorm();
}

// Mean square (mm^2, both axes) of the points left out in turn, by the part that `part_of` tells for each.
template <typename PartOf>
double left_out_mean_square(const std::vector<Correspondence>& points, Ladder order, int parts,
                            PartOf&& part_of) {
  double sum = 0;
  for (int part = 0; part < parts; ++part) {
    PlaneMap map = frame_of(points, order);
    std::vector<const Correspondence*> kept;
    for (const auto& p : points)
      if (part_of(p) != part) kept.push_back(&p);
    if (kept.size() == points.size()) continue;
    solve(map, kept);
    for (const auto& p : points)
      if (part_of(p) == part) sum += squared_error(map, p);
  }
  return sum / static_cast<double>(points.size());
}

// Rows tell how well the model interpolates along the channel, columns how well across it.
double left_out_mean_square(const std::vector<Correspondence>& points, Ladder order, int folds) {
  const double rows =
      left_out_mean_square(points, order, folds, [&](const auto& p) { return p.row % folds; });
  const double columns =
      left_out_mean_square(points, order, 6, [](const auto& p) { return 3 * p.block + p.column; });
  return (rows + columns) / 2;
}

PlaneMap fit_all(const std::vector<Correspondence>& points, Ladder order) {
  PlaneMap map = frame_of(points, order);
  std::vector<const Correspondence*> all;
  for (const auto& p : points) all.push_back(&p);
  solve(map, all);
  return map;
}

// The coefficient of u' v' beside the chosen model, in the sheet's x: x = ... + c u' v'. It is not put into
// the map: a print and a scanner whose scale changes look the same, and only the scanner's is the strip's.
CrossGradient cross_gradient_of(const std::vector<Correspondence>& points, const PlaneMap& map) {
  const auto n = static_cast<Eigen::Index>(points.size());
  const Eigen::Index m = 1 + map.order_u + map.order_v;
  Eigen::MatrixXd design(n, m + 1);
  Eigen::VectorXd target(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const Correspondence& p = points[static_cast<std::size_t>(i)];
    const Eigen::Vector2d at = (p.picture_px - map.centre_px).cwiseQuotient(map.scale_px);
    design.row(i).head(m) = map.basis(p.picture_px);
    design(i, m) = at.x() * at.y();
    target[i] = p.sheet_mm.x();
  }
  const Eigen::MatrixXd solution = PivotedQr(design).solve(target);
  const Eigen::MatrixXd covariance = inverse(gram(design));
  const double sigma_mm = std::sqrt((target - design * solution).squaredNorm() /
                                    std::max<double>(1, static_cast<double>(n - m - 1)));
  // u' v' over the product of the sheet's own millimetres, both seen from the middle.
  const Eigen::Matrix2d d = map.derivative(map.centre_px) * map.scale_px.asDiagonal();
  const double per_mm2 = 1 / (d(0, 0) * d(1, 1) + d(0, 1) * d(1, 0));
  // Where the map has to stretch the picture to fit the print, the picture's scale there is the smaller.
  return {-solution(m, 0) * per_mm2, std::sqrt(covariance(m, m)) * sigma_mm * std::abs(per_mm2)};
}

// Drops points that a flexible model does not explain; returns how many.
int reject_outliers(std::vector<Correspondence>& points, const PlaneFitOptions& options) {
  const std::size_t before = points.size();
  for (int pass = 0; pass < 5; ++pass) {
    const PlaneMap map = fit_all(points, points.size() > 60 ? turned({3, 5}, points) : Ladder{1, 1});
    std::vector<double> errors;
    for (const auto& p : points) errors.push_back(std::sqrt(squared_error(map, p)));
    std::vector<double> sorted = errors;
    std::nth_element(sorted.begin(), sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2),
                     sorted.end());
    // The median length of a two-dimensional Gaussian is 1.1774 standard deviations of an axis.
    const double limit = options.reject_sigma * 1.25 * std::max(sorted[sorted.size() / 2] / 1.1774, 1e-4);
    std::vector<Correspondence> kept;
    for (std::size_t i = 0; i < points.size(); ++i)
      if (errors[i] <= limit) kept.push_back(points[i]);
    if (kept.size() == points.size()) break;
    points = std::move(kept);
  }
  return static_cast<int>(before - points.size());
}

Failure covered() {
  return {"target-covered", "Too little of the printed sheet can be seen.",
          "Make sure the chessboards show on both sides along the whole strip, and scan again."};
}

Failure distorted() {
  return {"sheet-distorted", "The printed sheet is not flat on the glass, or this is not a scan.",
          "Press the sheet flat under the lid and scan again."};
}

// Of a sheet that the glass or something on it cuts short the rows that both blocks show are enough, if the
// strip lies between them.
struct RowsSeen {
  int first = 0, last = -1;  // on both sides
  int least_count = 0;       // of the block that shows fewer points
};

RowsSeen rows_seen(const std::vector<Correspondence>& points) {
  int first[2] = {1000, 1000};
  int last[2] = {-1, -1};
  int count[2] = {0, 0};
  for (const auto& p : points) {
    first[p.block] = std::min(first[p.block], p.row);
    last[p.block] = std::max(last[p.block], p.row);
    ++count[p.block];
  }
  return {std::max(first[0], first[1]), std::min(last[0], last[1]), std::min(count[0], count[1])};
}

constexpr int kRowsBeyond = 3;  // rows of 8 mm, in which the map is still trusted

// Enough for the shortest strip that can be measured (50 mm), with the rows beyond.
bool enough(const RowsSeen& rows) {
  constexpr int kLeastRows = 8, kLeastPoints = 16;
  return rows.last - rows.first + 1 >= kLeastRows && rows.least_count >= kLeastPoints;
}

// y of the sheet at a row that may not be seen.
double row_mm(const std::vector<Correspondence>& points, int row) {
  const auto [low, high] = std::minmax_element(points.begin(), points.end(),
                                               [](const auto& a, const auto& b) { return a.row < b.row; });
  const double pitch = (high->sheet_mm.y() - low->sheet_mm.y()) / (high->row - low->row);
  return low->sheet_mm.y() + pitch * (row - low->row);
}

}  // namespace

Result<PlaneFit> fit_plane(const std::vector<Correspondence>& all, const PlaneFitOptions& options) {
  std::vector<Correspondence> points = all;
  if (!enough(rows_seen(points))) return covered();
  PlaneFit fit;
  fit.points_rejected = reject_outliers(points, options);
  const RowsSeen rows = rows_seen(points);
  if (!enough(rows)) return distorted();
  fit.seen_low_mm = row_mm(points, rows.first - kRowsBeyond);
  fit.seen_high_mm = row_mm(points, rows.last + kRowsBeyond);
  fit.seen_whole = rows.first <= kRowsBeyond && rows.last >= kSaddleRows - 1 - kRowsBeyond;

  std::vector<std::pair<Ladder, double>> tried;
  double best = 1e300;
  for (const Ladder across_along : kLadder) {
    const Ladder order = turned(across_along, points);
    if (static_cast<std::size_t>(4 * (1 + order.u + order.v)) > points.size()) continue;
    tried.emplace_back(order, left_out_mean_square(points, order, options.folds));
    best = std::min(best, tried.back().second);
  }
  const double enough = best * (1 + options.worth) * (1 + options.worth);
  const auto chosen =
      std::find_if(tried.begin(), tried.end(), [&](const auto& t) { return t.second <= enough; });
  fit.map = fit_all(points, chosen->first);
  fit.map.sigma_mm = std::sqrt(chosen->second / 2);

  fit.cross_gradient = cross_gradient_of(points, fit.map);

  const Eigen::Matrix2d d = fit.map.derivative(fit.map.centre_px).inverse();  // px per mm
  fit.px_per_mm_x = d.col(0).norm();
  fit.px_per_mm_y = d.col(1).norm();
  const double px_per_mm = std::sqrt(fit.px_per_mm_x * fit.px_per_mm_y);
  double sum = 0;
  for (const auto& p : points) sum += squared_error(fit.map, p);
  fit.points_used = static_cast<int>(points.size());
  fit.residual_rms_px = std::sqrt(sum / 2 / static_cast<double>(points.size())) * px_per_mm;
  fit.left_out_rms_px = fit.map.sigma_mm * px_per_mm;
  return fit;
}

}  // namespace tapersight
