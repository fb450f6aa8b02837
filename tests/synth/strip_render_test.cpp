// The strip in a rendered scan lies exactly where the truth says: recovered by summing light, no edge finder.
#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/core.hpp>

#include "synth/render_scan.h"
#include "synth/sensor.h"

namespace tapersight {
namespace {

// A strip of one tone on a lid of one tone: between them every pixel's light tells its covered area.
ScanScene plain_scene() {
  ScanScene scene;
  scene.window_sheet_mm = {78, 45, 54, 207};  // inside the channel: nothing but lid and strip
  scene.window_margin_mm = 0;
  scene.ground_tone = 0.05;
  scene.scanner.noise_levels = 0;
  scene.scanner.blur_px = 0.8;
  StripScene& strip = scene.strips.front();
  strip.length_mm = 190;
  strip.width_mm = 14;
  strip.taper = 0.0021;
  strip.angle_deg = 1.3;
  strip.offset_x_mm = 0.7;
  strip.ends.roughness_um = 0;
  strip.wood.tone = 0.5;
  return scene;
}

double light_at_column(const cv::Mat& light, int row, double column) {
  return static_cast<double>(light.at<float>(row, static_cast<int>(std::lround(column))));
}

struct Crossing {
  double left, right;  // px along the row
};

// Edges along row `r`, from the sums of covered area on both sides of column `inside`.
Crossing crossing(const cv::Mat& light, int r, int inside, double ground, double wood) {
  double left = 0;
  double right = 0;
  for (int c = 0; c < light.cols; ++c) {
    const double area = (static_cast<double>(light.at<float>(r, c)) - ground) / (wood - ground);
    (c < inside ? left : right) += area;
  }
  return {inside - 0.5 - left, inside - 0.5 + right};
}

// Where the straight cut from `line` meets the middle of row r.
double column_at_row(const EdgeLine& line, const ScannerMap& map, double row) {
  double low = 0;
  double high = 1;
  const auto point = [&](double t) {
    return map.pixel_from_glass(line.far_end + t * (line.fence_end - line.far_end));
  };
  const bool rising = point(1).y() > point(0).y();
  for (int i = 0; i < 60; ++i) {
    const double t = (low + high) / 2;
    ((point(t).y() < row) == rising ? low : high) = t;
  }
  return point((low + high) / 2).x();
}

struct Errors {
  double largest = 0;  // of both edges, px
  double mean_width = 0;
  int rows = 0;
};

// Compares both edges in every row that crosses both.
Errors compare(const cv::Mat& light, const ScanScene& scene, const ScanTruth& truth) {
  Errors errors;
  const StripTruth& strip = truth.strips[0];
  const bool upside_down = strip.left_px.fence_end.y() < strip.left_px.far_end.y();
  const EdgeLine& low = upside_down ? strip.right_glass : strip.left_glass;
  const EdgeLine& high = upside_down ? strip.left_glass : strip.right_glass;
  const double end = 20;  // px: the tilted ends and the blur
  const auto [a, b] = std::minmax(strip.left_px.fence_end.y(), strip.left_px.far_end.y());
  for (int r = static_cast<int>(a + end); r < b - end; ++r) {
    const double left = column_at_row(low, truth.map, r);
    const double right = column_at_row(high, truth.map, r);
    const int inside = static_cast<int>((left + right) / 2);
    const Crossing found = crossing(light, r, inside, scene.ground_tone, scene.strips[0].wood.tone);
    errors.largest = std::max({errors.largest, std::abs(found.left - left), std::abs(found.right - right)});
    errors.mean_width += found.right - found.left - (right - left);
    ++errors.rows;
  }
  errors.mean_width /= errors.rows;
  return errors;
}

void expect_exact(const ScanScene& scene) {
  const ScanTruth truth = make_truth(scene);
  const Errors errors = compare(render_light(scene, truth), scene, truth);
  EXPECT_GT(errors.rows, 2000);
  EXPECT_LT(errors.largest, 0.003);  // px: float sums over 600 pixels
  EXPECT_LT(std::abs(errors.mean_width), 0.001);
}

TEST(StripRender, EdgesOfEveryRowAreExact) {
  expect_exact(plain_scene());
}

TEST(StripRender, EdgesAreExactThroughABentScanner) {
  ScanScene scene = plain_scene();
  scene.scanner.scale_x = 1.003;
  scene.scanner.scale_y = 0.996;
  scene.scanner.skew = 0.002;
  scene.scanner.lens_cubic_mm = 1;
  scene.scanner.lens_quadratic_mm = 0.5;
  scene.scanner.carriage_waves = {{20, 40, 0}};
  scene.scanner.wobble_waves = {{15, 60, 1}};
  scene.scanner.yaw_waves = {{10, 80, 2}};
  expect_exact(scene);
}

TEST(StripRender, EdgesAreExactUpsideDown) {
  ScanScene scene = plain_scene();
  scene.page_rotation_deg = 180.8;
  expect_exact(scene);
}

TEST(StripRender, WidthsAreExactAlongTheSensor) {
  ScanScene scene = plain_scene();
  scene.page_rotation_deg = 91.1;
  scene.window_sheet_mm = {83, 45, 44, 207};
  const ScanTruth truth = make_truth(scene);
  const cv::Mat light = render_light(scene, truth);
  const StripTruth& strip = truth.strips[0];
  double largest = 0;
  int columns = 0;
  // At 90 degrees clockwise the fence end points to the left and the strip's left edge lies on top.
  for (int c = static_cast<int>(strip.left_px.fence_end.x()) + 20; c < strip.right_px.far_end.x() - 20; ++c) {
    const auto row_at = [&](const EdgeLine& px) {
      const double t = (c - px.far_end.x()) / (px.fence_end.x() - px.far_end.x());
      return px.far_end.y() + t * (px.fence_end.y() - px.far_end.y());
    };
    double sum = 0;
    for (int r = 0; r < light.rows; ++r) sum += (static_cast<double>(light.at<float>(r, c)) - 0.05) / 0.45;
    const double error = sum - (row_at(strip.right_px) - row_at(strip.left_px));
    largest = std::max(largest, std::abs(error));
    ++columns;
  }
  EXPECT_GT(columns, 2000);
  EXPECT_LT(largest, 0.003);  // px
}

TEST(StripRender, RowJitterMovesRowsBothEdgesAlike) {
  ScanScene scene = plain_scene();
  scene.scanner.blur_px = 0;  // blur would mix the rows
  scene.strips[0].angle_deg = 0;
  scene.scanner.jitter_um = 10;
  const ScanTruth truth = make_truth(scene);
  const Errors errors = compare(render_light(scene, truth), scene, truth);
  EXPECT_LT(errors.largest, 0.003);
  double squares = 0;
  for (int r = 0; r < truth.map.size_px().height; ++r) squares += std::pow(truth.map.shift_of_row(r), 2);
  EXPECT_GT(std::sqrt(squares / truth.map.size_px().height), 0.005);  // mm: there was jitter
}

TEST(StripRender, EightBitPictureKeepsTheEdgesInTheMean) {
  ScanScene scene = plain_scene();
  // Tones that are whole code values, so that rounding does not shift the flat parts.
  scene.ground_tone = light_of_code(scene.encoding, 63);
  scene.strips[0].wood.tone = light_of_code(scene.encoding, 187);
  const RenderedScan scan = render_scan(scene);
  cv::Mat light(scan.image.size(), CV_32F);
  for (int r = 0; r < light.rows; ++r)
    for (int c = 0; c < light.cols; ++c)
      light.at<float>(r, c) = static_cast<float>(light_of_code(scene.encoding, scan.image.at<uchar>(r, c)));
  const Errors errors = compare(light, scene, scan.truth);
  EXPECT_LT(std::abs(errors.mean_width), 0.003);  // px
}

TEST(StripRender, PositiveTaperIsWiderAtTheFenceEndTowardsTheSheetsBottom) {
  for (const double rotation : {0.0, 180.0}) {
    ScanScene scene = plain_scene();
    scene.strips[0].angle_deg = 0;
    scene.page_rotation_deg = rotation;
    const ScanTruth truth = make_truth(scene);
    const cv::Mat light = render_light(scene, truth);
    const auto width = [&](int r) {
      const Crossing edges = crossing(light, r, light.cols / 2, 0.05, 0.5);
      return (edges.right - edges.left) * 25.4 / 300;
    };
    const int near_top = 200;
    const int near_bottom = light.rows - 201;
    const double distance = (near_bottom - near_top) * 25.4 / 300;
    const double taper = (width(near_bottom) - width(near_top)) / distance;
    EXPECT_NEAR(taper, rotation == 0 ? 0.0021 : -0.0021, 5e-6);
    EXPECT_GT(truth.strips[0].left_sheet.fence_end.y(), truth.strips[0].left_sheet.far_end.y());
  }
}

TEST(StripRender, TruthOfTheTaperIsConsistent) {
  ScanScene scene = plain_scene();
  const StripTruth plain = make_truth(scene).strips[0];
  EXPECT_NEAR((plain.width_fence_end_mm - plain.width_far_end_mm) / plain.length_mm, plain.taper, 1e-15);
  EXPECT_NEAR(plain.taper_as_drawn, plain.taper, 1e-9);
  EXPECT_NEAR(plain.taper_in_sheet, plain.taper, 1e-12);
  // A small angle d between lines of direction y under diag(1/a, 1/b) becomes d * b / a.
  scene.print_scale_x = 1.01;
  scene.print_scale_y = 0.99;
  scene.strips[0].angle_deg = 0;
  EXPECT_NEAR(make_truth(scene).strips[0].taper_in_sheet, 0.0021 * 0.99 / 1.01, 1e-9);
}

TEST(StripRender, RoughEdgesShowTheRoughnessOfTheScene) {
  ScanScene scene = plain_scene();
  scene.scanner.blur_px = 0;
  EdgeScene& left = scene.strips[0].left;
  left.roughness_um = 40;
  left.correlation_mm = 1;
  left.gaussian = true;  // hardly smoothed by a pixel of 0.085 mm
  const ScanTruth truth = make_truth(scene);
  const cv::Mat light = render_light(scene, truth);
  double left2 = 0;
  double right2 = 0;
  int rows = 0;
  for (int r = 150; r < light.rows - 150; ++r, ++rows) {
    const double l = column_at_row(truth.strips[0].left_glass, truth.map, r);
    const double rr = column_at_row(truth.strips[0].right_glass, truth.map, r);
    const Crossing found = crossing(light, r, static_cast<int>((l + rr) / 2), 0.05, 0.5);
    left2 += std::pow((found.left - l) * 25.4 / 300, 2);
    right2 += std::pow((found.right - rr) * 25.4 / 300, 2);
  }
  // some 100 independent places: known to 7 %
  EXPECT_NEAR(std::sqrt(left2 / rows), 0.040, 0.040 * 0.2);
  EXPECT_LT(std::sqrt(right2 / rows), 0.0003);
}

TEST(StripRender, LensSeesTheWallTowardsTheSensorsMiddle) {
  ScanScene scene = plain_scene();
  scene.window_sheet_mm = {78, 100, 54, 60};
  StripScene& strip = scene.strips[0];
  strip.angle_deg = 0;
  strip.taper = 0;
  strip.offset_x_mm = 13;
  strip.wall.mode = WallScene::Mode::kLens;
  strip.wall.thickness_mm = 20;
  strip.wall.tone = 0.25;
  const ScanTruth truth = make_truth(scene);
  const cv::Mat light = render_light(scene, truth);
  const double x = truth.strips[0].left_glass.fence_end.x();  // 6 mm right of the sensor's middle
  EXPECT_NEAR(x, 6, 1e-9);
  const double wall_px = (x - x * 300 / 320) * 300 / 25.4;
  double sum = 0;  // of light above the lid's, left of the contact arris and right of it
  const int r = light.rows / 2;
  for (int c = 0; c < light.cols; ++c) sum += static_cast<double>(light.at<float>(r, c)) - 0.05;
  EXPECT_NEAR(sum, 14 * 300 / 25.4 * 0.45 + wall_px * 0.20, 0.003);
  const double middle_of_wall = truth.strips[0].left_px.fence_end.x() - wall_px / 2;
  EXPECT_NEAR(light_at_column(light, r, middle_of_wall), 0.25, 0.03);
}

TEST(StripRender, FarArrisIsBlurredMoreThanTheContactArris) {
  ScanScene scene = plain_scene();
  scene.window_sheet_mm = {78, 100, 54, 60};
  StripScene& strip = scene.strips[0];
  strip.angle_deg = 0;
  strip.taper = 0;
  strip.wall.mode = WallScene::Mode::kBand;
  strip.wall.band_side = StripSide::kLeft;
  strip.wall.band_mm = 3;
  strip.wall.tone = 0.25;
  const ScanTruth truth = make_truth(scene);
  const auto steepest = [&](double blur_mm, double at_column) {
    scene.strips[0].wall.far_arris_blur_mm = blur_mm;
    const cv::Mat light = render_light(scene, truth);
    double slope = 0;
    const int r = light.rows / 2;
    for (int c = static_cast<int>(at_column) - 10; c < at_column + 10; ++c)
      slope = std::max(slope, static_cast<double>(light.at<float>(r, c + 1) - light.at<float>(r, c)));
    return slope;
  };
  const double contact = truth.strips[0].left_px.fence_end.x();
  const double far = contact - 3 * 300 / 25.4;
  EXPECT_LT(steepest(0.2, far), 0.5 * steepest(0, far));
  EXPECT_NEAR(steepest(0.2, contact), steepest(0, contact), 1e-4);
}

TEST(StripRender, ShadowDarkensOneSideAndFadesOut) {
  ScanScene scene = plain_scene();
  scene.ground_tone = 0.8;
  scene.window_sheet_mm = {78, 100, 54, 60};
  StripScene& strip = scene.strips[0];
  strip.angle_deg = 0;
  strip.taper = 0;
  strip.offset_x_mm = 0;
  strip.shadow = {StripSide::kRight, 3, 0.4, 1};
  const ScanTruth truth = make_truth(scene);
  const cv::Mat light = render_light(scene, truth);
  const int r = light.rows / 2;
  const double edge = truth.strips[0].right_px.fence_end.x();
  const auto beside = [&](double mm) { return light_at_column(light, r, edge + mm * 300 / 25.4); };
  EXPECT_NEAR(beside(1), 0.8 * 0.6, 0.002);
  EXPECT_NEAR(beside(3), 0.8 * 0.8, 0.02);
  EXPECT_NEAR(beside(4.6), 0.8, 0.002);
  EXPECT_NEAR(light_at_column(light, r, truth.strips[0].left_px.fence_end.x() - 5), 0.8, 0.002);
}

TEST(StripRender, SecondStripIsDrawnAndHasItsOwnTruth) {
  ScanScene scene = plain_scene();
  scene.strips.push_back(scene.strips[0]);
  scene.strips[0].offset_x_mm = -14;
  scene.strips[1].offset_x_mm = 14;
  scene.strips[1].taper = -0.001;
  const ScanTruth truth = make_truth(scene);
  ASSERT_EQ(truth.strips.size(), 2U);
  const cv::Mat light = render_light(scene, truth);
  for (const StripTruth& strip : truth.strips) {
    const double middle = (strip.left_px.fence_end.x() + strip.right_px.far_end.x()) / 2;
    EXPECT_NEAR(light_at_column(light, light.rows / 2, middle), 0.5, 1e-4);
  }
  EXPECT_EQ(truth.strips[1].taper, -0.001);
}

}  // namespace
}  // namespace tapersight
