#include "edges/find_strip.h"

#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <optional>
#include <vector>

#include "edges/channel_pieces.h"
#include "edges/piece_outline.h"
#include "edges/region_view.h"
#include "edges/strip_face.h"

namespace tapersight {
namespace {

bool strip_like(const Piece& p, const StripSearch& search) {
  return p.length_mm() >= search.least_length_mm && p.length_mm() >= search.least_aspect * p.width_mm() &&
         p.area_mm2 >= 0.6 * p.length_mm() * p.width_mm() && p.width_mm() >= 3;
}

// Do the two pieces lie end to end (rather than side by side)?
bool end_to_end(const Piece& a, const Piece& b) {
  const Piece& longer = a.length_mm() >= b.length_mm() ? a : b;
  const double angle = longer.along_rad();
  const Eigen::Vector2d along(std::cos(angle), std::sin(angle));
  const Eigen::Vector2d gap(b.box.center.x - a.box.center.x, b.box.center.y - a.box.center.y);
  return std::abs(gap.dot(along)) / RegionView::kPxPerMm > 0.4 * (a.length_mm() + b.length_mm()) * 0.8;
}

Failure not_found(const Segmentation& s, const StripSearch& search) {
  for (const Piece& p : faint_pieces_in(s))
    if (strip_like(p, search))
      return {"no-contrast", "The strip hardly stands out from what is behind it.",
              "Lay a sheet of dark paper behind a light strip, or white paper behind a dark one."};
  return {"no-strip", "No strip can be seen in the channel.",
          "Lay the strip in the open channel; if it is there, put a different tone behind it (dark paper "
          "behind light wood, white behind dark)."};
}

const Failure kBroken{"strip-broken", "The strip seems to be in two pieces.",
                      "If the strip is whole, put paper of a different tone behind it and try again. If it "
                      "is broken, cut a new one."};

std::optional<Failure> touches_border(const Piece& piece, const Segmentation& s, const StripSearch& search) {
  const cv::Rect box = cv::boundingRect(piece.contour);
  const auto hits = [&](int low, int high, int from, int to) { return low <= from + 1 || high >= to - 1; };
  const bool at_end = hits(box.y, box.y + box.height, s.inner.y, s.inner.y + s.inner.height);
  if (at_end && search.sheet_hidden_beyond)
    return Failure{"target-covered", "The printed sheet shows beside only a part of the strip.",
                   "Make sure the chessboards show on both sides along the whole strip, and scan again."};
  if (hits(box.x, box.x + box.width, s.inner.x, s.inner.x + s.inner.width)) {
    if (!search.only_the_strip)
      return Failure{"strip-cut-off", "The strip reaches the picture's border.",
                     "Lay the whole strip on the glass, clear of the edges."};
    return Failure{"strip-across-fiducials", "The strip lies across the side of the channel.",
                   "Lay the strip within the open channel, clear of the chessboards."};
  }
  if (at_end) {
    if (!search.only_the_strip)
      return Failure{"strip-cut-off", "The strip reaches the picture's border.",
                     "Lay the whole strip on the glass, clear of the edges."};
    return Failure{"strip-too-long", "The strip is longer than the channel.",
                   "Cut the strip to 10 in (254 mm) or less and lay it within the channel."};
  }
  // The picture itself may end within the channel.
  for (const cv::Point& p : piece.contour)
    for (const cv::Point d : {cv::Point(2, 0), cv::Point(-2, 0), cv::Point(0, 2), cv::Point(0, -2)}) {
      const cv::Point q = p + d;
      if (s.inner.contains(q) && !s.view.inside.at<uchar>(q))
        return Failure{"strip-cut-off", "The picture does not show the whole strip.",
                       "Scan again with the whole channel in the picture."};
    }
  return std::nullopt;
}

// The cut paper keeps the lamp from the lid behind it: a shadow along one border of the channel, nearly all
// of it; at an end it may reach as far as the lid is off the glass, along a side it is narrower than any
// strip.
bool is_shadow_of_sheet(const Piece& piece, const Segmentation& s) {
  constexpr double kNearlyAll = 0.8, kMostReach = 0.1;  // of the channel's length
  constexpr double kNoStripMm = 3;
  const cv::Rect box = cv::boundingRect(piece.contour);
  const bool at_end = box.y <= s.inner.y + 1 || box.br().y >= s.inner.br().y - 1;
  const bool at_side = box.x <= s.inner.x + 1 || box.br().x >= s.inner.br().x - 1;
  return (at_end && box.width > kNearlyAll * s.inner.width && box.height < kMostReach * s.inner.height) ||
         (at_side && box.height > kNearlyAll * s.inner.height &&
          box.width < kNoStripMm * RegionView::kPxPerMm);
}

// Mean of the piece over the ground, code values.
double over_ground(const Piece& piece, const Segmentation& s) {
  const cv::Rect box = cv::boundingRect(piece.contour);
  cv::Mat within = cv::Mat::zeros(box.size(), CV_8UC1), code;
  cv::drawContours(within, std::vector<std::vector<cv::Point>>{piece.contour}, 0, cv::Scalar(255), cv::FILLED,
                   cv::LINE_8, cv::noArray(), 0, -box.tl());
  s.view.code(box).convertTo(code, CV_32F);
  return cv::mean(code - s.ground.code(box), within)[0];
}

// A shadow only darkens: beside a strip that is lighter than the ground, what is darker is no second piece of
// it.
bool is_shadow_beside(const Piece& piece, const Piece& strip, const Segmentation& s) {
  return over_ground(strip, s) > 0 && over_ground(piece, s) < 0;
}

Failure too_many(const Piece& a, const Piece& b) {
  if (end_to_end(a, b)) return kBroken;
  return {"two-strips", "There is more than one strip in the picture.",
          "Leave only the strip to be measured."};
}

// What lies there instead of a strip.
Failure why_no_strip(const Segmentation& s, const StripSearch& search, const std::vector<Piece>& pieces) {
  if (pieces.empty()) return not_found(s, search);
  const Piece& p = pieces.front();
  if (const auto failure = touches_border(p, s, search)) return *failure;
  if (pieces.size() > 1 && pieces[1].area_mm2 > 0.3 * p.area_mm2 && end_to_end(p, pieces[1]))
    return too_many(p, pieces[1]);
  if (p.area_mm2 < 150) return not_found(s, search);
  const bool straight_sided = p.area_mm2 > 0.85 * p.length_mm() * p.width_mm();
  if (straight_sided && p.length_mm() < search.least_length_mm)
    return {"strip-too-short", "The strip is too short to measure.",
            "Cut a strip at least 4 in (100 mm) long."};
  // Of a strip of the ground's own tone nothing but its side wall or its shadow shows.
  if (const Failure faint = not_found(s, search); faint.code == "no-contrast") return faint;
  return {"not-a-strip", "What lies in the channel is not a long straight strip.",
          "Lay the strip that the last cut took off in the channel, and nothing else."};
}

}  // namespace

OutlineMm PlacedPiece::grown(double by_mm) const {
  const Eigen::Vector2d l = (length_mm / 2 + by_mm) * along;
  const Eigen::Vector2d w = (width_mm / 2 + by_mm) * across();
  return {centre_mm - l - w, centre_mm - l + w, centre_mm + l + w, centre_mm + l - w};
}

std::vector<PlacedPiece> find_pieces(const cv::Mat& grey, const SheetMap& map, const StripSearch& search) {
  const Segmentation s = segment_region(grey, map, search);
  std::vector<PlacedPiece> placed;
  for (const Piece& piece : pieces_in(s)) {
    PlacedPiece p;
    const double angle = piece.along_rad();
    p.along = Eigen::Vector2d(std::cos(angle), std::sin(angle));
    if (p.along.dot(search.fence_direction) < 0) p.along = -p.along;
    p.centre_mm = s.view.sheet_from_view(piece.box.center.x, piece.box.center.y);
    p.length_mm = piece.length_mm();
    p.width_mm = piece.width_mm();
    p.strip_like = strip_like(piece, search);
    placed.push_back(p);
  }
  return placed;
}

Result<StripOutline> find_strip(const cv::Mat& grey, const SheetMap& map, const StripSearch& search) {
  const Segmentation s = segment_region(grey, map, search);
  std::vector<Piece> pieces = pieces_in(s);
  if (search.only_the_strip)
    pieces.erase(std::remove_if(pieces.begin(), pieces.end(),
                                [&](const Piece& p) { return is_shadow_of_sheet(p, s); }),
                 pieces.end());
  std::vector<const Piece*> strips;
  for (const Piece& p : pieces)
    if (strip_like(p, search)) strips.push_back(&p);
  if (strips.empty()) return why_no_strip(s, search, pieces);
  std::sort(strips.begin(), strips.end(),
            [](const Piece* a, const Piece* b) { return a->length_mm() > b->length_mm(); });
  const Piece& strip = *strips.front();
  if (search.only_the_strip) {
    for (const Piece& other : pieces)
      if (&other != &strip && other.area_mm2 > 0.08 * strip.area_mm2 && other.area_mm2 > 60 &&
          !is_shadow_beside(other, strip, s))
        return too_many(strip, other);
  } else if (strips.size() > 1 && strips[1]->length_mm() > 0.7 * strip.length_mm()) {
    return Failure{"two-strips", "There is more than one long straight piece in the picture.",
                   "Leave only the strip, or name its place with --region."};
  }
  if (const auto failure = touches_border(strip, s, search)) return *failure;
  const Result<StripOutline> outline = outline_of(strip, s.view, search);
  if (!outline)
    return shows_ground_across(straightened(s, box_of(strip, s.view, search))) ? kBroken : outline.failure();
  const StripOutline whole = without_end_shadows(straightened(s, *outline), *outline);
  if (shows_ground_across(straightened(s, whole))) return kBroken;
  return whole;
}

}  // namespace tapersight
