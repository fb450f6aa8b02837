// What a strip's face looks like from end to end: is it one piece, and where does it end? Only for this
// folder.
#pragma once
#include <opencv2/core.hpp>

#include "edges/channel_pieces.h"
#include "model/strip.h"

namespace tapersight {

// The strip straightened between its two sides: rows along it from the far end to the fence end, columns
// across, both of 1 / RegionView::kPxPerMm.
struct StripFace {
  cv::Mat code;         // CV_32FC1, code values
  cv::Mat over_ground;  // CV_32FC1, the same less the ground's
};

StripFace straightened(const Segmentation& segmentation, const StripOutline& outline);

// Does the ground show right across it, from side to side? Knots, burns and figure do not reach from side to
// side, or are of another tone: they make no two pieces. (Lines of the ground's own tone right across do.)
bool shows_ground_across(const StripFace& face);

// The outline less what lies past a step across the whole width such as the wood shows nowhere between its
// ends: a lamp's shadow past an end, as wide as the strip. Only the last 30 mm at each end are looked at, for
// no shadow is longer than the strip is thick. Where that is a band of the wood after all, a little of the
// strip is not measured.
StripOutline without_end_shadows(const StripFace& face, const StripOutline& outline);

}  // namespace tapersight
