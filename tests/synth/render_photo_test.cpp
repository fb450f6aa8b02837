// Sheet, light, noise, sharpening and file of a rendered photo.
#include "synth/render_photo.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <opencv2/imgcodecs.hpp>

#include "synth/cast_shadow.h"
#include "synth/sensor.h"

namespace tapersight {
namespace {

// The picture of a phone with a quarter of the pixels along a side.
PhotoScene small_photo(std::uint64_t seed, SceneProfile profile) {
  PhotoScene scene = random_photo_scene(seed, profile);
  scene.camera.size_px = {1008, 756};
  scene.camera.focal_px /= 4;
  scene.camera.principal_px = (scene.camera.principal_px.array() + 0.5) / 4 - 0.5;
  return scene;
}

double light_at(const cv::Mat& light, double x, double y) {
  return static_cast<double>(
      light.at<float>(static_cast<int>(std::lround(y)), static_cast<int>(std::lround(x))));
}

// Straight lines stay straight through a pinhole, so the light is point-symmetric about a saddle but for what
// the lens bends within the window.
TEST(RenderPhoto, LightIsPointSymmetricAboutSaddles) {
  for (const double spread : {0.0, 0.04, -0.03})
    for (const std::size_t index : {4U, 40U, 130U}) {
      PhotoScene scene;
      scene.strips.clear();
      scene.ink_spread_mm = spread;
      scene.camera.k1 = -0.05;
      scene.camera.distance_mm = 330;
      scene.camera.tilt_deg = 22;
      scene.camera.tilt_towards_deg = 70;
      scene.camera.roll_deg = 25;
      // The window that has the saddle at the middle of pixel (60, 60).
      const Eigen::Vector2d at = make_photo_truth(scene).saddles[index].at_px;
      scene.camera.size_px = {121, 121};
      scene.camera.principal_px += Eigen::Vector2d(60, 60) - at;
      const PhotoTruth truth = make_photo_truth(scene);
      ASSERT_LT((truth.saddles[index].at_px - Eigen::Vector2d(60, 60)).norm(), 1e-6);
      const cv::Mat light = render_photo_light(scene, truth);
      double largest = 0;
      double moved = 0;  // the same about a point one pixel off: the test can fail
      for (int dy = -5; dy <= 5; ++dy)
        for (int dx = -5; dx <= 5; ++dx) {
          largest = std::max(largest,
                             std::abs(light_at(light, 60 + dx, 60 + dy) - light_at(light, 60 - dx, 60 - dy)));
          moved = std::max(moved,
                           std::abs(light_at(light, 61 + dx, 60 + dy) - light_at(light, 61 - dx, 60 - dy)));
        }
      EXPECT_GT(moved, 0.2);
      EXPECT_LT(largest, 5e-4) << index << ", spread " << spread;  // a thousandth of `moved`: 0.001 px
    }
}

TEST(RenderPhoto, SaddlesBehindTheStripAreNotVisible) {
  PhotoScene scene = small_photo(2, SceneProfile::kSmooth);
  const auto visible = [&] {
    const PhotoTruth truth = make_photo_truth(scene);
    return std::count_if(truth.saddles.begin(), truth.saddles.end(),
                         [](const SaddleTruth& saddle) { return saddle.visible; });
  };
  scene.strips.front().offset_x_mm = 0;
  scene.camera.tilt_deg = 0;
  EXPECT_EQ(visible(), 192);
  scene.strips.front().width_mm = 24;
  scene.strips.front().length_mm = 200;
  scene.strips.front().offset_x_mm = 44;  // on the right block: 25 rows of 3
  const auto left = visible();
  EXPECT_LE(left, 192 - 70);
  EXPECT_GE(left, 192 - 80);
}

TEST(RenderPhoto, SameSceneSameBytes) {
  const PhotoScene scene = small_photo(11, SceneProfile::kRough);
  const RenderedPhoto one = render_photo(scene);
  const RenderedPhoto two = render_photo(scene);
  EXPECT_EQ(one.jpeg, two.jpeg);
  EXPECT_EQ(truth_json(scene, one.truth).dump(), truth_json(scene, two.truth).dump());
  PhotoScene other = scene;
  other.seed = 12;
  EXPECT_NE(render_photo(other).jpeg, one.jpeg);
}

TEST(RenderPhoto, ImageIsTheFileAsLookedAt) {
  PhotoScene scene = small_photo(3, SceneProfile::kSmooth);
  scene.phone.exif_orientation = 6;
  const RenderedPhoto photo = render_photo(scene);
  EXPECT_EQ(photo.image.size(), cv::Size(1008, 756));
  EXPECT_EQ(cv::norm(cv::imdecode(photo.jpeg, cv::IMREAD_COLOR), photo.image, cv::NORM_INF), 0);
  const cv::Mat stored = cv::imdecode(photo.jpeg, cv::IMREAD_COLOR | cv::IMREAD_IGNORE_ORIENTATION);
  EXPECT_EQ(stored.size(), cv::Size(756, 1008));
}

TEST(RenderPhoto, JpegAndSharpeningOnlyWhenAsked) {
  PhotoScene scene = small_photo(5, SceneProfile::kSmooth);
  scene.phone.noise_levels = 0;
  scene.phone.sharpen = 0;
  scene.encoding.jpeg_quality = 0;
  const RenderedPhoto plain = render_photo(scene);
  EXPECT_TRUE(plain.jpeg.empty());
  const cv::Mat codes = encode(render_photo_light(scene, plain.truth), scene.encoding, 0, 1);
  EXPECT_EQ(cv::norm(codes, plain.image, cv::NORM_INF), 0);
  scene.phone.sharpen = 0.8;
  const cv::Mat sharpened = render_photo(scene).image;
  EXPECT_GT(cv::norm(sharpened, plain.image, cv::NORM_INF), 20);  // code values: the halo
  scene.phone.sharpen = 0;
  scene.encoding.jpeg_quality = 70;
  const RenderedPhoto packed = render_photo(scene);
  EXPECT_FALSE(packed.jpeg.empty());
  EXPECT_GT(cv::norm(packed.image, plain.image, cv::NORM_INF), 5);
}

TEST(RenderPhoto, WallAwayFromTheLampIsDarkerAndSoIsThePaperBesideIt) {
  PhotoScene scene = small_photo(7, SceneProfile::kSmooth);
  scene.encoding.colour = false;
  scene.light = {};
  scene.light.direct = 0.6;
  scene.light.shadow_run = {1, 0};
  scene.camera.tilt_deg = 0;
  scene.camera.roll_deg = 0;
  scene.camera.look_at_mm = {0, 0};
  scene.camera.distance_mm = 320;
  scene.camera.k1 = scene.camera.k2 = 0;
  PhotoStripScene& strip = scene.strips.front();
  strip.thickness_mm = 12;
  strip.angle_deg = strip.offset_x_mm = 0;
  strip.offset_y_mm = 0;
  const PhotoTruth truth = make_photo_truth(scene);
  const cv::Mat light = render_photo_light(scene, truth);
  const auto paper = [&](double v) {
    const Eigen::Vector2d px = truth.pixel_from_strip(0, {v, 0}, 0);
    return light_at(light, px.x(), px.y());
  };
  const double half = strip.width_mm / 2;
  EXPECT_LT(paper(half + 5), 0.6 * paper(-half - 5));
  EXPECT_NEAR(paper(half + 16), paper(-half - 16),
              0.03);  // beyond the shadow's run of 12 mm and its penumbra
  EXPECT_LT(wall_light(scene.light, {1, 0}, 0.8), 0.5 * wall_light(scene.light, {-1, 0}, 0.8));
}

TEST(RenderPhoto, TruthIsWrittenAsJson) {
  const PhotoScene scene = small_photo(9, SceneProfile::kRough);
  const PhotoTruth truth = make_photo_truth(scene);
  const nlohmann::json json = truth_json(scene, truth);
  const auto& strip = json["strips"][0];
  EXPECT_EQ(strip["taper"].get<double>(), scene.strips[0].taper);
  EXPECT_NEAR(strip["width_fence_end_mm"].get<double>() - strip["width_far_end_mm"].get<double>(),
              scene.strips[0].taper * scene.strips[0].length_mm, 1e-12);
  EXPECT_EQ(strip["edges_px"]["left_bottom"]["points"].size(), 25U);
  EXPECT_EQ(json["saddles"].size(), 192U);
}

}  // namespace
}  // namespace tapersight
