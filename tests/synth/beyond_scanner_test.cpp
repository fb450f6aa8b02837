// What scanners do beyond a smooth separable map: each effect does to the map and to the picture what its
// size says.
#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/core.hpp>

#include "base/rng.h"
#include "synth/coverage.h"
#include "synth/render_scan.h"
#include "synth/scanner_map.h"
#include "synth/sensor.h"
#include "target/find_sheet.h"

namespace tapersight {
namespace {

constexpr double kPitch = 0.1;  // mm, at 254 dpi

ScannerMap map_of(const ScannerScene& scanner) {
  return {scanner, 254, {-50, -100}, cv::Size(1000, 2000), 1};
}

TEST(BeyondScanner, CrossGradientChangesTheScaleAlongTheBed) {
  ScannerScene scanner;
  scanner.cross_gradient = 2.4e-6;  // 0.03 % over 125 mm
  const ScannerMap map = map_of(scanner);
  for (const double row : {0.0, 1000.0, 1999.0}) {
    const double y = -100 + kPitch * row;
    const double width = map.glass_from_pixel({900, row}).x() - map.glass_from_pixel({100, row}).x();
    EXPECT_NEAR(width, 80 * (1 + 2.4e-6 * y), 1e-9);
  }
}

TEST(BeyondScanner, InverseKnowsGradientJointsAndJerks) {
  ScannerScene scanner;
  scanner.cross_gradient = 4e-6;
  scanner.joints = {{-20, 12, -5}, {11, -9, 4}, {30, 25, 0}};
  scanner.carriage_jerks = {{-30, 20, 15, 1, 5, 0.5}};
  scanner.wobble_jerks = {{40, -15, 10, 2, 8, 0.3}};
  const ScannerMap map = map_of(scanner);
  Rng rng(3);
  for (int i = 0; i < 500; ++i) {
    const Eigen::Vector2d pixel(rng.uniform(0, 999), rng.uniform(0, 1999));
    const Eigen::Vector2d back = map.pixel_from_glass(map.glass_from_pixel(pixel));
    // Chips that overlap see a place twice; 9 um are 0.09 px.
    EXPECT_LT((back - pixel).norm(), map.chip_of_column(pixel.x()).offset_mm.norm() > 0 ? 0.1 : 1e-8);
  }
}

TEST(BeyondScanner, JointIsAStepAcrossOneColumn) {
  ScannerScene scanner;
  scanner.joints = {{9.95, 40, 30}};
  const ScannerMap map = map_of(scanner);
  const int column = 600;  // the first beyond x = 9.95
  const Eigen::Vector2d before = map.glass_from_pixel({column - 1, 700});
  const Eigen::Vector2d after = map.glass_from_pixel({column, 700});
  EXPECT_NEAR(after.x() - before.x(), kPitch + 0.040, 1e-9);
  EXPECT_NEAR(after.y() - before.y(), 0.030, 1e-9);
  EXPECT_NEAR(map.glass_from_pixel({column + 1, 700}).y(), after.y(), 1e-12);
  EXPECT_NEAR(map.glass_from_pixel({500, 700}).x(), 0, 1e-9);  // the middle stays
  // What lies in the gap is at the joint.
  EXPECT_NEAR(map.pixel_from_glass({before.x() + kPitch / 2 + 0.02, before.y()}).x(), column - 0.5, 1e-9);
}

// A rectangle over a joint loses the gap's area, and its level borders step by what the chips step.
TEST(BeyondScanner, JointTakesItsGapOutOfThePicture) {
  ScannerScene scanner;
  scanner.joints = {{9.95, 40, 30}};
  const ScannerMap map = map_of(scanner);
  const Coverage seen = cover({rectangle({-5, -20}, {20, 30})}, map, {cv::Point(0, 0), map.size_px()});
  EXPECT_NEAR(cv::sum(seen.area)[0] * kPitch * kPitch, (25 - 0.040) * 50, 0.02);
  const auto top_of = [&](int column) { return cv::sum(seen.area.col(column).rowRange(700, 1000))[0]; };
  EXPECT_NEAR(top_of(560), 199.5, 1e-3);
  EXPECT_NEAR(top_of(640), 199.5 + 0.3, 1e-3);  // looks 30 um further down
  EXPECT_NEAR(top_of(599), top_of(560), 1e-3);
  EXPECT_NEAR(top_of(600), top_of(640), 1e-3);
}

TEST(BeyondScanner, JerkStepsAndRings) {
  ScannerScene scanner;
  scanner.carriage_jerks = {{20, 30, 10, 2, 5, 0.4}};
  const ScannerMap map = map_of(scanner);
  const auto off_um = [&](double y) {
    return 1000 * (map.glass_from_pixel({500, (y + 100) / kPitch}).y() - y);
  };
  EXPECT_NEAR(off_um(19), 0, 1e-6);
  EXPECT_NEAR(off_um(20.5), 30 + 10 * std::exp(-0.1), 1e-6);  // a quarter of the ring's period on
  EXPECT_NEAR(off_um(21.5), 30 - 10 * std::exp(-0.3), 1e-6);
  EXPECT_NEAR(off_um(90), 30, 1e-3);
}

// The detector finds every saddle where the truth says, whatever bends print, paper and scanner.
TEST(BeyondScanner, PictureShowsWhatTheTruthSays) {
  ScanScene scene;
  scene.strips.clear();
  scene.scanner.noise_levels = 0;
  scene.scanner.cross_gradient = 4e-6;
  scene.scanner.joints = {{-33, 20, 9}, {4, -15, 3}, {41, 24, -8}};
  scene.scanner.carriage_jerks = {{-30, 20, 0, 1, 5, 2}};
  scene.print_faults.cross_gradient = -3e-6;
  scene.print_faults.bow_mm = 0.12;
  scene.print_faults.cross_cubic_mm = 0.1;
  scene.print_faults.feed_quadratic_mm = -0.1;
  scene.print_faults.bands = {{30, 60, 1}};
  scene.curl = {0.6, 0.7, 300};
  scene.page_rotation_deg = 1;
  const RenderedScan scan = render_scan(scene);
  const auto sheet = find_sheet(scan.image);
  ASSERT_TRUE(sheet.ok());
  ASSERT_EQ(sheet->saddles.size(), layout_of(scene).saddles.size());
  double squares = 0;
  for (const Correspondence& saddle : sheet->saddles) {
    const Eigen::Vector2d at = scan.truth.pixel_from_sheet(saddle.sheet_mm);
    squares += (saddle.picture_px - at).squaredNorm();
    EXPECT_LT((saddle.picture_px - at).norm(), 0.25);  // a joint of 0.3 px right through a saddle
  }
  EXPECT_LT(std::sqrt(squares / static_cast<double>(sheet->saddles.size())), 0.04);
}

}  // namespace
}  // namespace tapersight
