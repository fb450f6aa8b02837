// A photograph as a strip's face has its stated scale, keeps its colour, has no seams and leaves the edges
// where they are; the table of photographs is sound. Made pictures only: no package is needed.
#include "synth/face_photo.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <numeric>
#include <opencv2/imgcodecs.hpp>
#include <set>
#include <string>
#include <vector>

#include "support/temp_dir.h"
#include "synth/render_photo.h"
#include "synth/render_scan.h"
#include "synth/wood_photos.h"

namespace tapersight {
namespace {

// Soft stripes across the fibres (rows), `period` pixels apart, bluish.
cv::Mat striped(int width, int height, double period) {
  cv::Mat picture(height, width, CV_8UC3);
  for (int r = 0; r < height; ++r)
    for (int c = 0; c < width; ++c) {
      const double wave = std::sin(2 * M_PI * r / period);
      picture.at<cv::Vec3b>(r, c) = {static_cast<uchar>(180 + 30 * wave), static_cast<uchar>(120 + 30 * wave),
                                     static_cast<uchar>(90 + 30 * wave)};
    }
  return picture;
}

double light_of(int code) {
  const double c = code / 255.0;
  return std::pow((c + 0.055) / 1.055, 2.4);  // IEC 61966-2-1, codes above 10
}

TEST(FacePhoto, GivesTheLightOfItsPixels) {
  cv::Mat picture(20, 30, CV_8UC3, cv::Scalar(40, 120, 200));
  picture.colRange(15, 30).setTo(cv::Scalar(80, 160, 240));
  const FacePhoto photo(picture, 0.5);
  EXPECT_DOUBLE_EQ(photo.width_mm(), 15);
  EXPECT_DOUBLE_EQ(photo.height_mm(), 10);
  const Tone left = photo.at(2.25, 5, 0.1, 3);
  const Tone right = photo.at(12.25, 5, 0.1, 3);
  EXPECT_NEAR(left[0], light_of(40), 1e-5);
  EXPECT_NEAR(left[2], light_of(200), 1e-5);
  EXPECT_NEAR(right[1], light_of(160), 1e-5);
  EXPECT_NEAR(photo.at(2.25, 5, 0.1, 1)[0],
              0.0722 * light_of(40) + 0.7152 * light_of(120) + 0.2126 * light_of(200), 1e-5);
}

TEST(FacePhoto, GoesOnAsItsMirrorImageWithoutASeam) {
  cv::Mat picture(40, 40, CV_8UC3);
  for (int r = 0; r < 40; ++r)
    for (int c = 0; c < 40; ++c)
      picture.at<cv::Vec3b>(r, c) = cv::Vec3b::all(static_cast<uchar>(60 + 4 * c + r));
  const FacePhoto photo(picture, 0.25);
  double steepest_inside = 0, steepest = 0;
  for (double x = -60; x < 60; x += 0.01) {
    const double step =
        std::abs(static_cast<double>(photo.at(x + 0.01, 3, 0, 1)[0] - photo.at(x, 3, 0, 1)[0]));
    steepest = std::max(steepest, step);
    if (x > 0.2 && x < 9.8) steepest_inside = std::max(steepest_inside, step);
  }
  EXPECT_LE(steepest, 1.05 * steepest_inside);
  EXPECT_FLOAT_EQ(photo.at(-2, 3, 0.1, 1)[0], photo.at(2, 3, 0.1, 1)[0]);
  EXPECT_FLOAT_EQ(photo.at(12, 3, 0.1, 1)[0], photo.at(8, 3, 0.1, 1)[0]);
  EXPECT_FLOAT_EQ(photo.at(22, 3, 0.1, 1)[0], photo.at(2, 3, 0.1, 1)[0]);
}

ScanScene scan_with(const std::shared_ptr<const FacePhoto>& photo) {
  ScanScene scene;
  scene.encoding.colour = true;
  scene.scanner.noise_levels = 0;
  scene.strips.front().wood.tone_drift = 0;
  scene.strips.front().face.photo = photo;
  if (photo) take_tone(*photo, scene.strips.front().wood);
  return scene;
}

TEST(FacePhoto, LiesOnAScannedStripAtItsScaleAndInItsColour) {
  // Stripes every 20 pixels of 0.2 mm: 4 mm along the strip.
  const auto photo = std::make_shared<const FacePhoto>(striped(60, 2000, 20), 0.2);
  ScanScene scene = scan_with(photo);
  scene.strips.front().face.y_mm = 200;  // away from the mirror
  const ScanTruth truth = make_truth(scene);
  const cv::Mat light = render_light(scene, truth);
  const EdgeLine& left = truth.strips.front().left_px;
  const EdgeLine& right = truth.strips.front().right_px;
  const Eigen::Vector2d far = (left.far_end + right.far_end) / 2;
  const Eigen::Vector2d fence = (left.fence_end + right.fence_end) / 2;
  // The light along the strip's middle, correlated with waves of 4 mm and of its neighbours.
  std::vector<double> values;
  for (double t = 0.05; t < 0.95; t += 0.0001) {
    const Eigen::Vector2d px = far + t * (fence - far);
    const cv::Point at(static_cast<int>(std::lround(px.x())), static_cast<int>(std::lround(px.y())));
    values.push_back(static_cast<double>(light.at<cv::Vec3f>(at)[1]));
  }
  const double level =
      std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
  const auto strength = [&](double period_mm) {
    double in_phase = 0, out_of_phase = 0;
    for (std::size_t k = 0; k < values.size(); ++k) {
      const double angle =
          2 * M_PI * 0.0001 * static_cast<double>(k) * truth.strips.front().length_mm / period_mm;
      in_phase += (values[k] - level) * std::cos(angle);
      out_of_phase += (values[k] - level) * std::sin(angle);
    }
    return std::hypot(in_phase, out_of_phase);
  };
  EXPECT_GT(strength(4.0), 5 * strength(3.8));
  EXPECT_GT(strength(4.0), 5 * strength(4.2));
  const Eigen::Vector2d middle = (far + fence) / 2;
  const cv::Rect around(static_cast<int>(middle.x()) - 20, static_cast<int>(middle.y()) - 94, 40,
                        189);  // 16 mm
  const cv::Scalar mean = cv::mean(light(around));
  for (int k = 0; k < 3; ++k)
    EXPECT_NEAR(mean[k], static_cast<double>(photo->mean()[static_cast<std::size_t>(k)]), 0.01 * mean[k]);
}

TEST(FacePhoto, LeavesAStripsEdgesWhereTheyAre) {
  const auto even = std::make_shared<const FacePhoto>(cv::Mat(8, 8, CV_8UC3, cv::Scalar::all(188)), 1);
  ScanScene drawn = scan_with(nullptr);
  drawn.strips.front().wood.tone = luminance(even->mean());
  drawn.strips.front().wood.tint = {1, 1, 1};
  const ScanScene photographed = scan_with(even);
  const cv::Mat one = render_light(drawn, make_truth(drawn));
  const cv::Mat other = render_light(photographed, make_truth(photographed));
  EXPECT_LT(cv::norm(one, other, cv::NORM_INF), 1e-5);
}

TEST(FacePhoto, LiesOnAPhotographedStripInItsColour) {
  const auto photo = std::make_shared<const FacePhoto>(cv::Mat(8, 8, CV_8UC3, cv::Scalar(40, 90, 160)), 1);
  PhotoScene scene;
  scene.encoding.colour = true;
  scene.light.vignetting = 0;
  scene.strips.front().wood.tone_drift = 0;
  scene.strips.front().face.photo = photo;
  const PhotoTruth truth = make_photo_truth(scene);
  const cv::Mat light = render_photo_light(scene, truth);
  const Eigen::Vector2d px = truth.pixel_from_strip(0, {0, 0}, scene.strips.front().thickness_mm);
  const auto& seen =
      light.at<cv::Vec3f>(static_cast<int>(std::lround(px.y())), static_cast<int>(std::lround(px.x())));
  EXPECT_NEAR(seen[2] / seen[0], photo->mean()[2] / photo->mean()[0], 0.01F);
  EXPECT_NEAR(seen[1] / seen[0], photo->mean()[1] / photo->mean()[0], 0.01F);
}

TEST(WoodPhotos, AreManyOfEveryKindEachWithItsScaleAndReason) {
  std::set<std::string> different;
  int soft = 0, hard = 0, straight = 0, wild = 0;
  for (const WoodPhoto& photo : wood_photos()) {
    different.insert(photo.path + " " + std::to_string(photo.part.x) + " " + std::to_string(photo.part.y));
    EXPECT_GT(photo.mm_per_px, 0.05) << photo.path;
    EXPECT_LT(photo.mm_per_px, 1) << photo.path;
    EXPECT_FALSE(photo.reason.empty()) << photo.path;
    EXPECT_GE(photo.mm_per_px * std::min(photo.part.width, photo.part.height), 25)
        << photo.path;  // a strip's width
    (photo.kind == WoodKind::kSoftwood ? soft : hard) += 1;
    (photo.figure == Figure::kWild ? wild : straight) += 1;
  }
  EXPECT_EQ(different.size(), wood_photos().size());
  EXPECT_GE(wood_photos().size(), 20U);
  for (const int count : {soft, hard, straight, wild}) EXPECT_GE(count, 5);
}

TEST(WoodPhotos, SayWhichPackageToInstallWhereOneIsMissing) {
  const TempDir nowhere;
  EXPECT_EQ(missing_wood_packages(nowhere.path().string()).size(), 5U);
  const auto loaded = load_wood_photo(wood_photos().front(), nowhere.path().string());
  ASSERT_FALSE(loaded.ok());
  EXPECT_EQ(loaded.failure().code, "package-missing");
  EXPECT_NE(loaded.failure().remedy.find("apt-get install --no-install-recommends qgo"), std::string::npos);
}

TEST(WoodPhotos, AreReadFromTheirFilesFibresDown) {
  const TempDir root;
  WoodPhoto entry{"a-package",    "/board.png", WoodKind::kSoftwood, Figure::kStraight,
                  Grain::kAcross, 0.5,          "made here",         {0, 0, 80, 40}};
  cv::Mat picture(50, 80, CV_8UC3, cv::Scalar(40, 80, 120));
  cv::imwrite(root.path().string() + entry.path, picture);
  const auto loaded = load_wood_photo(entry, root.path().string());
  ASSERT_TRUE(loaded.ok());
  EXPECT_DOUBLE_EQ(loaded->width_mm(), 20);
  EXPECT_DOUBLE_EQ(loaded->height_mm(), 40);
  EXPECT_NEAR(loaded->mean()[2], light_of(120), 1e-5);
  entry.tone = 0.3;
  const auto brighter = load_wood_photo(entry, root.path().string());
  EXPECT_NEAR(luminance(brighter->mean()), 0.3, 1e-5);
  EXPECT_NEAR(luminance(brighter->at(3, 3, 0.1, 3)), 0.3, 1e-5);
  EXPECT_NEAR(brighter->mean()[2] / brighter->mean()[0], loaded->mean()[2] / loaded->mean()[0], 1e-4);
  entry.part = {0, 0, 80, 60};
  EXPECT_EQ(load_wood_photo(entry, root.path().string()).failure().code, "picture-too-small");
}

}  // namespace
}  // namespace tapersight
