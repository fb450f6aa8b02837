// Good strips whose shadow reaches a border of the channel, or hangs at one end aslant, are measured; two
// pieces in the same light are still refused.
#include <gtest/gtest.h>

#include <cmath>

#include "pipeline/pictures.h"

namespace tapersight::testing {
namespace {

// The shadow of a strip under an open lid, from one end to the channel's and beyond.
ScanScene with_end_shadow(double ground, double sideways) {
  ScanScene scene = plain_scene();
  scene.ground_tone = ground;
  StripScene& strip = scene.strips.front();
  strip.wood.tone = 0.3;
  strip.length_mm = 200;
  strip.width_mm = 10;
  strip.offset_y_mm = -18;
  EndShadowScene shadow;
  shadow.fence_end = false;
  shadow.length_mm = 20;
  shadow.depth = 0.8;
  shadow.soft_mm = 6;
  shadow.sideways = sideways;
  strip.end_shadows = {shadow};
  return scene;
}

Result<PictureMeasurement> measured(const ScanScene& scene) {
  return measure_picture(render_scan(scene).image, scene.dpi, scene.dpi, {});
}

void expect_measured(const ScanScene& scene) {
  const auto m = measured(scene);
  ASSERT_TRUE(m.ok()) << m.failure().code;
  EXPECT_LT(std::abs(m->strip.taper - scene.strips.front().taper), 3 * m->strip.u_taper);
  EXPECT_NEAR(m->strip.length_mm(), scene.strips.front().length_mm, 6);  // ends in a shadow may be cut off
}

TEST(Locate, AShadowThatReachesTheChannelsEndMakesNoStripTooLong) {
  expect_measured(with_end_shadow(0.8, 0));
}

TEST(Locate, AShadowThatHangsAslantAtAnEndHidesNoStrip) {
  expect_measured(with_end_shadow(0.8, 0.4));
}

TEST(Locate, TwoPiecesInThatLightAreStillTwo) {
  for (const double sideways : {0.0, 0.4}) {
    ScanScene scene = with_end_shadow(0.8, sideways);
    scene.strips.front().break_gap_mm = 3;
    scene.strips.front().break_at_mm = 20;
    EXPECT_FALSE(measured(scene).ok()) << sideways;
  }
}

}  // namespace
}  // namespace tapersight::testing
