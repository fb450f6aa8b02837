#include "edges/raised_strip.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "edges/one_strip.h"
#include "edges/sharp_lines.h"

namespace tapersight {
namespace {

constexpr double kMostLeanApart = 0.02;    // of the two sides: far more than any fence makes
constexpr double kEndsApartMm = 14;        // parallax and ragged ends
constexpr double kWallMm = 9;              // the widest side wall in view: 20 mm seen from 25 degrees
constexpr double kLongEnough = 0.8;        // of the longest line
constexpr double kWeak = 0.12;             // of the strongest line: weaker ones are chance
constexpr double kLeastStep = 0.01;        // of the light beside it: a line with less is a shadow's soft end
constexpr double kMostLeanBeside = 0.006;  // of two lines of one side
constexpr double kSameMm = 0.5, kSameWorth = 0.6, kNearlyAsLong = 0.9;  // of a line that is found twice
constexpr double kParallaxMm = 12;  // how far the top face may seem to reach beyond the channel's ends

const Failure kNoStrip{"no-strip", "No strip can be seen in the channel.",
                       "Lay the strip in the open channel, clear of the chessboards."};

const Failure kNoEdge{"edge-not-found", "One long edge of the strip cannot be made out from end to end.",
                      "Lay light wood on the sheet with the dark channel ('tapersight target "
                      "--dark-channel'), light dark wood from another side so that no shadow hides its edge, "
                      "and take the photo again."};

bool shows(const SharpLine& line) {
  return std::abs(line.step) > kLeastStep * std::max(line.before, line.after());
}

bool is_same(const SharpLine& a, const SharpLine& b) {
  return a.step * b.step > 0 && std::abs(b.middle() - a.middle()) < kSameMm &&
         b.worth() > kSameWorth * a.worth();
}

// The best line of those near the outermost one, or the same where it was found again and clearly longer.
const SharpLine* best_of(const std::vector<SharpLine>& all, const SharpLine& outermost, double reach_mm) {
  const SharpLine* best = nullptr;
  for (const SharpLine& c : all) {
    if (std::abs(c.middle() - outermost.middle()) > reach_mm) continue;
    if (std::abs(c.line.lean - outermost.line.lean) > kMostLeanBeside) continue;  // arrises are parallel
    if (!best || c.worth() > best->worth()) best = &c;
  }
  const SharpLine* longest = best;
  for (const SharpLine& c : all)
    if (is_same(*best, c) && c.line.length_mm() > longest->line.length_mm()) longest = &c;
  return best->line.length_mm() < kNearlyAsLong * longest->line.length_mm() ? longest : best;
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
    else if (shows(c))
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

// How far apart two ends lie, each somewhere within what is whole and what is sharp of its line.
double ends_apart(double a_whole, double a, double b_whole, double b) {
  return std::max(
      {0.0, std::min(a_whole, a) - std::max(b_whole, b), std::min(b_whole, b) - std::max(a_whole, a)});
}

// Can the two be one strip's, by how they lean and where they end?
bool match(const SharpLine& left, const SharpLine& right) {
  const LongLine &l = left.line, &r = right.line;
  return std::abs(l.lean - r.lean) <= kMostLeanApart &&
         ends_apart(left.whole.from_mm, l.from_mm, right.whole.from_mm, r.from_mm) <= kEndsApartMm &&
         ends_apart(left.whole.to_mm, l.to_mm, right.whole.to_mm, r.to_mm) <= kEndsApartMm;
}

// The widest wall of an edge that may be in view: a wall as high as the strip is thick, seen from where the
// camera is (similar triangles). The camera's place is known to a tenth of its height.
double wall_in_view_mm(double beyond_edge_mm, const CameraPlace& camera) {
  constexpr double kMostThickMm = 30, kPlaceDoubt = 0.1, kArrisRoomMm = 1;
  const double beyond = std::max(0.0, beyond_edge_mm + kPlaceDoubt * camera.height_mm);
  return std::min(kWallMm, kArrisRoomMm + kMostThickMm * beyond / camera.height_mm);
}

WallReach wall_reach(const std::vector<SharpLine>& telling, const RegionView& view,
                     const std::optional<CameraPlace>& camera) {
  const double left = telling.front().middle(), right = telling.back().middle();
  const double most = std::min(kWallMm, 0.4 * (right - left));
  if (!camera) return {most, most};
  const double foot = camera->foot_mm.x() - view.origin_mm.x();
  return {std::min(most, wall_in_view_mm(left - foot, *camera)),
          std::min(most, wall_in_view_mm(foot - right, *camera))};
}

Result<StripOutline> find_among(const std::vector<SharpLine>& lines, const RegionView& view,
                                const StripSearch& search, const std::optional<CameraPlace>& camera) {
  const std::vector<SharpLine> telling = telling_of(lines);
  if (telling.empty()) return kNoEdge;
  if (const auto two = two_side_by_side(telling)) return *two;
  const double span = telling.back().middle() - telling.front().middle();
  if (span < kLeastWidthMm) return kNoEdge;
  const WallReach reach = wall_reach(telling, view, camera);
  const SharpLine& left_edge = *best_of(telling, telling.front(), reach.left_mm);
  const SharpLine& right_edge = *best_of(telling, telling.back(), reach.right_mm);
  if (const auto failure = not_one_strip(lines, telling, left_edge, right_edge, reach)) return *failure;
  const LongLine& left = left_edge.line;
  const LongLine& right = right_edge.line;
  if (!match(left_edge, right_edge)) return kNoEdge;
  const double from = std::max(left.from_mm, right.from_mm), to = std::min(left.to_mm, right.to_mm);
  const double length_mm = view.code.rows / RegionView::kPxPerMm;
  if (from < 1 || to > length_mm - 1)
    return Failure{"strip-not-in-channel", "The strip reaches beyond the channel's end.",
                   "Lay the strip within the open channel; cut it to 10 in (254 mm) or less."};
  if (to - from < search.least_length_mm)
    return Failure{"strip-too-short", "The strip is too short to measure.",
                   "Cut a strip at least 4 in (100 mm) long."};
  if (const auto band = band_inside(view, left, right, from, to)) return *band;
  return outline_between(view, search, left, right, from, to);
}

}  // namespace

Result<StripOutline> find_raised_strip(const cv::Mat& grey, const SheetMap& map, const StripSearch& search,
                                       double blur_px, const std::optional<CameraPlace>& camera) {
  const Eigen::Vector2d beyond(0, kParallaxMm);
  const RegionView view = view_region(grey, map, search.low_mm - beyond, search.high_mm + beyond);
  const std::vector<LongLine> lines = lines_within(view, search.least_length_mm);
  if (lines.empty()) return kNoStrip;
  const auto found_by = [&](Look look) {
    return find_among(look_along(lines, grey, map, view, search, blur_px, look), view, search, camera);
  };
  Result<StripOutline> found = found_by(Look::kStrict);
  if (found || found.failure().code != kNoEdge.code) return found;
  return found_by(Look::kLenient);
}

}  // namespace tapersight
