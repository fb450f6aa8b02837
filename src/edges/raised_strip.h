// Finds a strip that stands up from the sheet, as a camera sees it: side walls in view, a shadow beside it.
#pragma once
#include <opencv2/core.hpp>
#include <optional>

#include "base/result.h"
#include "edges/find_strip.h"
#include "model/sheet_map.h"
#include "model/strip.h"

namespace tapersight {

// Where the camera is: above `foot_mm` on the sheet.
struct CameraPlace {
  Eigen::Vector2d foot_mm;
  double height_mm = 0;
};

// The outline's sides lie on two of the strip's arrises, good to about 0.2 mm. Each side's own arrises are
// parallel, so it does not matter for the taper which of them it is (top or bottom): a plane parallel to the
// sheet is seen as a magnification of the sheet about the camera's foot point, which keeps directions. Taken
// is the outermost long line that is as sharp as the sheet's own edges: the border of a shadow is softer, by
// the lamp's size.
//   blur_px     of the sheet's own edges
//   camera      tells on which side a wall can be in view, and how wide; without it on either
// Failures: "no-strip", "edge-not-found", "two-strips", "something-else", "strip-not-in-channel",
// "strip-too-short".
Result<StripOutline> find_raised_strip(const cv::Mat& grey, const SheetMap& map, const StripSearch& search,
                                       double blur_px, const std::optional<CameraPlace>& camera = {});

}  // namespace tapersight
