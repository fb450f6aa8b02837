// A live camera's frame: would a photo like it be refused?
#pragma once
#include <opencv2/core.hpp>

#include "base/deadline.h"
#include "base/result.h"

namespace tapersight {

// How sharp the sheet is, in 1/mm: px per mm over its blur in px. Frames of one camera can be compared by it.
//   grey  CV_8UC1
// Failures: those of find_sheet and those by which a photo is refused before its strip is looked for
// (photo.h).
Result<double> judge_frame(const cv::Mat& grey, const Deadline& deadline = Deadline::never());

}  // namespace tapersight
