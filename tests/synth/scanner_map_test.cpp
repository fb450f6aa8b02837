// Where a synthetic scanner's pixels look.
#include "synth/scanner_map.h"

#include <gtest/gtest.h>

#include <cmath>

#include "base/rng.h"

namespace tapersight {
namespace {

ScannerScene bad_scanner() {
  ScannerScene scanner;
  scanner.scale_x = 1.004;
  scanner.scale_y = 0.997;
  scanner.skew = 0.002;
  scanner.lens_cubic_mm = 0.8;
  scanner.lens_quadratic_mm = -0.4;
  scanner.carriage_quadratic_mm = 0.2;
  scanner.carriage_cubic_mm = -0.1;
  scanner.carriage_waves = {{20, 40, 0.5}, {5, 9, 1.5}};
  scanner.wobble_waves = {{10, 60, 0}};
  scanner.yaw_waves = {{8, 70, 1}};
  scanner.jitter_um = 4;
  return scanner;
}

TEST(ScannerMap, InverseBringsEveryPixelBack) {
  const ScannerMap map(bad_scanner(), 600, {-100, -140}, cv::Size(4800, 6600), 5);
  Rng rng(1);
  for (int i = 0; i < 500; ++i) {
    const Eigen::Vector2d pixel(rng.uniform(0, 4799), rng.uniform(0, 6599));
    EXPECT_LT((map.pixel_from_glass(map.glass_from_pixel(pixel)) - pixel).norm(), 1e-8);  // px
  }
}

TEST(ScannerMap, PartsMakeUpTheWhole) {
  const ScannerMap map(bad_scanner(), 300, {-100, -140}, cv::Size(800, 900), 5);
  for (const int row : {0, 333, 899}) {
    const Eigen::Vector2d whole = map.glass_from_pixel({123, static_cast<double>(row)});
    const double x = map.x_of_column(123) + map.shift_of_row(row);
    EXPECT_NEAR(x, whole.x(), 1e-12);
    // mm; the middle between a row's borders leaves out the carriage's curvature over half a row
    EXPECT_NEAR(map.way_of_row(row) + map.skew_of_row(row) * x, whole.y(), 2e-5);
  }
  EXPECT_NEAR(map.column_of_x(map.x_of_column(77.7)), 77.7, 1e-9);
}

TEST(ScannerMap, PitchIsAnInchByTheResolutionTimesTheScale) {
  ScannerScene scanner;
  scanner.scale_x = 1.01;
  scanner.scale_y = 0.99;
  const ScannerMap map(scanner, 300, {-3, 4}, cv::Size(900, 900), 1);
  EXPECT_NEAR((map.glass_from_pixel({0, 0}) - Eigen::Vector2d(-3, 4)).norm(), 0, 1e-12);
  const Eigen::Vector2d far = map.glass_from_pixel({300, 300}) - Eigen::Vector2d(-3, 4);
  EXPECT_NEAR(far.x(), 25.4 * 1.01, 1e-9);
  EXPECT_NEAR(far.y(), 25.4 * 0.99, 1e-9);
}

TEST(ScannerMap, LensTermsAreDisplacementsAtTheSensorsEnd) {
  ScannerScene scanner;
  scanner.lens_cubic_mm = 0.3;
  scanner.lens_quadratic_mm = 0.1;
  const ScannerMap map(scanner, 254, {0, 0}, cv::Size(10, 10), 1);
  EXPECT_NEAR(map.x_of_column(1080), 108 + 0.3 + 0.1, 1e-9);
  EXPECT_NEAR(map.x_of_column(-1080), -108 - 0.3 + 0.1, 1e-9);
}

TEST(ScannerMap, YawGrowsAlongTheSensor) {
  ScannerScene scanner;
  scanner.yaw_waves = {{30, 100, M_PI / 2}};  // 30 um at the sensor's end in row 0
  const ScannerMap map(scanner, 254, {0, 0}, cv::Size(10, 10), 1);
  EXPECT_NEAR(map.glass_from_pixel({1080, 0}).y(), 0.030, 1e-9);
  EXPECT_NEAR(map.glass_from_pixel({-540, 0}).y(), -0.015, 1e-9);
}

TEST(ScannerMap, JitterHasTheRmsAskedForInBothDirections) {
  ScannerScene scanner;
  scanner.jitter_um = 5;
  scanner.jitter_correlation_mm = 0.2;
  const ScannerMap map(scanner, 600, {0, 0}, cv::Size(10, 20000), 9);
  double x2 = 0;
  double y2 = 0;
  for (int r = 0; r < 20000; ++r) {
    x2 += std::pow(map.shift_of_row(r), 2);
    y2 += std::pow(map.way_of_row(r) - r * 25.4 / 600, 2);
  }
  // 847 mm / (2 * 0.2 mm) = 2100 independent places: the rms is known to 1.6 %
  EXPECT_NEAR(std::sqrt(x2 / 20000), 0.005, 0.005 * 0.07);
  EXPECT_NEAR(std::sqrt(y2 / 20000), 0.005, 0.005 * 0.07);
}

}  // namespace
}  // namespace tapersight
