#include "synth/sensor.h"

#include <algorithm>
#include <boost/math/special_functions/erf.hpp>
#include <cmath>
#include <vector>

#include "base/rng.h"
#include "synth/blur.h"

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

// The tone curves that follow the transfer curve, code 0..1.
double toned(const EncodingScene& encoding, double code) {
  double out = curved(encoding.s_curve, code);
  if (encoding.mid_lift != 0) out += 4 * encoding.mid_lift * out * (1 - out);
  if (encoding.black_code != 0 || encoding.white_code != 1)
    out = std::clamp((out - encoding.black_code) / (encoding.white_code - encoding.black_code), 0.0, 1.0);
  return out;
}

double untoned(const EncodingScene& encoding, double code) {
  double low = 0;
  double high = 1;
  const bool plain =
      encoding.s_curve == 0 && encoding.mid_lift == 0 && encoding.black_code == 0 && encoding.white_code == 1;
  if (plain || code <= 0 || code >= 1) return code;
  for (int i = 0; i < 60; ++i) {
    const double middle = (low + high) / 2;
    (toned(encoding, middle) < code ? low : high) = middle;
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
  blur(scanner.psf, scanner.blur_px, light);
}

void add_signal_noise(double a, double b, double exposure, std::uint64_t seed, cv::Mat& light) {
  if (a == 0 && b == 0) return;
  const std::vector<float>& quantiles = normal_quantiles();
  constexpr std::uint64_t kMask = (1U << kNoiseBits) - 1;
  const auto scale = static_cast<float>(exposure);
  const auto slope = static_cast<float>(a);
  const auto floor = static_cast<float>(b);
  Rng rng(seed);
  std::uint64_t random = 0;
  const int values = light.cols * light.channels();
  for (int r = 0; r < light.rows; ++r) {
    float* out = light.ptr<float>(r);
    for (int i = 0; i < values; ++i) {
      if (i % 4 == 0) random = rng.next();
      const float variance = slope * std::max(out[i] * scale, 0.0F) + floor;
      out[i] += std::sqrt(std::max(variance, 0.0F)) * quantiles[random & kMask] / scale;
      random >>= kNoiseBits;
    }
  }
}

double code_of_light(const EncodingScene& encoding, double light) {
  return 255 * toned(encoding, transferred(encoding, std::clamp(light * encoding.exposure, 0.0, 1.0)));
}

double light_of_code(const EncodingScene& encoding, double code) {
  const double value = untoned(encoding, code / 255);
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
