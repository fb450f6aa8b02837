// The rasteriser behind every synthetic edge: areas must be exact, also on a bent scanner.
#include "synth/coverage.h"

#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/core.hpp>

#include "base/rng.h"

namespace tapersight {
namespace {

ScannerMap plain_map(int columns, int rows) {
  return {ScannerScene(), 254, {0, 0}, cv::Size(columns, rows), 1};  // 254 dpi: a pixel is 0.1 mm
}

cv::Rect whole(const ScannerMap& map) {
  return {cv::Point(0, 0), map.size_px()};
}

double shoelace(const std::vector<Eigen::Vector2d>& p) {
  double twice = 0;
  for (std::size_t i = 0; i < p.size(); ++i) {
    const auto& q = p[(i + 1) % p.size()];
    twice += p[i].x() * q.y() - q.x() * p[i].y();
  }
  return std::abs(twice) / 2;
}

bool inside(const std::vector<Eigen::Vector2d>& p, const Eigen::Vector2d& at) {
  bool odd = false;
  for (std::size_t i = 0, j = p.size() - 1; i < p.size(); j = i++)
    if ((p[i].y() > at.y()) != (p[j].y() > at.y()) &&
        at.x() < (p[j].x() - p[i].x()) * (at.y() - p[i].y()) / (p[j].y() - p[i].y()) + p[i].x())
      odd = !odd;
  return odd;
}

Outline random_star(Rng& rng, double middle, double reach) {
  Outline outline;
  for (int k = 0; k < 9; ++k) {
    const double turn = 2 * M_PI * k / 9;
    const double r = reach * rng.uniform(0.4, 1);
    outline.points.emplace_back(middle + r * std::cos(turn), middle + r * std::sin(turn));
  }
  return outline;
}

TEST(Coverage, SumsToThePolygonsArea) {
  Rng rng(11);
  const ScannerMap map = plain_map(100, 100);
  for (int i = 0; i < 20; ++i) {
    const Outline star = random_star(rng, 5, 4.5);
    const double area_mm2 = 0.01 * cv::sum(cover({star}, map, whole(map)).area)[0];
    EXPECT_NEAR(area_mm2, shoelace(star.points), 1e-4);  // mm^2; float sums over 6000 pixels
  }
}

TEST(Coverage, DoesNotDependOnTheWayRound) {
  Rng rng(12);
  const ScannerMap map = plain_map(100, 100);
  const Outline star = random_star(rng, 5, 4.5);
  const Outline back = {{star.points.rbegin(), star.points.rend()}, 1};
  EXPECT_LT(cv::norm(cover({star}, map, whole(map)).area, cover({back}, map, whole(map)).area, cv::NORM_INF),
            1e-6);
}

// The same rasteriser straight in pixels: pixel (0, 0) reaches from -0.5 to 0.5.
TEST(Coverage, AgreesWithTheScannersOnAPlainMap) {
  Rng rng(21);
  const ScannerMap map = plain_map(100, 100);
  const Outline star = random_star(rng, 5, 4.5);
  Outline px = star;
  for (Eigen::Vector2d& p : px.points) p = map.pixel_from_glass(p);
  const cv::Rect window(7, 11, 60, 70);
  EXPECT_LT(cv::norm(cover_px({px}, window).area, cover({star}, map, window).area, cv::NORM_INF), 1e-5);
  EXPECT_NEAR(cv::sum(cover_px({px}, whole(map)).area)[0], shoelace(px.points), 0.01);  // px^2; float sums
}

TEST(Coverage, InPixelsIsExactForABox) {
  const Outline box = rectangle({1.25, 2.0}, {3.0, 4.75});
  const cv::Mat area = cover_px({box}, cv::Rect(0, 0, 6, 8)).area;
  EXPECT_NEAR(area.at<float>(2, 1), 0.25 * 0.5, 1e-6);
  EXPECT_NEAR(area.at<float>(3, 1), 0.25, 1e-6);
  EXPECT_NEAR(area.at<float>(3, 2), 1, 1e-6);
  EXPECT_NEAR(area.at<float>(5, 3), 0.5 * 0.25, 1e-6);
  EXPECT_EQ(area.at<float>(6, 2), 0);
}

// Counted in 40 x 40 points a pixel through the scanner's own map: lens, skew, yaw and carriage included.
TEST(Coverage, AgreesWithCountingPointsOnABentScanner) {
  ScannerScene scanner;
  scanner.lens_cubic_mm = 30;
  scanner.sensor_half_width_mm = 20;
  scanner.skew = 0.05;
  scanner.carriage_waves = {{100, 9, 0.4}};
  scanner.wobble_waves = {{150, 5, 0.1}};
  scanner.yaw_waves = {{200, 12, 0.7}};
  const ScannerMap map(scanner, 254, {3, 2}, cv::Size(60, 60), 1);
  Rng rng(13);
  const Outline star = random_star(rng, 5.5, 2.4);
  const cv::Mat area = cover({star}, map, whole(map)).area;
  constexpr int kPoints = 40;
  double largest = 0;
  for (int r = 0; r < 60; ++r)
    for (int c = 0; c < 60; ++c) {
      int hits = 0;
      for (int i = 0; i < kPoints; ++i)
        for (int j = 0; j < kPoints; ++j)
          hits += inside(star.points,
                         map.glass_from_pixel({c + (j + 0.5) / kPoints - 0.5, r + (i + 0.5) / kPoints - 0.5}))
                      ? 1
                      : 0;
      largest = std::max(
          largest, std::abs(static_cast<double>(area.at<float>(r, c)) - hits / (1.0 * kPoints * kPoints)));
    }
  // Counting is good to about one row of points; wobble and yaw within one row shift a side by 0.002 mm.
  EXPECT_LT(largest, 0.04);
  EXPECT_GT(cv::sum(area)[0], 300);  // the star is in the picture
}

TEST(Coverage, IsExactWhereAnOutlineLeavesThePicture) {
  const ScannerMap map = plain_map(20, 20);
  // A half plane below the line y = 0.3 + 0.37 x, cut far outside.
  const Outline half = {{{-50, 0.3 - 18.5}, {50, 0.3 + 18.5}, {50, 40}, {-50, 40}}, 1};
  const cv::Mat area = cover({half}, map, whole(map)).area;
  for (int c = 0; c < 20; ++c) {
    // Below the line in a column of 20 pixels (2 mm from y = -0.05): 1.95 - (0.3 + 0.37 x).
    const double expected = (1.95 - (0.3 + 0.37 * 0.1 * c)) / 0.1;
    EXPECT_NEAR(cv::sum(area.col(c))[0], expected, 1e-5) << c;
  }
}

TEST(Coverage, WeightMinusOneCutsAHole) {
  const ScannerMap map = plain_map(50, 50);
  Outline hole = rectangle({1.234, 1.111}, {2.345, 3.333});
  hole.weight = -1;
  const cv::Mat area = cover({rectangle({0.5, 0.5}, {4, 4}), hole}, map, whole(map)).area;
  EXPECT_NEAR(0.01 * cv::sum(area)[0], 3.5 * 3.5 - 1.111 * 2.222, 1e-5);
  EXPECT_EQ(area.at<float>(20, 18), 0);
}

TEST(Coverage, BoundsHoldEverythingThatIsTouched) {
  const ScannerMap map = plain_map(200, 200);
  const std::vector<Outline> shape = {rectangle({7, 8}, {11, 9})};
  const cv::Rect bounds = bounds_px(shape, map, 0);
  EXPECT_NEAR(cv::sum(cover(shape, map, bounds).area)[0], 400, 1e-3);
  EXPECT_LT(bounds.area(), 200 * 200 / 4);
  EXPECT_TRUE(bounds_px({rectangle({50, 50}, {60, 60})}, map, 0).empty());
}

}  // namespace
}  // namespace tapersight
