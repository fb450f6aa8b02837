// From light on the glass to code values: lighting, optics' blur, noise, transfer curve, 8 bits.
#pragma once
#include <cstdint>
#include <opencv2/core.hpp>

#include "synth/scan_scene.h"
#include "synth/scanner_map.h"

namespace tapersight {

// Uneven lighting, then the blur; `light` is CV_32FC1 or CV_32FC3.
void light_and_blur(const ScannerScene& scanner, const ScannerMap& map, cv::Mat& light);

// Code value 0..255, not rounded, of linear light (sRGB: IEC 61966-2-1); above `exposure` white it clips.
double code_of_light(const EncodingScene& encoding, double light);
// Its inverse, without clipping above white.
double light_of_code(const EncodingScene& encoding, double code);

// A sensor's noise, variance a x + b, where x is the light over what clips (light 1 / exposure); nothing when
// both are 0.
void add_signal_noise(double a, double b, double exposure, std::uint64_t seed, cv::Mat& light);

// Encodes, adds Gaussian noise of `noise_levels` code values and rounds: CV_8UC1 or CV_8UC3.
cv::Mat encode(const cv::Mat& light, const EncodingScene& encoding, double noise_levels, std::uint64_t seed);

}  // namespace tapersight
