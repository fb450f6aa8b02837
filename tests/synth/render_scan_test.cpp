// The target in a rendered scan: saddles at their places, scale, tones, determinism.
#include "synth/render_scan.h"

#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/imgproc.hpp>

#include "synth/sensor.h"

namespace tapersight {
namespace {

// A small piece of a sheet without strip, noise or scanner faults.
ScanScene small_scene() {
  ScanScene scene;
  scene.strips.clear();
  scene.window_sheet_mm = {45, 20, 120, 50};
  scene.scanner.noise_levels = 0;
  return scene;
}

float light_at(const cv::Mat& light, double x, double y) {
  return light.at<float>(static_cast<int>(std::lround(y)), static_cast<int>(std::lround(x)));
}

// Moves the page so that a saddle lies exactly on a pixel, then compares opposite pixels around it.
TEST(RenderScan, LightIsPointSymmetricAboutSaddles) {
  for (const double rotation : {0.0, 17.0, 90.0, 200.0}) {
    for (const double spread : {0.0, 0.03, -0.03}) {
      ScanScene scene = small_scene();
      scene.page_rotation_deg = rotation;
      scene.ink_spread_mm = spread;
      scene.print_shear = 0.01;
      const std::size_t index = 13;
      const Eigen::Vector2d before = make_truth(scene).saddles[index].at_px;
      scene.page_offset_x_mm -= (before.x() - std::round(before.x())) * 25.4 / 300;
      scene.page_offset_y_mm -= (before.y() - std::round(before.y())) * 25.4 / 300;
      const ScanTruth truth = make_truth(scene);
      const Eigen::Vector2d at = truth.saddles[index].at_px;
      ASSERT_LT(std::abs(at.x() - std::round(at.x())) + std::abs(at.y() - std::round(at.y())), 1e-6);
      const cv::Mat light = render_light(scene, truth);
      // 7 px and the blur's reach stay clear of the markers, 1 mm = 11.8 px inside the squares.
      double largest = 0;
      for (int dy = -7; dy <= 7; ++dy)
        for (int dx = -7; dx <= 7; ++dx)
          largest =
              std::max(largest, std::abs(static_cast<double>(light_at(light, at.x() + dx, at.y() + dy) -
                                                             light_at(light, at.x() - dx, at.y() - dy))));
      EXPECT_LT(largest, 2e-5) << rotation << " deg, spread " << spread;  // linear light; float sums
    }
  }
}

// An independent corner finder on a bent, noisy scan: OpenCV's cornerSubPix on saddles.
TEST(RenderScan, CornerFinderFindsSaddlesWhereTheTruthSaysThem) {
  ScanScene scene = random_scan_scene(8, SceneProfile::kSmooth);
  scene.page_rotation_deg = 1.7;
  scene.scanner.noise_levels = 1;
  scene.scanner.jitter_um = 0;
  const RenderedScan scan = render_scan(scene);
  std::vector<cv::Point2f> corners;
  for (const SaddleTruth& saddle : scan.truth.saddles)
    corners.emplace_back(static_cast<float>(saddle.at_px.x() + 0.6),
                         static_cast<float>(saddle.at_px.y() - 0.5));
  cv::cornerSubPix(scan.image, corners, cv::Size(7, 7), cv::Size(-1, -1),
                   cv::TermCriteria(cv::TermCriteria::COUNT | cv::TermCriteria::EPS, 100, 1e-5));
  Eigen::Vector2d bias(0, 0);
  double squares = 0;
  for (std::size_t i = 0; i < corners.size(); ++i) {
    const Eigen::Vector2d error = Eigen::Vector2d(corners[i].x, corners[i].y) - scan.truth.saddles[i].at_px;
    bias += error / static_cast<double>(corners.size());
    squares += error.squaredNorm();
  }
  // The finder itself scatters by about 0.025 px an axis on such pictures, 0.002 px in the mean of 192.
  EXPECT_LT(bias.norm(), 0.01);
  EXPECT_LT(std::sqrt(squares / static_cast<double>(corners.size())), 0.06);
}

TEST(RenderScan, SaddlesLieAsFarApartAsPrintAndScannerScaleSay) {
  ScanScene scene;
  scene.dpi = 600;
  scene.print_scale_x = 1.01;
  scene.print_scale_y = 0.98;
  scene.scanner.scale_x = 1.004;
  scene.scanner.scale_y = 0.995;
  const ScanTruth truth = make_truth(scene);
  const auto& saddles = sheet_layout(scene.paper).saddles;
  const Eigen::Vector2d sheet = saddles.back().at_mm - saddles.front().at_mm;
  const Eigen::Vector2d px = truth.saddles.back().at_px - truth.saddles.front().at_px;
  EXPECT_NEAR(px.x(), sheet.x() * 1.01 / 1.004 * 600 / 25.4, 1e-6);
  EXPECT_NEAR(px.y(), sheet.y() * 0.98 / 0.995 * 600 / 25.4, 1e-6);
}

TEST(RenderScan, TonesAreThoseOfTheScene) {
  ScanScene scene = small_scene();
  scene.page_rotation_deg = 90.3;
  const ScanTruth truth = make_truth(scene);
  const cv::Mat light = render_light(scene, truth);
  const SheetLayout& layout = sheet_layout(scene.paper);
  int ink = 0;
  int paper = 0;
  for (double y = 22; y < 68; y += 0.37)
    for (double x = 47; x < 163; x += 0.41) {
      const Eigen::Vector2d p(x, y);
      const double reach = 0.45;  // mm: what is uniform this far around is not blurred at its middle
      bool uniform = true;
      const bool black = layout.fiducial_ink_at(p);
      const bool lid = layout.channel.contains(p);
      for (const double dx : {-reach, 0.0, reach})
        for (const double dy : {-reach, 0.0, reach}) {
          const Eigen::Vector2d q = p + Eigen::Vector2d(dx, dy);
          uniform = uniform && layout.fiducial_ink_at(q) == black && layout.channel.contains(q) == lid;
        }
      if (!uniform) continue;
      const Eigen::Vector2d px = truth.pixel_from_sheet(p);
      const double expected = black ? scene.ink_tone : lid ? scene.ground_tone : scene.paper_tone;
      ASSERT_NEAR(light_at(light, px.x(), px.y()), expected, 0.002) << p.transpose();
      ink += black ? 1 : 0;
      paper += !black && !lid ? 1 : 0;
    }
  EXPECT_GT(ink, 500);
  EXPECT_GT(paper, 2000);
}

TEST(RenderScan, MapsBetweenSheetAndPicture) {
  const ScanTruth truth = make_truth(random_scan_scene(4, SceneProfile::kRough));
  for (const Eigen::Vector2d& p : {Eigen::Vector2d(20, 30), Eigen::Vector2d(180, 260)})
    EXPECT_LT((truth.sheet_from_pixel(truth.pixel_from_sheet(p)) - p).norm(), 1e-8);  // mm
}

TEST(RenderScan, PageTurnedByNinetyIsClockwiseInThePicture) {
  ScanScene scene;
  scene.page_rotation_deg = 90;
  const ScanTruth truth = make_truth(scene);
  const Eigen::Vector2d top_left = truth.pixel_from_sheet({0, 0});
  const Eigen::Vector2d top_right = truth.pixel_from_sheet({210, 0});
  EXPECT_GT(top_right.y(), top_left.y() + 1000);
  EXPECT_GT(top_left.x(), truth.map.size_px().width / 2);
  EXPECT_GT(truth.map.size_px().width, truth.map.size_px().height);
}

TEST(RenderScan, PatchHidesSaddlesInPictureAndTruth) {
  ScanScene scene = small_scene();
  const Saddle& saddle = sheet_layout(scene.paper).saddles[7];
  scene.patches = {{{saddle.at_mm.x() - 2, saddle.at_mm.y() - 2, 4, 4}, 0.33}};
  const ScanTruth truth = make_truth(scene);
  EXPECT_FALSE(truth.saddles[7].visible);
  EXPECT_TRUE(truth.saddles[8].visible);
  EXPECT_FALSE(truth.saddles[95].visible);  // below the window
  const Eigen::Vector2d at = truth.saddles[7].at_px;
  EXPECT_NEAR(light_at(render_light(scene, truth), at.x(), at.y()), 0.33, 1e-4);
}

TEST(RenderScan, SameSceneSameBytesAndEverySeedItsOwn) {
  ScanScene scene = random_scan_scene(2, SceneProfile::kRough);
  scene.dpi = 150;
  scene.encoding.jpeg_quality = 85;
  const cv::Mat first = render_scan(scene).image;
  EXPECT_EQ(cv::norm(first, render_scan(scene).image, cv::NORM_INF), 0);
  scene.seed = 77;
  EXPECT_GT(cv::norm(first, render_scan(scene).image, cv::NORM_INF), 0);
}

TEST(RenderScan, ColourPictureHasTheLuminanceOfTheGreyOne) {
  ScanScene scene = random_scan_scene(6, SceneProfile::kRough);
  scene.dpi = 100;
  const ScanTruth truth = make_truth(scene);
  const cv::Mat grey = render_light(scene, truth);
  scene.encoding.colour = true;
  const cv::Mat colour = render_light(scene, truth);
  ASSERT_EQ(colour.type(), CV_32FC3);
  cv::Mat luminance;
  cv::transform(colour, luminance, cv::Matx13f(0.0722F, 0.7152F, 0.2126F));
  EXPECT_LT(cv::norm(luminance, grey, cv::NORM_INF), 1e-5);
  EXPECT_EQ(render_scan(scene).image.type(), CV_8UC3);
}

TEST(RenderScan, DustIsThereWhenAskedFor) {
  ScanScene scene = small_scene();
  const ScanTruth truth = make_truth(scene);
  const cv::Mat clean = render_light(scene, truth);
  scene.dust_specks = 30;
  cv::Mat changed = cv::abs(render_light(scene, truth) - clean) > 0.01;
  const int count = cv::countNonZero(changed);
  EXPECT_GT(count, 30);
  EXPECT_LT(count, 6000);
}

}  // namespace
}  // namespace tapersight
