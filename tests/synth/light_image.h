// Small helpers on linear-light pictures: CV_32FC1, or CV_32FC3 in the order B, G, R.
#pragma once
#include <algorithm>
#include <array>
#include <cstddef>
#include <opencv2/core.hpp>

#include "synth/coverage.h"

namespace tapersight {

using Tone = std::array<float, 3>;  // linear light, B, G, R; a grey picture uses the first

// 0 up to 0, 1 from 1 on, smooth between.
inline double smooth_step(double t) {
  const double x = std::clamp(t, 0.0, 1.0);
  return x * x * (3 - 2 * x);
}

// The first channel of a pixel.
inline float* pixel_at(cv::Mat& light, int row, int column) {
  return light.ptr<float>(row) + static_cast<std::ptrdiff_t>(column) * light.channels();
}

inline Tone neutral(double tone) {
  const auto t = static_cast<float>(tone);
  return {t, t, t};
}

// `tone` coloured by red : green : blue weights, its luminance (Rec. ITU-R BT.709: 0.2126 R + 0.7152 G +
// 0.0722 B) kept. A grey picture gets the tone itself.
inline Tone tinted(double tone, const std::array<double, 3>& rgb, int channels) {
  if (channels == 1) return neutral(tone);
  const double scale = tone / (0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2]);
  return {static_cast<float>(scale * rgb[2]), static_cast<float>(scale * rgb[1]),
          static_cast<float>(scale * rgb[0])};
}

// Puts a layer of one tone over the picture.
inline void paint(const Coverage& layer, const Tone& tone, cv::Mat& light) {
  const int channels = light.channels();
  for (int r = 0; r < layer.roi.height; ++r) {
    const float* area = layer.area.ptr<float>(r);
    float* out = pixel_at(light, layer.roi.y + r, layer.roi.x);
    for (int c = 0; c < layer.roi.width; ++c, out += channels)
      if (area[c] != 0)
        for (int k = 0; k < channels; ++k) out[k] += area[c] * (tone[static_cast<std::size_t>(k)] - out[k]);
  }
}

}  // namespace tapersight
