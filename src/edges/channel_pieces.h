// What lies in the channel, or on the glass: pieces that differ in tone from the ground. Only for this
// folder.
#pragma once
#include <algorithm>
#include <opencv2/core.hpp>
#include <vector>

#include "edges/find_strip.h"
#include "edges/ground.h"
#include "edges/region_view.h"

namespace tapersight {

// In the view's pixels, of 1 / RegionView::kPxPerMm.
struct Piece {
  std::vector<cv::Point> contour;
  cv::RotatedRect box;
  double area_mm2 = 0;
  double length_mm() const {
    return double{std::max(box.size.width, box.size.height)} / RegionView::kPxPerMm;
  }
  double width_mm() const { return double{std::min(box.size.width, box.size.height)} / RegionView::kPxPerMm; }
  double along_rad() const;  // direction of the longer side
};

struct Segmentation {
  RegionView view;
  cv::Mat shown;  // CV_8UC1, 255 where nothing is hidden
  Ground ground;
  cv::Rect inner;  // the part of the view within the margins
};

Segmentation segment_region(const cv::Mat& grey, const SheetMap& map, const StripSearch& search);

// Where the view differs clearly from the ground, without specks and holes; the largest first.
std::vector<Piece> pieces_in(const Segmentation& segmentation);

// Where tone or figure differ from the bare ground's, each averaged over a few millimetres: what may be a
// strip that hardly shows.
std::vector<Piece> faint_pieces_in(const Segmentation& segmentation);

}  // namespace tapersight
