// Unsharp masking in code values, as phones and scanners' drivers do it.
#pragma once
#include <opencv2/core.hpp>

#include "synth/scan_scene.h"

namespace tapersight {

// CV_8UC1 or CV_8UC3.
void sharpen(double amount, double radius_px, cv::Mat& codes);
void sharpen(const SharpenScene& scene, cv::Mat& codes);

}  // namespace tapersight
