#include "edges/sharp_lines.h"

#include <Eigen/Core>
#include <optional>

#include "edges/raised_edge.h"
#include "edges/scan_lines.h"
#include "imaging/parallel.h"

namespace tapersight {
namespace {

constexpr double kBorderMm = 1.2;
constexpr double kReachPx = 2.5, kReachMm = 0.5;
// A line's segments deviate from straight by this much: noise, and roughness. Lines of the wood by far more.
constexpr double kWanderPx = 0.25, kWanderMm = 0.06, kNearlyAsStrong = 0.6;
// An edge of little contrast beside figured wood: only where there is no better.
constexpr double kMostWanderPx = 1.5;

class Looker {
 public:
  Looker(const cv::Mat& grey, const SheetMap& map, const RegionView& view, const StripSearch& search,
         double blur_px, Look look)
      : grey_(grey), map_(map), view_(view), search_(search), blur_px_(blur_px), look_(look) {}

  // The line in the full picture; nothing when it is soft, or no line there.
  std::optional<SharpLine> look(const LongLine& line) const {
    LongLine within = line;
    within.from_mm += 1;
    within.to_mm -= 1;
    LongLine stand_in = within;
    stand_in.at_mm += 10;
    const StripOutline o = outline_between(view_, search_, within, stand_in, within.from_mm, within.to_mm);
    const Eigen::Vector2d run =
        map_.picture_from_sheet(o.on_side(0, 10)) - map_.picture_from_sheet(o.on_side(0, -10));
    const ScanLines lines(grey_, std::abs(run.y()) >= std::abs(run.x()));
    const bool down = o.along.y() > 0;
    const int side = down ? 0 : 1;
    const SidePath path(lines, map_, o, side);
    if (path.last_line() - path.first_line() < 200) return std::nullopt;
    const double slant = run.norm() / std::max(std::abs(run.x()), std::abs(run.y()));
    const double middle = (path.first_line() + path.last_line()) / 2.0;
    const SidePath other(lines, map_, o, 1 - side);
    const double px_per_mm = std::abs(path.place(middle) - other.place(middle)) / 10;
    RaisedEdgeOptions options;
    options.blur_px = blur_px_ * slant;
    options.reach_px = std::max(kReachPx, kReachMm * px_per_mm);
    options.second_line = false;
    auto edge = fit_raised_edge(lines, path, options);
    const double most_blur = most_sharp_blur_px(options.blur_px, px_per_mm);
    if (look_ == Look::kLenient && edge && edge->blur_px > most_blur) {
      options.second_line = true;
      options.most_blur_px = most_blur;
      edge = fit_raised_edge(lines, path, options);
    }
    if (!edge || std::abs(edge->place_px()) > options.reach_px) return std::nullopt;
    if (edge->blur_px > most_blur || edge->wander_px > kMostWanderPx) return std::nullopt;
    const double straight_px = std::hypot(kWanderPx, kWanderMm * px_per_mm);
    SharpLine sharp{line,
                    edge->step,
                    edge->before(),
                    edge->u_lean_px / px_per_mm,
                    edge->wander_px <= straight_px,
                    edge->wander_px <= 2 * straight_px,
                    {}};
    const auto seen_at = [&](double along) {
      return lines.line_of(
          map_.picture_from_sheet(view_.origin_mm + Eigen::Vector2d(line.place(along), along)));
    };
    const double way = seen_at(line.to_mm) > seen_at(line.from_mm) ? 1 : -1;
    const double lean = way * 2 * edge->lean_px / px_per_mm / line.length_mm();
    sharp.line.at_mm += edge->place_px() / px_per_mm - lean * (line.from_mm + line.to_mm) / 2;
    sharp.line.lean += lean;
    sharp.whole = sharp.line;
    const double half = line.length_mm() / 2;
    sharp.line.from_mm += half * (1 + (way > 0 ? edge->from : -edge->to));
    sharp.line.to_mm -= half * (1 - (way > 0 ? edge->to : -edge->from));
    return sharp;
  }

 private:
  const cv::Mat& grey_;
  const SheetMap& map_;
  const RegionView& view_;
  const StripSearch& search_;
  double blur_px_;
  Look look_;
};

}  // namespace

StripOutline outline_between(const RegionView& view, const StripSearch& search, const LongLine& left,
                             const LongLine& right, double from_mm, double to_mm) {
  StripOutline o;
  const double middle = (from_mm + to_mm) / 2;
  const double lean = (left.lean + right.lean) / 2;
  const double centre = (left.place(middle) + right.place(middle)) / 2;
  o.centre_mm = view.origin_mm + Eigen::Vector2d(centre, middle);
  o.along = Eigen::Vector2d(lean, 1).normalized();
  const bool down = o.along.dot(search.fence_direction) >= 0;
  if (!down) o.along = -o.along;
  const double half = (to_mm - from_mm) / 2 * std::hypot(1, lean);
  o.far_mm = -half;
  o.fence_mm = half;
  for (int k = 0; k < 2; ++k) {
    // across() points right when `along` points down the view.
    const LongLine& line = (k == 0) == down ? left : right;
    const auto local = [&](double along) -> Eigen::Vector2d {
      const Eigen::Vector2d d = view.origin_mm + Eigen::Vector2d(line.place(along), along) - o.centre_mm;
      return {d.dot(o.along), d.dot(o.across())};
    };
    const Eigen::Vector2d a = local(from_mm), b = local(to_mm);
    o.more_far_mm[k] = down ? from_mm - line.from_mm : line.to_mm - to_mm;
    o.more_fence_mm[k] = down ? line.to_mm - to_mm : from_mm - line.from_mm;
    o.side_lean[k] = (b.y() - a.y()) / (b.x() - a.x());
    o.side_at_mm[k] = a.y() - o.side_lean[k] * a.x();
  }
  return o;
}

std::vector<LongLine> lines_within(const RegionView& view, double least_length_mm) {
  const double width_mm = view.code.cols / RegionView::kPxPerMm;
  std::vector<LongLine> lines = find_long_lines(view, least_length_mm);
  const auto on_border = [&](const LongLine& line) {
    const double middle = line.place((line.from_mm + line.to_mm) / 2);
    return middle < kBorderMm || middle > width_mm - kBorderMm;
  };
  lines.erase(std::remove_if(lines.begin(), lines.end(), on_border), lines.end());
  return lines;
}

std::vector<SharpLine> look_along(const std::vector<LongLine>& lines, const cv::Mat& grey,
                                  const SheetMap& map, const RegionView& view, const StripSearch& search,
                                  double blur_px, Look look) {
  const Looker looker(grey, map, view, search, blur_px, look);
  std::vector<std::optional<SharpLine>> looked(lines.size());
  in_parallel(static_cast<int>(lines.size()), [&](int i) {
    const auto k = static_cast<std::size_t>(i);
    looked[k] = looker.look(lines[k]);
  });
  std::vector<SharpLine> all;
  double strongest = 0;
  for (const auto& sharp : looked) {
    if (!sharp) continue;
    all.push_back(*sharp);
    if (sharp->hardly_straight) strongest = std::max(strongest, std::abs(sharp->step));
  }
  if (look == Look::kLenient)
    for (SharpLine& c : all)
      c.straight |= c.hardly_straight && std::abs(c.step) > kNearlyAsStrong * strongest;
  return all;
}

}  // namespace tapersight
