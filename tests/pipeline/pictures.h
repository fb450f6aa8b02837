// Small scans, quick to make, for the tests of the whole pipeline.
#pragma once
#include <functional>
#include <opencv2/core.hpp>
#include <optional>
#include <string>

#include "pipeline/measure_picture.h"
#include "synth/render_scan.h"

namespace tapersight::testing {

// A decent 300 dpi scan of the blocks and the channel, with a light strip of taper 0.002 on the dark lid.
ScanScene plain_scene(std::uint64_t seed = 1);

// Changes a plain scene and renders it.
cv::Mat picture_of(const std::function<void(ScanScene&)>& change);

// The channel's place in the picture of an upright plain scene.
cv::Rect channel_px(const ScanScene& scene);

// The whole pipeline on it.
Result<PictureMeasurement> measured(const cv::Mat& grey, std::optional<double> dpi = std::nullopt);

// Pictures of other things, `size` pixels large.
cv::Mat noise_picture(cv::Size size, double grain_px, std::uint64_t seed);  // blotches of about this size
cv::Mat blob_picture(cv::Size size, std::uint64_t seed);                    // gradients and round things
cv::Mat text_picture(cv::Size size, std::uint64_t seed);

}  // namespace tapersight::testing
