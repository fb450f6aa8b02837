// Shadows against casting rays: the formulas must say how much of lamp and sky a long strip hides.
#include "synth/cast_shadow.h"

#include <gtest/gtest.h>

#include <cmath>

#include "base/rng.h"

namespace tapersight {
namespace {

PhotoStripScene long_strip() {
  PhotoStripScene strip;
  strip.length_mm = 250;
  strip.width_mm = 20;
  strip.thickness_mm = 10;
  return strip;
}

// Rays from (v, 0) towards a lamp whose run across the strip is spread as the penumbra's smooth step says
// (density 6 x (1 - x)); a ray is stopped when it meets the wall below its top.
double lamp_left(double v, double run, double size, Rng& rng) {
  const PhotoStripScene strip = long_strip();
  const double edge = strip.width_mm / 2;
  int free = 0;
  constexpr int kRays = 20000;
  for (int i = 0; i < kRays; ++i) {
    double x = 0;
    do {
      x = rng.uniform();
    } while (rng.uniform() * 1.5 > 6 * x * (1 - x));
    const double across = run + size * (2 * x - 1);
    const double height = (v - edge) / across;
    free += across > 0 && height < strip.thickness_mm ? 0 : 1;
  }
  return free / static_cast<double>(kRays);
}

TEST(CastShadow, LampPenumbraAgreesWithCastRays) {
  LightScene light;
  light.direct = 1;
  light.occlusion = 0;
  Rng rng(5);
  for (const double size : {0.1, 0.3}) {
    light.shadow_run = {0.9, 0};
    light.lamp_size = size;
    const CastShadow shadow(light, long_strip(), Eigen::Affine2d::Identity());
    for (const double v : {10.5, 13.0, 17.0, 18.5, 19.0, 20.5, 21.5, 23.0})
      EXPECT_NEAR(shadow.light_at({v, 0}), lamp_left(v, 0.9, size, rng), 0.015) << v;  // 20000 rays: 0.0035
    EXPECT_EQ(shadow.light_at({-10.5, 0}), 1);
    EXPECT_EQ(shadow.light_at({10 + shadow.reach_mm(), 0}), 1);
  }
}

// Everywhere, ends and corners included, against rays cast through the whole strip.
TEST(CastShadow, LampAgreesWithCastRaysAroundTheEnd) {
  LightScene light;
  light.direct = 1;
  light.occlusion = 0;
  light.lamp_size = 0.3;
  light.shadow_run = {0.5, 0.7};
  const CastShadow shadow(light, long_strip(), Eigen::Affine2d::Identity());
  Rng rng(8);
  const auto drawn = [&](double middle) {
    double x = 0;
    do {
      x = rng.uniform();
    } while (rng.uniform() * 1.5 > 6 * x * (1 - x));
    return middle + light.lamp_size * (2 * x - 1);
  };
  for (double v = -14; v < 22; v += 2.7)
    for (double u = 119; u < 137; u += 2.3) {
      if (std::abs(v) < 10 && u < 125) continue;
      int free = 0;
      constexpr int kRays = 2000;
      for (int i = 0; i < kRays; ++i) {
        const double rv = drawn(0.5);
        const double ru = drawn(0.7);
        bool hit = false;
        for (double h = 0.05; h < 10 && !hit; h += 0.1)
          hit = std::abs(v - h * rv) < 10 && std::abs(u - h * ru) < 125;
        free += hit ? 0 : 1;
      }
      // 2000 rays: 0.011; 24 shares of the lamp: 0.02
      EXPECT_NEAR(shadow.light_at({v, u}), free / static_cast<double>(kRays), 0.06) << v << ' ' << u;
    }
}

TEST(CastShadow, PassesTheStripsEnd) {
  LightScene light;
  light.direct = 1;
  light.occlusion = 0;
  light.lamp_size = 0.05;
  light.shadow_run = {0.8, 0.8};  // the shadow is moved by up to 8 mm along the strip
  const CastShadow shadow(light, long_strip(), Eigen::Affine2d::Identity());
  EXPECT_EQ(shadow.light_at({14, 120}), 0);
  EXPECT_EQ(shadow.light_at({0, 130}), 0);    // behind the end
  EXPECT_EQ(shadow.light_at({14, 129}), 0);   // behind the corner: half of the rays by each face
  EXPECT_EQ(shadow.light_at({14, -120}), 0);  // the other end's upright arris, 4 mm behind it: at -121 mm
  EXPECT_NEAR(shadow.light_at({14, -121}), 0.5, 0.02);
  EXPECT_EQ(shadow.light_at({14, -122}), 1);
}

// Rays of an even sky, cosine-weighted (Malley's method), from a point beside a long wall.
TEST(CastShadow, RoomLightAgreesWithCastRays) {
  LightScene light;
  light.direct = 0;
  const CastShadow shadow(light, long_strip(), Eigen::Affine2d::Identity());
  Rng rng(6);
  for (const double distance : {0.5, 2.0, 5.0, 10.0, 20.0}) {
    int free = 0;
    constexpr int kRays = 40000;
    for (int i = 0; i < kRays; ++i) {
      double x = 0;
      double y = 0;
      do {
        x = rng.uniform(-1, 1);
        y = rng.uniform(-1, 1);
      } while (x * x + y * y >= 1);
      const double up = std::sqrt(1 - x * x - y * y);
      free += x < 0 && distance * up / -x < long_strip().thickness_mm ? 0 : 1;
    }
    EXPECT_NEAR(shadow.light_at({10 + distance, 0}), free / static_cast<double>(kRays), 0.012) << distance;
  }
}

}  // namespace
}  // namespace tapersight
