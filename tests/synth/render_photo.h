// Renders a synthetic phone photo and tells what is true of it.
#pragma once
#include <opencv2/core.hpp>
#include <vector>

#include "synth/photo_scene.h"
#include "synth/photo_truth.h"

namespace tapersight {

struct RenderedPhoto {
  cv::Mat image;  // code values as looked at: CV_8UC1, or CV_8UC3 (B, G, R) when the scene asks for colour
  std::vector<unsigned char> jpeg;  // the file that `image` was decoded from, EXIF orientation included;
                                    // empty when the scene asks for no JPEG
  PhotoTruth truth;
};

// Every outline is projected through the lens and its area integrated over the pixels exactly, in linear
// light; then blurred, encoded, given noise, rounded, sharpened, put through JPEG. Same scene, same bytes.
RenderedPhoto render_photo(const PhotoScene& scene);

// The light before encoding and noise, CV_32FC1 or CV_32FC3: for tests that look below one code value.
cv::Mat render_photo_light(const PhotoScene& scene, const PhotoTruth& truth);

}  // namespace tapersight
