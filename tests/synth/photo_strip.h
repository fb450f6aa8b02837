// Draws a strip that stands up from the sheet: its top face and the side walls that the camera sees.
#pragma once
#include <cstddef>
#include <opencv2/core.hpp>

#include "synth/photo_scene.h"
#include "synth/photo_truth.h"

namespace tapersight {

void paint_photo_strip(const PhotoScene& scene, const PhotoTruth& truth, std::size_t index, cv::Mat& light);

}  // namespace tapersight
