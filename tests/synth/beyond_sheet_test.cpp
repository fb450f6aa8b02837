// Print and paper beyond an affine map: known sizes at known places, in scans and in photos.
#include <gtest/gtest.h>

#include <cmath>

#include "base/rng.h"
#include "synth/cast_shadow.h"
#include "synth/photo_truth.h"
#include "synth/scan_truth.h"

namespace tapersight {
namespace {

// A4: 210 x 297 mm, middle at (105, 148.5).
TEST(BeyondSheet, PrintFaultsHaveTheirSizesAtTheBorders) {
  SheetScene sheet;
  PrintFaults& faults = sheet.print_faults;
  faults.cross_gradient = 3e-6;
  EXPECT_NEAR(printed_at(sheet, {155, 248.5}).x() - 155, 3e-6 * 50 * 100, 1e-12);
  EXPECT_NEAR(printed_at(sheet, {155, 48.5}).x() - 155, -3e-6 * 50 * 100, 1e-12);
  faults = {};
  faults.bow_mm = 0.1;
  EXPECT_NEAR(printed_at(sheet, {0, 100}).y() - 100, 0.1, 1e-12);
  EXPECT_NEAR(printed_at(sheet, {157.5, 100}).y() - 100, 0.025, 1e-12);
  faults = {};
  faults.cross_cubic_mm = 0.08;
  EXPECT_NEAR(printed_at(sheet, {0, 100}).x(), -0.08, 1e-12);
  faults = {};
  faults.feed_quadratic_mm = 0.1;
  EXPECT_NEAR(printed_at(sheet, {20, 297}).y() - 297, 0.1, 1e-12);
  faults = {};
  faults.bands = {{25, 40, 0}};
  EXPECT_NEAR(printed_at(sheet, {20, 158.5}).y() - 158.5, 0.025, 1e-12);  // a quarter of the period on
}

TEST(BeyondSheet, NominalPlacesComeBack) {
  ScanScene scene;
  scene.print_faults.cross_gradient = 5e-6;
  scene.print_faults.bow_mm = 0.2;
  scene.print_faults.bands = {{30, 5, 1}};
  scene.curl = {1, 0.8, 250};
  const ScanTruth truth = make_truth(scene);
  Rng rng(5);
  for (int i = 0; i < 200; ++i) {
    const Eigen::Vector2d p(rng.uniform(0, 210), rng.uniform(0, 297));
    EXPECT_LT((nominal_of_printed(scene, printed_at(scene, p)) - p).norm(), 1e-9);
    EXPECT_LT((truth.sheet_from_pixel(truth.pixel_from_sheet(p)) - p).norm(), 1e-7);
  }
}

// A scanner with a lens 300 mm off sees what is 1 mm up 301/300 less far out.
TEST(BeyondSheet, CurledPaperIsSeenNearerToTheMiddle) {
  ScanScene scene;
  scene.curl = {1, 0.5, 300};
  const ScanTruth truth = make_truth(scene);
  EXPECT_NEAR(truth.glass_from_sheet_point({210, 148.5}).x(), 105 * 300 / 301.0, 1e-9);
  EXPECT_NEAR(truth.glass_from_sheet_point({210, 297}).x(), 105 * 300 / 301.5, 1e-9);
  EXPECT_NEAR(truth.glass_from_sheet_point({105, 100}).x(), 0, 1e-12);
}

TEST(BeyondSheet, CornersOfAPhotographedSheetStandUp) {
  PhotoScene scene;
  scene.corners = {{2, 4, 20}};  // bottom right
  EXPECT_NEAR(bench_from_sheet_point(scene, {210, 297}).z(), -4, 1e-12);
  const double half_way = 10 / std::sqrt(2.0);
  EXPECT_NEAR(bench_from_sheet_point(scene, {210 - half_way, 297 - half_way}).z(), -1, 1e-12);
  EXPECT_EQ(bench_from_sheet_point(scene, {0, 0}).z(), 0);
  for (const Saddle& saddle : layout_of(scene).saddles)
    EXPECT_EQ(bench_from_sheet_point(scene, saddle.at_mm).z(), 0);
}

TEST(BeyondSheet, SecondLampShadesItsOwnSide) {
  LightScene light;
  light.direct = 0.8;
  light.occlusion = 0;
  light.shadow_run = {1, 0};
  light.lamp_size = 0.05;
  light.second_share = 0.25;
  light.second_run = {-1, 0};
  light.second_size = 0.05;
  const PhotoStripScene strip;
  const Eigen::Affine2d here = Eigen::Affine2d::Identity();
  const CastShadow first(light, strip, here);
  const CastShadow second(second_lamp(light), strip, here);
  const auto lit = [&](double x) {
    const Eigen::Vector2d at(x, 0);
    return (1 - light.second_share) * first.light_at(at) + light.second_share * second.light_at(at);
  };
  const double edge = strip.width_mm / 2;
  EXPECT_NEAR(lit(edge + 3), 1 - 0.8 * 0.75, 1e-6);
  EXPECT_NEAR(lit(-edge - 3), 1 - 0.8 * 0.25, 1e-6);
  EXPECT_NEAR(lit(edge + 20), 1, 1e-6);
  EXPECT_NEAR(wall_light(light, {-1, 0}, 0.8) - wall_light(light, {1, 0}, 0.8), 0.8 * (0.75 - 0.25), 1e-12);
}

}  // namespace
}  // namespace tapersight
