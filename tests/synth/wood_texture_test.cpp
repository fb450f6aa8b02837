// The wood's tone, drift, streaks and burns are as strong as asked.
#include "synth/wood_texture.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace tapersight {
namespace {

StripScene strip_of(const WoodScene& wood) {
  StripScene strip;
  strip.length_mm = 200;
  strip.width_mm = 16;
  strip.wood = wood;
  return strip;
}

TEST(WoodTexture, PlainWoodHasItsToneAndDrift) {
  WoodScene wood;
  wood.tone = 0.4;
  wood.tone_drift = 0.2;
  const WoodTexture texture(strip_of(wood), 1);
  EXPECT_NEAR(texture.reflectance(3, 0, 0.08), 0.4, 1e-12);
  EXPECT_NEAR(texture.reflectance(-3, 100, 0.08) - texture.reflectance(-3, -100, 0.08), 0.4 * 0.2, 1e-12);
}

TEST(WoodTexture, GrainRunsAlongTheStripAndScalesWithItsContrast) {
  const auto spread = [](double contrast, bool along) {
    WoodScene wood;
    wood.tone = 0.4;
    wood.grain_contrast = contrast;
    wood.grain_slope = 0;
    wood.grain_wave_mm = 0;
    const WoodTexture texture(strip_of(wood), 5);
    double sum = 0, squares = 0;
    for (int k = -70; k <= 70; ++k) {
      const double value =
          along ? texture.reflectance(2, 0.1 * k, 0.08) : texture.reflectance(0.1 * k, 2, 0.08);
      sum += value;
      squares += value * value;
    }
    return std::sqrt(std::max(0.0, squares / 141 - sum * sum / 141 / 141)) / 0.4;
  };
  EXPECT_NEAR(spread(0.2, false) / spread(0.1, false), 2, 0.01);
  EXPECT_GT(spread(0.2, false), 0.2 * 0.3);
  EXPECT_LT(spread(0.2, true), 0.5 * spread(0.2, false));
}

TEST(WoodTexture, DarkLinesCanBeStrongerThanAnEdge) {
  WoodScene wood;
  wood.tone = 0.4;
  wood.dark_lines = 2;
  wood.dark_line_contrast = 0.95;
  const WoodTexture texture(strip_of(wood), 2);
  double darkest = 1;
  for (double v = -8; v < 8; v += 0.02) darkest = std::min(darkest, texture.reflectance(v, 10, 0.02));
  EXPECT_LT(darkest, 0.4 * 0.4);
}

TEST(WoodTexture, SawMarksRepeatAlongTheStrip) {
  WoodScene wood;
  wood.tone = 0.4;
  wood.saw_contrast = 0.1;
  wood.saw_period_mm = 2;
  const WoodTexture texture(strip_of(wood), 2);
  int crossings = 0;
  for (double u = -90; u < 90; u += 0.05)
    crossings +=
        (texture.reflectance(0, u, 0.05) > 0.4) != (texture.reflectance(0, u + 0.05, 0.05) > 0.4) ? 1 : 0;
  EXPECT_NEAR(crossings, 180, 12);  // two a period; the feed wanders
}

TEST(WoodTexture, BurnIsDarkestAtItsEdge) {
  WoodScene wood;
  wood.tone = 0.4;
  wood.burns = {{StripSide::kRight, 20, 10, 1.5, 0.6}};
  const WoodTexture texture(strip_of(wood), 2);
  EXPECT_NEAR(texture.reflectance(8, 20, 0.05), 0.4 * 0.4, 1e-9);
  EXPECT_GT(texture.reflectance(2, 20, 0.05), 0.39);
  EXPECT_GT(texture.reflectance(8, 45, 0.05), 0.399);
  EXPECT_GT(texture.reflectance(-8, 20, 0.05), 0.399);
}

}  // namespace
}  // namespace tapersight
