// Finds the strip in the channel, or anywhere on the glass, without a hint.
#pragma once
#include <opencv2/core.hpp>

#include <vector>

#include "base/deadline.h"
#include "base/result.h"
#include "model/sheet_map.h"
#include "model/strip.h"

namespace tapersight {

using OutlineMm = std::vector<Eigen::Vector2d>;  // a convex outline, sheet frame

struct StripSearch {
  Eigen::Vector2d low_mm, high_mm;        // the rectangle to look in, sheet frame
  Eigen::Vector2d fence_direction{0, 1};  // the fence end is the end towards this direction
  bool only_the_strip = true;  // false: other things may lie around; the one long straight piece is taken
  bool sheet_hidden_beyond = false;       // the rectangle ends where the printed sheet is no longer seen
  double side_margin_mm = 2.5;            // along the rectangle's sides: cut paper, hairline
  double end_margin_mm = 0.6;             // along its ends
  double least_length_mm = 50;            // shorter pieces cannot be measured usefully
  double least_aspect = 2.5;              // length over width
  std::vector<OutlineMm> hidden_mm;       // not looked at: tags, other strips
  Deadline deadline = Deadline::never();  // of the measurement that the search is part of
};

// Failures: "no-strip", "no-contrast", "two-strips", "strip-broken", "strip-across-fiducials",
// "strip-too-long", "strip-cut-off", "target-covered", "not-a-strip", "strip-too-short".
Result<StripOutline> find_strip(const cv::Mat& grey, const SheetMap& map, const StripSearch& search);

// A piece of something in the channel, as its smallest upright or slanting rectangle.
struct PlacedPiece {
  Eigen::Vector2d centre_mm, along;  // along: unit, towards the fence direction of the search
  double length_mm = 0, width_mm = 0;
  bool strip_like = false;  // long enough and slender
  Eigen::Vector2d end_mm(bool fence_end) const {
    return centre_mm + (fence_end ? 0.5 : -0.5) * length_mm * along;
  }
  Eigen::Vector2d across() const { return {along.y(), -along.x()}; }
  OutlineMm grown(double by_mm) const;  // its corners
};

// All that lies in the channel, the largest first, for a channel that may hold several strips. Pieces below
// 40 mm^2 are left aside.
std::vector<PlacedPiece> find_pieces(const cv::Mat& grey, const SheetMap& map, const StripSearch& search);

}  // namespace tapersight
