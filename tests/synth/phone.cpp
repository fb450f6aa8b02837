#include "synth/phone.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "synth/blur.h"
#include "synth/jpeg_bytes.h"
#include "synth/light_image.h"

namespace tapersight {
namespace {

void make_uneven(const LightScene& scene, cv::Mat& light) {
  const double x0 = (light.cols - 1) / 2.0;
  const double y0 = (light.rows - 1) / 2.0;
  const double unit = 1 / std::hypot(x0, y0);
  const Tone tint = tinted(1, scene.tint, light.channels());
  const auto veil = static_cast<float>(scene.veil);
  for (int r = 0; r < light.rows; ++r) {
    const double y = (r - y0) * unit;
    float* out = light.ptr<float>(r);
    for (int c = 0; c < light.cols; ++c) {
      const double x = (c - x0) * unit;
      const double lamp = 1 + scene.tilt_x * x + scene.tilt_y * y;
      const auto factor = static_cast<float>(lamp * (1 - scene.vignetting * (x * x + y * y)));
      for (int k = 0; k < light.channels(); ++k, ++out)
        *out = *out * factor * tint[static_cast<std::size_t>(k)] + veil;
    }
  }
}

// A straight line of this length through the middle, each of its points spread over four cells.
cv::Mat motion_kernel(double length_px, double degrees) {
  const int half = static_cast<int>(std::ceil(length_px / 2)) + 1;
  cv::Mat kernel = cv::Mat::zeros(2 * half + 1, 2 * half + 1, CV_32F);
  constexpr int kPoints = 512;
  for (int i = 0; i < kPoints; ++i) {
    const double t = length_px * ((i + 0.5) / kPoints - 0.5);
    const double x = half + t * std::cos(degrees * M_PI / 180);
    const double y = half + t * std::sin(degrees * M_PI / 180);
    const int c = static_cast<int>(std::floor(x));
    const int r = static_cast<int>(std::floor(y));
    for (int dr = 0; dr < 2; ++dr)
      for (int dc = 0; dc < 2; ++dc)
        kernel.at<float>(r + dr, c + dc) +=
            static_cast<float>((dr == 0 ? 1 - (y - r) : y - r) * (dc == 0 ? 1 - (x - c) : x - c) / kPoints);
  }
  return kernel;
}

void append_exif(int orientation, std::vector<unsigned char>& out) {
  const auto value = static_cast<unsigned char>(orientation);
  const unsigned char segment[] = {0xff, 0xe1, 0, 34, 'E',   'x', 'i', 'f', 0,    0, 'I', 'I',
                                   0x2a, 0,    8, 0,  0,     0,   1,   0,   0x12, 1, 3,   0,
                                   1,    0,    0, 0,  value, 0,   0,   0,   0,    0, 0,   0};
  static_assert(sizeof segment == 36, "marker and 34 bytes");
  out.insert(out.end(), std::begin(segment), std::end(segment));
}

}  // namespace

void phone_light_and_blur(const PhotoScene& scene, cv::Mat& light) {
  make_uneven(scene.light, light);
  if (scene.phone.motion_px > 0)
    cv::filter2D(light, light, -1, motion_kernel(scene.phone.motion_px, scene.phone.motion_deg),
                 cv::Point(-1, -1), 0, cv::BORDER_REPLICATE);
  blur(scene.phone.psf, scene.phone.blur_px, light);
}

cv::Mat stored_from_viewed(const cv::Mat& image, int exif_orientation) {
  cv::Mat stored;
  switch (exif_orientation) {
    case 2:
      cv::flip(image, stored, 1);
      return stored;
    case 3:
      cv::rotate(image, stored, cv::ROTATE_180);
      return stored;
    case 4:
      cv::flip(image, stored, 0);
      return stored;
    case 5:
      cv::transpose(image, stored);
      return stored;
    case 6:
      cv::rotate(image, stored, cv::ROTATE_90_COUNTERCLOCKWISE);
      return stored;
    case 7:
      cv::transpose(image, stored);
      cv::rotate(stored, stored, cv::ROTATE_180);
      return stored;
    case 8:
      cv::rotate(image, stored, cv::ROTATE_90_CLOCKWISE);
      return stored;
    default:
      return image;
  }
}

std::vector<unsigned char> photo_file_bytes(const cv::Mat& image, int jpeg_quality, int exif_orientation,
                                            EncodingScene::Chroma chroma) {
  const std::vector<unsigned char> encoded =
      jpeg_bytes(stored_from_viewed(image, exif_orientation), jpeg_quality, chroma);
  if (exif_orientation <= 1 || exif_orientation > 8) return encoded;
  std::vector<unsigned char> bytes(encoded.begin(), encoded.begin() + 2);  // SOI
  append_exif(exif_orientation, bytes);
  bytes.insert(bytes.end(), encoded.begin() + 2, encoded.end());
  return bytes;
}

}  // namespace tapersight
