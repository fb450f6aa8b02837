#include "edges/raised_strip.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include "edges/ground.h"
#include "edges/long_lines.h"
#include "edges/parted_strip.h"
#include "edges/raised_edge.h"
#include "edges/scan_lines.h"
#include "imaging/parallel.h"

namespace tapersight {
namespace {

constexpr double kLeastWidthMm = 4;
constexpr double kMostLeanApart = 0.02;  // of the two sides: far more than any fence makes
constexpr double kEndsApartMm = 14;      // parallax and ragged ends
constexpr double kBorderMm = 1.2;
constexpr double kWallMm = 9;        // the widest side wall in view: 20 mm seen from 25 degrees
constexpr double kLongEnough = 0.8;  // of the longest line
constexpr double kWeak = 0.12;       // of the strongest line: weaker ones are chance
constexpr double kLeastStep = 0.01;  // of the light beside it: a line with less is a shadow's soft end
constexpr double kLeastGapMm = 3;
constexpr double kMostLeanBeside = 0.006;  // of two lines of one side
constexpr double kBlack = 0.3;       // of the light outside: dark wood is as dark, and so is black paper
constexpr double kAsStrong = 0.25;   // of such an edge's step: more than figure shows in dark wood
constexpr double kAsLong = 0.35;     // of the edges: the shortest strip on paper as long as the channel
constexpr double kParallel = 0.001;  // arrises, each with its own roughness
constexpr double kReachPx = 2.5, kReachMm = 0.5;
constexpr double kRoughMm = 0.07, kMostBlurRatio = 1.35;
constexpr double kParallaxMm = 12;  // how far the top face may seem to reach beyond the channel's ends
// A line's segments deviate from straight by this much: noise, and roughness. Lines of the wood by far more.
constexpr double kWanderPx = 0.25, kWanderMm = 0.06;
constexpr double kMostWanderPx =
    1.5;  // an edge of little contrast beside figured wood: only where there is no better

// A long line as the full picture shows it.
struct SharpLine {
  LongLine line;
  double step = 0;       // light, growing to the right
  double before = 0;     // light to its left
  double u_lean_mm = 0;  // of its lean, over half its length
  bool straight = true;
  double worth() const { return 1 / std::max(u_lean_mm, 1e-4); }
  double middle() const { return line.place((line.from_mm + line.to_mm) / 2); }
  double after() const { return before + step; }
  bool shows() const { return std::abs(step) > kLeastStep * std::max(before, after()); }
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
        const Eigen::Vector2d d = view_.origin_mm + Eigen::Vector2d(line.place(along), along) - o.centre_mm;
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

