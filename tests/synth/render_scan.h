// Renders a synthetic scan and tells what is true of it.
#pragma once
#include <opencv2/core.hpp>

#include "synth/scan_scene.h"
#include "synth/scan_truth.h"

namespace tapersight {

struct RenderedScan {
  cv::Mat image;  // code values: CV_8UC1, or CV_8UC3 (B, G, R) when the scene asks for colour
  ScanTruth truth;
};

// Light is integrated over every pixel exactly (polygon areas, linear light), then blurred, encoded, given
// noise and rounded. Same scene, same bytes.
RenderedScan render_scan(const ScanScene& scene);

// The light before encoding and noise, CV_32FC1 or CV_32FC3: for tests that look below one code value.
cv::Mat render_light(const ScanScene& scene, const ScanTruth& truth);

}  // namespace tapersight
