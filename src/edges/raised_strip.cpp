#include "edges/raised_strip.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <cstdio>
#include <cstdlib>
#include <vector>

#include "edges/choose_border.h"
#include "edges/ground.h"
#include "edges/long_lines.h"
#include "edges/parted_strip.h"
#include "edges/scan_lines.h"

namespace tapersight {
namespace {

constexpr double kLeastWidthMm = 4, kMostWidthMm = 50;
constexpr double kMostLeanApart = 0.02;  // of the two sides: far more than any fence makes
constexpr double kEndsApartMm = 14;      // parallax and ragged ends
constexpr double kWallMm = 9;            // the widest side wall in view: 20 mm seen from 25 degrees
constexpr double kWeak = 0.2;            // of the strongest line of a side: weaker ones are chance

// A long line as the full picture shows it.
struct SharpLine {
  LongLine line;
  double step = 0;     // light, growing to the right
  double blur_px = 0;  // across the line
};

class Looker {
 public:
  Looker(const cv::Mat& grey, const SheetMap& map, const RegionView& view, const StripSearch& search,
         double blur_px)
      : grey_(grey), map_(map), view_(view), search_(search), blur_px_(blur_px) {}

  // Two view lines as an outline; `right` may be a mere stand-in.
  StripOutline outline(const LongLine& left, const LongLine& right, double from_mm, double to_mm) const {
    StripOutline o;
    const double middle = (from_mm + to_mm) / 2;
    const double lean = (left.lean + right.lean) / 2;
    const double centre = (left.place(middle) + right.place(middle)) / 2;
    o.centre_mm = view_.origin_mm + Eigen::Vector2d(centre, middle);
    o.along = Eigen::Vector2d(lean, 1).normalized();
    const bool down = o.along.dot(search_.fence_direction) >= 0;
    if (!down) o.along = -o.along;
    const double half = (to_mm - from_mm) / 2 * std::hypot(1, lean);
    o.far_mm = -half;
    o.fence_mm = half;
    for (int k = 0; k < 2; ++k) {
      // across() points right when `along` points down the view.
      const LongLine& line = (k == 0) == down ? left : right;
      const auto local = [&](double along) -> Eigen::Vector2d {
        const Eigen::Vector2d d =
            view_.origin_mm + Eigen::Vector2d(line.place(along), along) - o.centre_mm;
        return {d.dot(o.along), d.dot(o.across())};
      };
      const Eigen::Vector2d a = local(from_mm), b = local(to_mm);
      o.side_lean[k] = (b.y() - a.y()) / (b.x() - a.x());
      o.side_at_mm[k] = a.y() - o.side_lean[k] * a.x();
    }
    return o;
  }

  // The line in the full picture; nothing when it is soft, or no line there.
  std::optional<SharpLine> look(const LongLine& line) const {
    LongLine stand_in = line;
    stand_in.at_mm += 10;
    const StripOutline o = outline(line, stand_in, line.from_mm + 1, line.to_mm - 1);
    const Eigen::Vector2d run = map_.picture_from_sheet(o.on_side(0, 10)) - map_.picture_from_sheet(o.on_side(0, -10));
    const ScanLines lines(grey_, std::abs(run.y()) >= std::abs(run.x()));
    const bool down = o.along.y() > 0;
    const int side = down ? 0 : 1;
    const SidePath path(lines, map_, o, side);
    if (path.last_line() - path.first_line() < 200) return std::nullopt;
    const double slant = run.norm() / std::max(std::abs(run.x()), std::abs(run.y()));
    const double middle = (path.first_line() + path.last_line()) / 2.0;
    const SidePath other(lines, map_, o, 1 - side);
    BorderOptions options;
    options.px_per_mm = std::abs(path.place(middle) - other.place(middle)) / 10;
    options.target_blur_px = blur_px_ * slant;
    options.outward_mm = options.inward_mm = std::max(0.7, 5 * slant / options.px_per_mm);
    const Result<BorderChoice> border = choose_border(lines, path, options);
    if (!border) return std::nullopt;
    const BorderCandidate& edge = border->edge;
    if (std::getenv("TS_DEBUG"))
      std::fprintf(stderr, "   look at %.2f len %.0f: off %.2f blur %.2f (sheet %.2f) step %.3f wander %.2f cons %.2f\n",
                   line.place(120), line.length_mm(), edge.offset_px, edge.blur_px / slant, blur_px_, edge.step,
                   edge.wander_px, edge.consistent);
    const double rough_px = 0.03 * options.px_per_mm;
    if (edge.blur_px > std::sqrt(1.8 * std::pow(options.target_blur_px, 2) + rough_px * rough_px + 0.09))
      return std::nullopt;
    return SharpLine{line, edge.step, edge.blur_px / slant};
  }

