// Strips beyond straight cuts with one roughness: slow shapes of edges, a lifted end, shadows all round,
// fibres.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <opencv2/core.hpp>

#include "synth/render_scan.h"
#include "synth/roughness.h"
#include "synth/sensor.h"
#include "synth/strip_shape.h"
#include "synth/wood_texture.h"

namespace tapersight {
namespace {

constexpr double kStepMm = 0.02;

double rms(const std::vector<double>& values) {
  double squares = 0;
  for (const double v : values) squares += v * v;
  return std::sqrt(squares / static_cast<double>(values.size()));
}

// Mean power of the periodogram between two frequencies, 1/mm.
double power_between(const std::vector<double>& profile, double from, double to) {
  cv::Mat spectrum;
  cv::dft(cv::Mat(profile).reshape(1, 1), spectrum, cv::DFT_COMPLEX_OUTPUT);
  const double length = kStepMm * static_cast<double>(profile.size());
  double sum = 0;
  int count = 0;
  for (int k = static_cast<int>(from * length); k < static_cast<int>(to * length); ++k, ++count) {
    const auto& c = spectrum.at<cv::Vec2d>(0, k);
    sum += c[0] * c[0] + c[1] * c[1];
  }
  return sum / count;
}

TEST(BeyondStrip, FractalRoughnessHasItsRmsAndItsSlope) {
  for (const double exponent : {0.5, 1.0, 2.0}) {
    double squares = 0, slow = 0, fast = 0;
    constexpr int kProfiles = 40;
    for (int i = 0; i < kProfiles; ++i) {
      const auto profile = fractal_profile({10, exponent, 20}, kStepMm, 10000, 100 + i);
      squares += std::pow(rms(profile), 2) / kProfiles;
      slow += power_between(profile, 0.15, 0.25);
      fast += power_between(profile, 1.5, 2.5);
    }
    EXPECT_NEAR(std::sqrt(squares), 10, 1);
    EXPECT_NEAR(std::log10(slow / fast), exponent, 0.2) << exponent;  // a decade of frequency
  }
}

// Only `edge` at work, v of the right edge less its straight cut, by u.
std::vector<Eigen::Vector2d> right_edge(const EdgeScene& edge, std::uint64_t seed, std::uint64_t slow_seed) {
  StripScene strip;
  strip.length_mm = 200;
  strip.right = edge;
  strip.ends.roughness_um = 0;
  auto points = make_strip_shape(strip, seed, slow_seed).pieces.front().right;
  for (Eigen::Vector2d& p : points) p.x() -= straight_edge(strip, StripSide::kRight, p.y());
  return points;
}

TEST(BeyondStrip, KinkStandsOutOfItsChord) {
  EdgeScene edge;
  edge.kink_um = 80;
  edge.kink_at = 0.25;
  for (const Eigen::Vector2d& p : right_edge(edge, 1, 1)) {
    const double expected = p.y() < 50 ? 0.080 * (p.y() + 100) / 150 : 0.080 * (100 - p.y()) / 50;
    ASSERT_NEAR(p.x(), expected, 1e-9);
  }
}

TEST(BeyondStrip, WaverIsSlowAndBothFacesShareIt) {
  EdgeScene edge;
  edge.waver_um = 50;
  edge.waver_mm = 20;
  edge.fractal_um = 10;
  double squares = 0, steps = 0;
  std::size_t count = 0;
  for (std::uint64_t seed = 1; seed <= 40; ++seed) {
    const auto points = right_edge(edge, seed, seed);
    for (std::size_t k = 0; k < points.size(); ++k, ++count) {
      squares += points[k].x() * points[k].x();
      if (k >= 50) steps += std::pow(points[k].x() - points[k - 50].x(), 2);  // over 1 mm
    }
  }
  EXPECT_NEAR(std::sqrt(squares / static_cast<double>(count)), std::hypot(0.050, 0.010), 0.006);
  EXPECT_LT(std::sqrt(steps / static_cast<double>(count)), 0.015);
  edge.roughness_um = 15;
  const auto top = right_edge(edge, 7, 9);
  const auto bottom = right_edge(edge, 8, 9);
  double apart = 0;
  for (std::size_t k = 0; k < top.size(); ++k) apart += std::pow(top[k].x() - bottom[k].x(), 2);
  EXPECT_NEAR(std::sqrt(apart / static_cast<double>(top.size())), 0.015 * std::sqrt(2.0), 0.003);
}

// One tone on another, inside the channel.
ScanScene plain_scene() {
  ScanScene scene;
  scene.window_sheet_mm = {78, 25, 54, 247};
  scene.window_margin_mm = 0;
  scene.ground_tone = 0.4;
  scene.scanner.noise_levels = 0;
  scene.scanner.blur_px = 0;
  StripScene& strip = scene.strips.front();
  strip.length_mm = 200;
  strip.width_mm = 20;
  strip.ends.roughness_um = 0;
  strip.wood.tone = 0.9;
  return scene;
}

// Width of the strip on the glass along a row at u, from its light.
double seen_width_mm(const ScanScene& scene, const ScanTruth& truth, const cv::Mat& light, double u) {
  const Eigen::Vector2d px =
      truth.map.pixel_from_glass(truth.strips.front().glass_from_strip * Eigen::Vector2d(0, u));
  const int row = static_cast<int>(std::lround(px.y()));
  const double area =
      cv::sum(light.row(row) - scene.ground_tone)[0] / (scene.strips.front().wood.tone - scene.ground_tone);
  return area * 25.4 / scene.dpi;
}

TEST(BeyondStrip, LiftedEndLooksNarrower) {
  ScanScene scene = plain_scene();
  scene.strips.front().lift = {0, 1.5, 300};
  const ScanTruth truth = make_truth(scene);
  const cv::Mat light = render_light(scene, truth);
  for (const double u : {-95.0, 0.0, 95.0}) {
    const double height = 1.5 * (u + 100) / 200;
    EXPECT_NEAR(seen_width_mm(scene, truth, light, u), 20 * 300 / (300 + height), 1e-3);
  }
  // The forged taper, by the truth's own pixels: 20 mm * 1.5 / 300 over 200 mm.
  const auto& strip = truth.strips.front();
  const double far_px = (strip.right_px.far_end - strip.left_px.far_end).norm();
  const double fence_px = (strip.right_px.fence_end - strip.left_px.fence_end).norm();
  EXPECT_NEAR((far_px - fence_px) * 25.4 / 300, 20 * (1 - 300 / 301.5), 1e-4);
}

TEST(BeyondStrip, ShadowsFallOnBothSidesAndPastTheEnds) {
  ScanScene scene = plain_scene();
  StripScene& strip = scene.strips.front();
  strip.shadow = {StripSide::kLeft, 3, 0.5, 0.5};
  strip.more_shadows = {{StripSide::kRight, 2, 0.3, 0.5}};
  strip.end_shadows = {{true, 8, 0.6, 1, 0}};
  const ScanTruth truth = make_truth(scene);
  const cv::Mat light = render_light(scene, truth);
  const auto at = [&](double v, double u) {
    const Eigen::Vector2d px =
        truth.map.pixel_from_glass(truth.strips.front().glass_from_strip * Eigen::Vector2d(v, u));
    return static_cast<double>(
        light.at<float>(static_cast<int>(std::lround(px.y())), static_cast<int>(std::lround(px.x()))));
  };
  EXPECT_NEAR(at(-11, 20), 0.4 * 0.5, 1e-6);
  EXPECT_NEAR(at(11, 20), 0.4 * 0.7, 1e-6);
  EXPECT_NEAR(at(-15, 20), 0.4, 1e-6);
  EXPECT_NEAR(at(0, 104), 0.4 * 0.4, 1e-6);  // past the fence end, as wide as the strip
  EXPECT_NEAR(at(8, 104), 0.4 * 0.4, 1e-6);
  EXPECT_NEAR(at(14, 104), 0.4, 1e-6);
  EXPECT_NEAR(at(0, 111), 0.4, 1e-6);
  EXPECT_NEAR(at(0, -104), 0.4, 1e-6);
}

// How like the face is to itself this far along the grain.
double likeness(double fibre_length_mm, double apart_mm) {
  StripScene strip;
  strip.length_mm = 240;
  strip.wood.grain_contrast = 0.3;
  strip.wood.grain_slope = 0;
  strip.wood.grain_wave_mm = 0;
  strip.wood.ring_mm = 1000;  // only fibres
  strip.wood.fibre_length_mm = fibre_length_mm;
  const WoodTexture wood(strip, 3);
  double xy = 0, xx = 0, yy = 0;
  for (double v = -7; v < 7; v += 0.1) {
    const double x = wood.reflectance(v, -40, 0.01) / strip.wood.tone - 1;
    const double y = wood.reflectance(v, -40 + apart_mm, 0.01) / strip.wood.tone - 1;
    xy += x * y;
    xx += x * x;
    yy += y * y;
  }
  return xy / std::sqrt(xx * yy);
}

TEST(BeyondStrip, FibresAreAsLongAsAsked) {
  EXPECT_GT(likeness(100, 20), 0.8);
  EXPECT_LT(likeness(5, 20), 0.4);
}

}  // namespace
}  // namespace tapersight
