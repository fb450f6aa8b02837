#include "synth/sensor.h"

#include <algorithm>
#include <boost/math/special_functions/erf.hpp>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "base/rng.h"

namespace tapersight {
namespace {

constexpr int kNoiseBits = 14;
constexpr double kLightHalfLengthMm = 150;

// Quantiles of the standard normal distribution in the middles of 2^14 equal shares: a draw is one look-up.
// Their standard deviation is 0.9999, the largest 4.0.
const std::vector<float>& normal_quantiles() {
  static const std::vector<float> table = [] {
    const int count = 1 << kNoiseBits;
    std::vector<float> quantiles;
    quantiles.reserve(count);
    for (int i = 0; i < count; ++i)
      quantiles.push_back(static_cast<float>(-std::sqrt(2.0) * boost::math::erfc_inv(2 * (i + 0.5) / count)));
    return quantiles;
  }();
  return table;
}

double curved(double s, double code) {
  return code - s / (2 * M_PI) * std::sin(2 * M_PI * code);
}

double uncurved(double s, double code) {
  double low = 0;
  double high = 1;
  if (s == 0 || code <= 0 || code >= 1) return code;
  for (int i = 0; i < 60; ++i) {
    const double middle = (low + high) / 2;
    (curved(s, middle) < code ? low : high) = middle;
  }
  return (low + high) / 2;
}

double transferred(const EncodingScene& encoding, double light) {
  if (encoding.transfer == EncodingScene::Transfer::kLinear) return light;
  if (encoding.transfer == EncodingScene::Transfer::kGamma) return std::pow(light, 1 / encoding.gamma);
  return light <= 0.0031308 ? 12.92 * light : 1.055 * std::pow(light, 1 / 2.4) - 0.055;
}

}  // namespace

void light_and_blur(const ScannerScene& scanner, const ScannerMap& map, cv::Mat& light) {
  const int channels = light.channels();
  if (scanner.light_fall_off != 0 || scanner.light_tilt != 0 || scanner.light_drift != 0) {
    std::vector<float> across;
    for (int c = 0; c < light.cols; ++c) {
      const double n = map.x_of_column(c) / scanner.sensor_half_width_mm;
      across.push_back(static_cast<float>(1 - scanner.light_fall_off * n * n + scanner.light_tilt * n / 2));
    }
    for (int r = 0; r < light.rows; ++r) {
      const auto along =
          static_cast<float>(1 + scanner.light_drift * map.way_of_row(r) / (2 * kLightHalfLengthMm));
      float* row = light.ptr<float>(r);
      for (int c = 0; c < light.cols; ++c)
        for (int k = 0; k < channels; ++k) *row++ *= along * across[static_cast<std::size_t>(c)];
    }
  }
  if (scanner.blur_px > 0) {
    const int side = 2 * static_cast<int>(std::ceil(4.5 * scanner.blur_px)) + 1;
    cv::GaussianBlur(light, light, cv::Size(side, side), scanner.blur_px, scanner.blur_px,
                     cv::BORDER_REPLICATE);
  }
}

double code_of_light(const EncodingScene& encoding, double light) {
  return 255 *
         curved(encoding.s_curve, transferred(encoding, std::clamp(light * encoding.exposure, 0.0, 1.0)));
}

double light_of_code(const EncodingScene& encoding, double code) {
  const double value = uncurved(encoding.s_curve, code / 255);
  double light = value;
  if (encoding.transfer == EncodingScene::Transfer::kGamma) light = std::pow(value, encoding.gamma);
  if (encoding.transfer == EncodingScene::Transfer::kSrgb)
    light = value <= 0.04045 ? value / 12.92 : std::pow((value + 0.055) / 1.055, 2.4);
  return light / encoding.exposure;
}

cv::Mat encode(const cv::Mat& light, const EncodingScene& encoding, double noise_levels, std::uint64_t seed) {
  // Interpolated in a table: the error is below 0.001 code values except in the first step above black.
  constexpr int kSteps = 1 << 14;
  std::vector<float> codes;
  for (int i = 0; i <= kSteps + 1; ++i)
    codes.push_back(static_cast<float>(code_of_light(encoding, i / (kSteps * encoding.exposure))));
  const auto scale = static_cast<float>(kSteps * encoding.exposure);
  const auto noise = static_cast<float>(noise_levels);
  const std::vector<float>& quantiles = normal_quantiles();
  constexpr std::uint64_t kMask = (1U << kNoiseBits) - 1;
  Rng rng(seed);
  cv::Mat codes_out(light.rows, light.cols, CV_8UC(light.channels()));
  const int values = light.cols * light.channels();
  std::uint64_t random = 0;
  for (int r = 0; r < light.rows; ++r) {
    const float* in = light.ptr<float>(r);
    uchar* out = codes_out.ptr<uchar>(r);
    for (int i = 0; i < values; ++i) {
      const float at = std::clamp(in[i] * scale, 0.0F, static_cast<float>(kSteps));
      const int k = static_cast<int>(at);
      float code = codes[k] + (at - static_cast<float>(k)) * (codes[k + 1] - codes[k]);
      if (noise > 0) {
        if (i % 4 == 0) random = rng.next();
        code += noise * quantiles[random & kMask];
        random >>= kNoiseBits;
      }
      out[i] = static_cast<uchar>(std::clamp(code + 0.5F, 0.0F, 255.0F));
    }
  }
  return codes_out;
}

}  // namespace tapersight