  // The line in the full picture; nothing when it is soft, or no line there.
  std::optional<SharpLine> look(const LongLine& line) const {
    LongLine within = line;
    within.from_mm += 1;
    within.to_mm -= 1;
    LongLine stand_in = within;
    stand_in.at_mm += 10;
    const StripOutline o = outline(within, stand_in, within.from_mm, within.to_mm);
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
    const auto edge = fit_raised_edge(lines, path, options);
    if (!edge || std::abs(edge->offset_px) > options.reach_px) return std::nullopt;
    const double rough_px = kRoughMm * px_per_mm;
    const double most_blur = std::hypot(kMostBlurRatio * options.blur_px, rough_px, 0.3);
    if (edge->blur_px > most_blur || edge->wander_px > kMostWanderPx) return std::nullopt;
    SharpLine sharp{line, edge->step, edge->ground(), edge->u_lean_px / px_per_mm,
                    edge->wander_px <= std::hypot(kWanderPx, kWanderMm * px_per_mm)};
    const auto seen_at = [&](double along) {
      return lines.line_of(
          map_.picture_from_sheet(view_.origin_mm + Eigen::Vector2d(line.place(along), along)));
    };
    const double way = seen_at(line.to_mm) > seen_at(line.from_mm) ? 1 : -1;
    const double lean = way * 2 * edge->lean_px / px_per_mm / line.length_mm();
    sharp.line.at_mm += edge->offset_px / px_per_mm - lean * (line.from_mm + line.to_mm) / 2;
    sharp.line.lean += lean;
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
};

// The best line of those near the outermost one.
const SharpLine* best_of(const std::vector<SharpLine>& all, const SharpLine& outermost, double reach_mm) {
  const SharpLine* best = nullptr;
  for (const SharpLine& c : all) {
    if (std::abs(c.middle() - outermost.middle()) > reach_mm) continue;
    if (std::abs(c.line.lean - outermost.line.lean) > kMostLeanBeside) continue;  // arrises are parallel
    if (!best || c.worth() > best->worth()) best = &c;
  }
  return best;
}

// Do two straight lines run along the middle, as the inner sides of two strips do? A single strip shows a
// wall on one side only.
bool between_two(const std::vector<SharpLine>& telling) {
  const double left = telling.front().middle(), right = telling.back().middle();
  for (std::size_t i = 1; i + 1 < telling.size(); ++i)
    for (std::size_t k = i + 1; k + 1 < telling.size(); ++k)
      if (telling[i].middle() - left >= kLeastWidthMm && right - telling[k].middle() >= kLeastWidthMm &&
          telling[k].middle() - telling[i].middle() >= kLeastGapMm)
        return true;
  return false;
}

// Black within the outline, white outside: dark wood, or black paper under the strip? On dark wood no other
// straight, sharp line is nearly as strong as its edges, but for an arris of its side, parallel to the edge.
bool may_be_paper(const std::vector<SharpLine>& lines, const SharpLine& left, const SharpLine& right,
                  double reach_mm) {
  const bool left_may = left.after() < kBlack * left.before,
             right_may = right.before < kBlack * right.after();
  if (!left_may && !right_may) return false;
  const double weaker =
      std::min(left_may ? std::abs(left.step) : HUGE_VAL, right_may ? std::abs(right.step) : HUGE_VAL);
  const double least_length = kAsLong * std::min(left.line.length_mm(), right.line.length_mm());
  for (const SharpLine& c : lines) {
    if (!c.straight || std::abs(c.step) < kAsStrong * weaker || c.line.length_mm() < least_length) continue;
    const double from_left = c.middle() - left.middle(), from_right = right.middle() - c.middle();
    if (from_left < 0 || from_right < 0) continue;
    if (std::min(from_left, from_right) > reach_mm) return true;
    const SharpLine& edge = from_left < from_right ? left : right;
    const double known =
        std::hypot(2 * c.u_lean_mm / c.line.length_mm(), 2 * edge.u_lean_mm / edge.line.length_mm());
    if (std::abs(c.line.lean - edge.line.lean) > kParallel + 3 * known) return true;
  }
  return false;
}

const Failure kSomethingElse{
    "something-else",
    "Another straight edge as sharp as the strip's lies in the channel, perhaps of paper under it.",
    "Lay nothing but the strip in the channel; for light wood print the sheet with the dark channel "
    "('tapersight target --dark-channel') instead of laying paper under it."};

const Failure kNoStrip{"no-strip", "No strip can be seen in the channel.",
                       "Lay the strip in the open channel, clear of the chessboards."};

const Failure kNoEdge{"edge-not-found", "One long edge of the strip cannot be made out from end to end.",
                      "Lay light wood on the sheet with the dark channel ('tapersight target "
                      "--dark-channel'), light dark wood from another side so that no shadow hides its edge, "
                      "and take the photo again."};

const Failure kTwoStrips{"two-strips", "There is more than one strip in the picture.",
                         "Leave only the strip to be measured."};

// What the channel shows of straight, sharp lines along it.
struct SeenLines {
  std::vector<SharpLine> lines;
  bool any = false;  // lines of any kind
};

SeenLines look_along(const Looker& looker, const RegionView& view, const StripSearch& search) {
  const double width_mm = view.code.cols / RegionView::kPxPerMm;
  std::vector<LongLine> seen = find_long_lines(view, search.least_length_mm);
  // The channel's own border, a hairline or the end of the black.
  const auto on_border = [&](const LongLine& line) {
    const double middle = line.place((line.from_mm + line.to_mm) / 2);
    return middle < kBorderMm || middle > width_mm - kBorderMm;
  };
  seen.erase(std::remove_if(seen.begin(), seen.end(), on_border), seen.end());
  std::vector<std::optional<SharpLine>> looked(seen.size());
  in_parallel(static_cast<int>(seen.size()), [&](int i) {
    const auto k = static_cast<std::size_t>(i);
    looked[k] = looker.look(seen[k]);
  });
  SeenLines all;
  all.any = !seen.empty();
  for (const auto& sharp : looked)
    if (sharp) all.lines.push_back(*sharp);
  return all;
}

// Those of the long lines that can be the strip's, from left to right: of the faint ones only the outermost,
// an edge that hardly shows.
std::vector<SharpLine> telling_of(const std::vector<SharpLine>& lines) {
  double longest = 0, strongest = 0;
  for (const SharpLine& c : lines)
    if (c.straight) longest = std::max(longest, c.line.length_mm());
  for (const SharpLine& c : lines)
    if (c.straight && c.line.length_mm() > kLongEnough * longest) strongest = std::max(strongest, c.worth());
  std::vector<SharpLine> telling, faint;
  for (const SharpLine& c : lines) {
    if (c.line.length_mm() < kLongEnough * longest) continue;
    if (c.straight && c.worth() > kWeak * strongest)
      telling.push_back(c);
    else if (c.shows())
      faint.push_back(c);
  }
  if (telling.empty()) return telling;
  const auto further_left = [](const SharpLine& a, const SharpLine& b) { return a.middle() < b.middle(); };
  std::sort(telling.begin(), telling.end(), further_left);
  std::sort(faint.begin(), faint.end(), further_left);
  if (!faint.empty()) {
    if (faint.back().middle() > telling.back().middle() + kLeastWidthMm) telling.push_back(faint.back());
    if (faint.front().middle() < telling.front().middle() - kLeastWidthMm)
      telling.insert(telling.begin(), faint.front());
  }
  return telling;
}

// Can the two be one strip's, by how they lean and where they end?
bool match(const LongLine& left, const LongLine& right) {
  return std::abs(left.lean - right.lean) <= kMostLeanApart &&
         std::abs(left.from_mm - right.from_mm) <= kEndsApartMm &&
         std::abs(left.to_mm - right.to_mm) <= kEndsApartMm;
}

}  // namespace

Result<StripOutline> find_raised_strip(const cv::Mat& grey, const SheetMap& map, const StripSearch& search,
                                       double blur_px) {
  const Eigen::Vector2d beyond(0, kParallaxMm);
  const RegionView view = view_region(grey, map, search.low_mm - beyond, search.high_mm + beyond);
  const Looker looker(grey, map, view, search, blur_px);
  const SeenLines seen = look_along(looker, view, search);
  if (seen.lines.empty()) return seen.any ? kNoEdge : kNoStrip;
  const std::vector<SharpLine> telling = telling_of(seen.lines);
  if (telling.empty()) return kNoEdge;
  if (between_two(telling)) return kTwoStrips;
  const double span = telling.back().middle() - telling.front().middle();
  if (span < kLeastWidthMm) return kNoEdge;
  const double reach = std::min(kWallMm, 0.4 * span);
  const SharpLine& left_edge = *best_of(telling, telling.front(), reach);
  const SharpLine& right_edge = *best_of(telling, telling.back(), reach);
  if (may_be_paper(seen.lines, left_edge, right_edge, reach)) return kSomethingElse;
  const LongLine& left = left_edge.line;
  const LongLine& right = right_edge.line;
  if (!match(left, right)) return kNoEdge;
  const double from = std::max(left.from_mm, right.from_mm), to = std::min(left.to_mm, right.to_mm);
  const double length_mm = view.code.rows / RegionView::kPxPerMm;
  if (from < 1 || to > length_mm - 1)
    return Failure{"strip-not-in-channel", "The strip reaches beyond the channel's end.",
                   "Lay the strip within the open channel; cut it to 10 in (254 mm) or less."};
  if (to - from < search.least_length_mm)
    return Failure{"strip-too-short", "The strip is too short to measure.",
                   "Cut a strip at least 4 in (100 mm) long."};
  return looker.outline(left, right, from, to);
}

}  // namespace tapersight
