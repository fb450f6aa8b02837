#include "pipeline/pictures.h"

#include <opencv2/imgproc.hpp>

#include "base/rng.h"

namespace tapersight::testing {

ScanScene plain_scene(std::uint64_t seed) {
  ScanScene scene;
  scene.seed = seed;
  scene.page_rotation_deg = 0.5;
  scene.window_sheet_mm = fiducial_bounds(sheet_layout(scene.paper));
  scene.scanner.blur_px = 0.8;
  scene.scanner.noise_levels = 1.2;
  scene.scanner.carriage_waves = {{6, 90, 0.3}};
  StripScene& strip = scene.strips.front();
  strip.length_mm = 220;
  strip.width_mm = 16;
  strip.taper = 0.002;
  strip.angle_deg = 0.4;
  strip.left.roughness_um = strip.right.roughness_um = 6;
  strip.wood.grain_contrast = 0.12;
  return scene;
}

cv::Mat picture_of(const std::function<void(ScanScene&)>& change) {
  ScanScene scene = plain_scene();
  change(scene);
  return render_scan(scene).image;
}

cv::Rect channel_px(const ScanScene& scene) {
  const ScanTruth truth = make_truth(scene);
  const RectMm& channel = sheet_layout(scene.paper).channel;
  const Eigen::Vector2d a = truth.pixel_from_sheet({channel.x, channel.y});
  const Eigen::Vector2d b = truth.pixel_from_sheet({channel.right(), channel.bottom()});
  return {cv::Point(static_cast<int>(a.x()), static_cast<int>(a.y())),
          cv::Point(static_cast<int>(b.x()), static_cast<int>(b.y()))};
}

Result<PictureMeasurement> measured(const cv::Mat& grey, std::optional<double> dpi) {
  return measure_picture(grey, dpi, dpi);
}

cv::Mat noise_picture(cv::Size size, double grain_px, std::uint64_t seed) {
  Rng rng(seed);
  cv::Mat noise(size, CV_32FC1);
  for (int y = 0; y < size.height; ++y)
    for (int x = 0; x < size.width; ++x) noise.at<float>(y, x) = static_cast<float>(rng.normal());
  if (grain_px > 0) cv::GaussianBlur(noise, noise, {}, grain_px);
  cv::Scalar mean, sigma;
  cv::meanStdDev(noise, mean, sigma);
  cv::Mat grey;
  noise.convertTo(grey, CV_8UC1, 45 / sigma[0], 120);
  return grey;
}

cv::Mat blob_picture(cv::Size size, std::uint64_t seed) {
  Rng rng(seed);
  cv::Mat grey(size, CV_8UC1);
  for (int y = 0; y < size.height; ++y)
    for (int x = 0; x < size.width; ++x)
      grey.at<uchar>(y, x) = static_cast<uchar>(60 + 90 * x / size.width + 70 * y / size.height);
  for (int i = 0; i < 40; ++i)
    cv::ellipse(grey, {rng.integer(0, size.width), rng.integer(0, size.height)},
                {rng.integer(10, 200), rng.integer(10, 200)}, rng.uniform(0, 180), 0, 360,
                cv::Scalar(rng.uniform(10, 245)), cv::FILLED, cv::LINE_AA);
  cv::GaussianBlur(grey, grey, {}, 0.8);
  return grey;
}

cv::Mat text_picture(cv::Size size, std::uint64_t seed) {
  Rng rng(seed);
  cv::Mat grey(size, CV_8UC1, cv::Scalar(232));
  for (int y = 80; y + 40 < size.height; y += 52) {
    std::string line;
    for (int i = 0; i < size.width / 26; ++i)
      line += rng.integer(0, 5) == 0 ? ' ' : static_cast<char>('a' + rng.integer(0, 25));
    cv::putText(grey, line, {60, y}, cv::FONT_HERSHEY_SIMPLEX, 1.1, cv::Scalar(25), 3, cv::LINE_AA);
  }
  cv::GaussianBlur(grey, grey, {}, 0.8);
  return grey;
}

}  // namespace tapersight::testing
