#include "edges/piece_outline.h"

#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <tuple>
#include <utility>
#include <vector>

namespace tapersight {
namespace {

constexpr double kPitch = 1 / RegionView::kPxPerMm;
constexpr double kMostBendMm = 0.7;  // of the middle, over the ends' fifths
constexpr double kStepMm = 6;        // longest torn end that still passes for one
constexpr double kFullWidth = 0.6;   // of the usual one, at least
constexpr double kClearlyWood = 0.25;

// Robust straight line value = at + lean * position: iterated least squares with Tukey's biweight.
std::pair<double, double> robust_line(const std::vector<Eigen::Vector2d>& points) {
  double at = 0;
  double lean = 0;
  std::vector<double> weight(points.size(), 1.0);
  for (int pass = 0; pass < 12; ++pass) {
    double sw = 0, sx = 0, sy = 0, sxx = 0, sxy = 0;
    for (std::size_t i = 0; i < points.size(); ++i) {
      const double w = weight[i];
      sw += w;
      sx += w * points[i].x();
      sy += w * points[i].y();
      sxx += w * points[i].x() * points[i].x();
      sxy += w * points[i].x() * points[i].y();
    }
    const double determinant = sw * sxx - sx * sx;
    if (!(determinant > 0)) break;
    lean = (sw * sxy - sx * sy) / determinant;
    at = (sy - lean * sx) / sw;
    std::vector<double> errors;
    errors.reserve(points.size());
    for (const auto& p : points) errors.push_back(std::abs(p.y() - at - lean * p.x()));
    std::vector<double> sorted = errors;
    std::nth_element(sorted.begin(), sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2),
                     sorted.end());
    const double scale = 4.685 * std::max(0.05, 1.4826 * sorted[sorted.size() / 2]);
    for (std::size_t i = 0; i < points.size(); ++i) {
      const double r = errors[i] / scale;
      weight[i] = r < 1 ? (1 - r * r) * (1 - r * r) : 0;
    }
  }
  return {at, lean};
}

double median_across(const std::vector<Eigen::Vector2d>& points, double from, double to) {
  std::vector<double> values;
  for (std::size_t i = static_cast<std::size_t>(from * static_cast<double>(points.size()));
       i < static_cast<std::size_t>(to * static_cast<double>(points.size())); ++i)
    values.push_back(points[i].y());
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

// Do both sides bend the same way, by more than any strip that is worth measuring?
bool bent(const std::vector<Eigen::Vector2d>* sides) {
  double bend[2];
  for (int k = 0; k < 2; ++k)
    bend[k] = median_across(sides[k], 0.4, 0.6) -
              (median_across(sides[k], 0, 0.2) + median_across(sides[k], 0.8, 1)) / 2;
  return bend[0] * bend[1] > 0 && std::min(std::abs(bend[0]), std::abs(bend[1])) > kMostBendMm;
}

// The piece's extreme contour points to both sides, by millimetres along it.
class Silhouette {
 public:
  Silhouette(const Piece& piece, const RegionView& view, const StripOutline& frame) {
    std::vector<Eigen::Vector2d> local;
    for (const cv::Point& p : piece.contour) {
      const Eigen::Vector2d d = view.sheet_from_view(p.x, p.y) - frame.centre_mm;
      local.emplace_back(d.dot(frame.along), d.dot(frame.across()));
      first_ = std::min(first_, local.back().x());
      last_ = std::max(last_, local.back().x());
    }
    const int count = std::max(8, static_cast<int>((last_ - first_) / 1.0));
    bins_.resize(static_cast<std::size_t>(count));
    for (const Eigen::Vector2d& p : local) {
      const int i = static_cast<int>((p.x() - first_) / (last_ - first_) * count);
      Bin& bin = bins_[static_cast<std::size_t>(std::clamp(i, 0, count - 1))];
      bin.low = std::min(bin.low, p.y());
      bin.high = std::max(bin.high, p.y());
    }
    std::vector<double> widths;
    for (const Bin& bin : bins_)
      if (bin.width() > 0) widths.push_back(bin.width());
    std::nth_element(widths.begin(), widths.begin() + static_cast<std::ptrdiff_t>(widths.size() / 2),
                     widths.end());
    usual_width_ = widths[widths.size() / 2];
  }

  int count() const { return static_cast<int>(bins_.size()); }
  double position(int i) const { return first_ + (i + 0.5) * (last_ - first_) / count(); }
  bool full(int i) const { return at(i).width() > kFullWidth * usual_width_; }
  Eigen::Vector2d low(int i) const { return {position(i), at(i).low - kPitch / 2}; }
  Eigen::Vector2d high(int i) const { return {position(i), at(i).high + kPitch / 2}; }

  // How much of bins `from` to `to` (not itself) is clearly wood; mm.
  double wood_mm(int from, int to) const {
    int wood = 0;
    for (int i = from; i < to; ++i) wood += at(i).width() > kClearlyWood * usual_width_;
    return wood * (last_ - first_) / count();
  }

 private:
  struct Bin {
    double low = 1e9, high = -1e9;
    double width() const { return high - low; }
  };
  const Bin& at(int i) const { return bins_[static_cast<std::size_t>(i)]; }

  double first_ = 1e9, last_ = -1e9;
  std::vector<Bin> bins_;
  double usual_width_ = 0;
};

}  // namespace

StripOutline box_of(const Piece& piece, const RegionView& view, const StripSearch& search) {
  StripOutline o;
  o.along = Eigen::Vector2d(std::cos(piece.along_rad()), std::sin(piece.along_rad()));
  if (o.along.dot(search.fence_direction) < 0) o.along = -o.along;
  o.centre_mm = view.sheet_from_view(piece.box.center.x, piece.box.center.y);
  o.far_mm = -piece.length_mm() / 2;
  o.fence_mm = piece.length_mm() / 2;
  o.side_at_mm[0] = -piece.width_mm() / 2;
  o.side_at_mm[1] = piece.width_mm() / 2;
  return o;
}

Result<StripOutline> outline_of(const Piece& piece, const RegionView& view, const StripSearch& search) {
  StripOutline o = box_of(piece, view, search);
  const Silhouette seen(piece, view, o);
  const int bins = seen.count();
  int from = 0;
  int to = bins - 1;
  while (from < to && !seen.full(from)) ++from;
  while (to > from && !seen.full(to)) --to;
  std::vector<Eigen::Vector2d> sides[2];
  for (int i = from + bins / 20; i <= to - bins / 20; ++i)
    if (seen.full(i)) {
      sides[0].push_back(seen.low(i));
      sides[1].push_back(seen.high(i));
    }
  if (sides[0].size() < 20)
    return Failure{"not-a-strip", "What lies in the channel does not have two long straight edges.",
                   "Lay the strip that the last cut took off in the channel."};
  if (bent(sides))
    return Failure{"edge-not-straight", "The strip's edges are not straight: it is bent or broken.",
                   "Cut a new strip; if it happens again, the fence itself is not straight."};
  if (std::max(seen.wood_mm(0, from), seen.wood_mm(to + 1, bins)) > kStepMm)
    return Failure{"two-strips", "One end is stepped, as if two strips lay against each other.",
                   "Leave only the strip to be measured; if it is one piece, cut its torn end off."};
  for (int k = 0; k < 2; ++k) std::tie(o.side_at_mm[k], o.side_lean[k]) = robust_line(sides[k]);
  o.far_mm = seen.position(from) - 0.5;
  o.fence_mm = seen.position(to) + 0.5;
  return o;
}

}  // namespace tapersight
