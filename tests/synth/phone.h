// From light on the phone's sensor to the file: uneven light, blur, JPEG with EXIF orientation.
#pragma once
#include <opencv2/core.hpp>
#include <vector>

#include "synth/photo_scene.h"

namespace tapersight {

// Uneven light, flare, tint, then the blurs; `light` is CV_32FC1 or CV_32FC3.
void phone_light_and_blur(const PhotoScene& scene, cv::Mat& light);

// How a picture that is to be looked at as `image` is stored under an EXIF orientation, and back.
cv::Mat stored_from_viewed(const cv::Mat& image, int exif_orientation);

// JPEG bytes of `image` (as it is to be looked at). Orientation 1 writes no EXIF segment, 2..8 an APP1
// segment with the one tag 0x0112 (CIPA DC-008, Exif 2.3).
std::vector<unsigned char> photo_file_bytes(const cv::Mat& image, int jpeg_quality, int exif_orientation,
                                            EncodingScene::Chroma chroma = EncodingScene::Chroma::kEncoders);

}  // namespace tapersight
