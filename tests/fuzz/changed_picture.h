// A decent picture, spoilt as the bytes say.
#pragma once
#include <opencv2/core.hpp>

#include "fuzz/fuzz_target.h"

namespace tapersight::testing {

// Patches, copies, blur, noise, light, lines, bare pixels, shears, crops, mirrors: one for each few bytes, at
// most 16.
void change_picture(cv::Mat& grey, Draw& draw);

}  // namespace tapersight::testing
