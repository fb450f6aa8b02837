// Where the strip lies on the glass.
#pragma once
#include <opencv2/core.hpp>

#include "base/result.h"
#include "edges/find_strip.h"
#include "model/sheet_map.h"
#include "model/strip.h"

namespace tapersight {

// Two ways to see a strip, each with pictures that spoil it: as a region of another tone than the ground
// (`find_strip`: a lamp's or the paper's shadow that touches it is taken for part of it), and as a face
// between two long lines that are as sharp as the sheet's own edges (`find_raised_strip`: soft shadows do not
// matter, edges that hardly show do). The region is asked first; where it has no strip, and what it saw can
// be a shadow's doing, the lines are asked, and the face between them has to be one piece.
//   blur_px     of the sheet's own edges
// Failures: those of find_strip.
Result<StripOutline> locate_strip(const cv::Mat& grey, const SheetMap& map, const StripSearch& search,
                                  double blur_px);

}  // namespace tapersight
