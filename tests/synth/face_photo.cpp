#include "synth/face_photo.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "synth/scan_scene.h"

namespace tapersight {
namespace {

// Scans sample every 0.04 to 0.085 mm, photographs of wood hold a point every 0.2 to 0.6 mm: in between they
// are interpolated by cubics, in light. Beyond four points a pixel bilinear look-ups hardly differ from them.
constexpr int kFiner = 4;
constexpr int kMostSamples = 4;  // a side, within a footprint

cv::Mat light_of(const cv::Mat& code_bgr) {
  std::array<float, 256> table{};
  for (int i = 0; i < 256; ++i) {
    const double c = i / 255.0;
    table[static_cast<std::size_t>(i)] =
        static_cast<float>(c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4));
  }
  cv::Mat light;
  cv::LUT(code_bgr, cv::Mat(1, 256, CV_32FC1, table.data()), light);
  return light;
}

// Within 0..size, mirrored at both ends as often as it takes.
double folded(double at, double size) {
  const double t = std::fmod(std::abs(at), 2 * size);
  return t > size ? 2 * size - t : t;
}

}  // namespace

FacePhoto::FacePhoto(const cv::Mat& code_bgr, double mm_per_px)
    : step_mm_(mm_per_px / kFiner),
      width_mm_(code_bgr.cols * mm_per_px),
      height_mm_(code_bgr.rows * mm_per_px) {
  const cv::Mat light = light_of(code_bgr);
  const cv::Scalar sum = cv::mean(light);
  mean_ = {static_cast<float>(sum[0]), static_cast<float>(sum[1]), static_cast<float>(sum[2])};
  // Mirrored before it is refined, so that the cubics know what lies beyond the border.
  constexpr int kRim = 4;
  cv::Mat rimmed, fine;
  cv::copyMakeBorder(light, rimmed, kRim, kRim, kRim, kRim, cv::BORDER_REFLECT);
  cv::resize(rimmed, fine, cv::Size(), kFiner, kFiner, cv::INTER_CUBIC);
  const cv::Rect inner(kRim * kFiner, kRim * kFiner, light.cols * kFiner, light.rows * kFiner);
  light_ = cv::max(fine(inner), 0.0);
}

void FacePhoto::set_mean(double luminance_mean) {
  const auto factor = static_cast<float>(luminance_mean / luminance(mean_));
  light_ *= static_cast<double>(factor);
  for (float& channel : mean_) channel *= factor;
}

cv::Vec3f FacePhoto::sample(double x_mm, double y_mm) const {
  const double x = std::clamp(folded(x_mm, width_mm_) / step_mm_ - 0.5, 0.0, light_.cols - 1.001);
  const double y = std::clamp(folded(y_mm, height_mm_) / step_mm_ - 0.5, 0.0, light_.rows - 1.001);
  const int c = static_cast<int>(x);
  const int r = static_cast<int>(y);
  const auto s = static_cast<float>(x - c);
  const auto t = static_cast<float>(y - r);
  const auto* upper = light_.ptr<cv::Vec3f>(r) + c;
  const auto* lower = light_.ptr<cv::Vec3f>(r + 1) + c;
  return (1 - t) * ((1 - s) * upper[0] + s * upper[1]) + t * ((1 - s) * lower[0] + s * lower[1]);
}

Tone FacePhoto::at(double x_mm, double y_mm, double footprint_mm, int channels) const {
  const int n = std::clamp(static_cast<int>(std::lround(footprint_mm / step_mm_)), 1, kMostSamples);
  cv::Vec3f sum(0, 0, 0);
  for (int i = 0; i < n; ++i)
    for (int k = 0; k < n; ++k)
      sum += sample(x_mm + footprint_mm * ((i + 0.5) / n - 0.5), y_mm + footprint_mm * ((k + 0.5) / n - 0.5));
  const float scale = 1 / static_cast<float>(n * n);
  const Tone tone = {scale * sum[0], scale * sum[1], scale * sum[2]};
  return channels == 1 ? neutral(luminance(tone)) : tone;
}

Tone face_light(const FaceScene& face, double v_mm, double u_mm, double footprint_mm, int channels) {
  const double turn = face.turn_deg * M_PI / 180;
  return face.photo->at(face.x_mm + std::cos(turn) * v_mm - std::sin(turn) * u_mm,
                        face.y_mm + std::sin(turn) * v_mm + std::cos(turn) * u_mm, footprint_mm, channels);
}

double luminance(const Tone& bgr) {
  return 0.0722 * static_cast<double>(bgr[0]) + 0.7152 * static_cast<double>(bgr[1]) +
         0.2126 * static_cast<double>(bgr[2]);
}

void take_tone(const FacePhoto& photo, WoodScene& wood) {
  const Tone mean = photo.mean();
  wood.tone = luminance(mean);
  wood.tint = {static_cast<double>(mean[2]), static_cast<double>(mean[1]), static_cast<double>(mean[0])};
}

}  // namespace tapersight