 private:
  const cv::Mat& grey_;
  const SheetMap& map_;
  const RegionView& view_;
  const StripSearch& search_;
  double blur_px_;
};

struct Pair {
  const SharpLine *left, *right;
  double from_mm, to_mm;
  double score;
};

std::optional<Pair> pair_of(const SharpLine& a, const SharpLine& b) {
  const double from = std::max(a.line.from_mm, b.line.from_mm);
  const double to = std::min(a.line.to_mm, b.line.to_mm);
  const double middle = (from + to) / 2;
  const double width = b.line.place(middle) - a.line.place(middle);
  if (width < kLeastWidthMm || width > kMostWidthMm) return std::nullopt;
  if (std::abs(a.line.lean - b.line.lean) > kMostLeanApart) return std::nullopt;
  if (std::abs(a.line.from_mm - b.line.from_mm) > kEndsApartMm ||
      std::abs(a.line.to_mm - b.line.to_mm) > kEndsApartMm)
    return std::nullopt;
  return Pair{&a, &b, from, to, (to - from) * std::sqrt(std::abs(a.step * b.step))};
}

// The outermost line of a side that is no chance: within a wall's width of `inner`, not much weaker.
const SharpLine* outermost(const std::vector<SharpLine>& lines, const SharpLine* inner, int outward) {
  const SharpLine* best = inner;
  for (const SharpLine& c : lines) {
    const double middle = (inner->line.from_mm + inner->line.to_mm) / 2;
    const double out = outward * (c.line.place(middle) - inner->line.place(middle));
    if (out <= 0 || out > kWallMm || std::abs(c.line.lean - inner->line.lean) > 0.012) continue;
    if (std::abs(c.line.from_mm - inner->line.from_mm) > kEndsApartMm ||
        std::abs(c.line.to_mm - inner->line.to_mm) > kEndsApartMm)
      continue;
    if (std::abs(c.step) < kWeak * std::abs(inner->step)) continue;
    if (outward * (c.line.place(middle) - best->line.place(middle)) > 0) best = &c;
  }
  return best;
}

const Failure kNoStrip{"no-strip", "No strip can be seen in the channel.",
                       "Lay the strip in the open channel, clear of the chessboards."};

}  // namespace

Result<StripOutline> find_raised_strip(const cv::Mat& grey, const SheetMap& map, const StripSearch& search,
                                       double blur_px, double px_per_mm) {
  (void)px_per_mm;
  const RegionView view = view_region(grey, map, search.low_mm, search.high_mm);
  const double width_mm = view.code.cols / RegionView::kPxPerMm;
  const double length_mm = view.code.rows / RegionView::kPxPerMm;
  const Looker looker(grey, map, view, search, blur_px);
  std::vector<SharpLine> lines;
  bool any = false;
  for (const LongLine& line : find_long_lines(view, search.least_length_mm)) {
    const double middle = line.place((line.from_mm + line.to_mm) / 2);
    // The channel's own border, drawn as a hairline.
    if (middle < 1.2 || middle > width_mm - 1.2) continue;
    any = true;
    if (auto sharp = looker.look(line)) lines.push_back(*sharp);
  }
  std::optional<Pair> best;
  for (std::size_t i = 0; i < lines.size(); ++i)
    for (std::size_t k = i + 1; k < lines.size(); ++k)
      if (const auto pair = pair_of(lines[i], lines[k]); pair && (!best || pair->score > best->score))
        best = pair;
  if (!best) {
    if (!any) return kNoStrip;
    return Failure{"edge-not-found", "One long edge of the strip cannot be made out from end to end.",
                   "Give the strip a ground of another tone or light it from another side, so that its edges "
                   "show sharp, and take the photo again."};
  }
  best->left = outermost(lines, best->left, -1);
  best->right = outermost(lines, best->right, 1);
  best->from_mm = std::max(best->left->line.from_mm, best->right->line.from_mm);
  best->to_mm = std::min(best->left->line.to_mm, best->right->line.to_mm);
  if (best->from_mm < 1 || best->to_mm > length_mm - 1)
    return Failure{"strip-not-in-channel", "The strip reaches beyond the channel's end.",
                   "Lay it within the open channel; cut it to 10 in (254 mm) or less."};
  if (best->to_mm - best->from_mm < search.least_length_mm)
    return Failure{"strip-too-short", "The strip is too short to measure.",
                   "Cut a strip at least 4 in (100 mm) long."};
  return looker.outline(best->left->line, best->right->line, best->from_mm, best->to_mm);
}

}  // namespace tapersight
