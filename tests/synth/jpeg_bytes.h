// A picture as JPEG, with a choice of how much of its colour is kept.
#pragma once
#include <opencv2/core.hpp>
#include <vector>

#include "synth/scan_scene.h"

namespace tapersight {

// CV_8UC1 or CV_8UC3 (blue, green, red), quality 1..100. A grey picture has no colour to keep.
std::vector<unsigned char> jpeg_bytes(const cv::Mat& image, int quality, EncodingScene::Chroma chroma);

}  // namespace tapersight
