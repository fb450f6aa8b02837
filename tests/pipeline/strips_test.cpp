// Several strips on one scan: each is named rightly or told of, and measured as well as alone. The bench
// (bench_class) does the same with 200 scans.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "bench/class_scenes.h"
#include "pipeline/pictures.h"

namespace tapersight {
namespace {

using namespace testing;

TEST(Strips, NoneIsMixedUpAndAllAreTold) {
  int strips = 0, attributed = 0, open = 0;
  std::vector<Trial> together;
  for (std::uint64_t seed = 1; seed <= 10; ++seed) {
    const ClassScene made = class_scene(seed, seed % 2 == 0 ? Edges::kSmooth : Edges::kRough);
    const ClassTrial trial = run_class_trial(made);
    EXPECT_EQ(trial.mixed_up, 0) << "seed " << seed;
    EXPECT_EQ(trial.lost, 0) << "seed " << seed;
    EXPECT_EQ(trial.loose_tags_told, static_cast<int>(made.loose_tags.size())) << "seed " << seed;
    strips += trial.strips;
    attributed += trial.attributed;
    together.insert(together.end(), trial.trials.begin(), trial.trials.end());
    for (std::size_t k = 0; k < made.benches.size(); ++k) open += made.benches[k] ? 0 : 1;
    if (trial.trials.empty()) continue;
    // The very same pixels without the other strips: the search may find a slightly other outline, no more.
    const Trial alone = run_alone(made, trial.trial_strips.front());
    ASSERT_TRUE(alone.refused.empty()) << alone.refused;
    EXPECT_NEAR(trial.trials.front().error, alone.error, std::max(trial.trials.front().u, alone.u))
        << "seed " << seed;
  }
  EXPECT_GT(open, 1) << "nothing was there to be told";
  EXPECT_GE(attributed, 0.95 * (strips - open));
  EXPECT_GE(summarise(together).covered, 0.88);
}

ScanScene wide_scene(std::uint64_t seed = 3) {
  ScanScene scene = plain_scene(seed);
  scene.channel = Channel::kWide;
  scene.window_sheet_mm = fiducial_bounds(layout_of(scene));
  scene.strips.front().length_mm = 200;
  return scene;
}

Result<StripsMeasurement> strips_of(const ScanScene& scene) {
  return measure_strips(render_scan(scene).image, {}, {});
}

TEST(Strips, TheMapInterpolatesAcrossTheWideChannel) {
  ScanScene scene = wide_scene();
  scene.strips.front().taper = 0.001;
  scene.scanner.lens_cubic_mm = 0.3;
  scene.scanner.lens_quadratic_mm = 0.2;
  for (const double x : {-55.0, 0.0, 52.0}) {
    scene.strips.front().offset_x_mm = x;
    const RenderedScan scan = render_scan(scene);
    const auto m = measure_picture(scan.image, {}, {});
    ASSERT_TRUE(m.ok()) << m.failure().text;
    EXPECT_EQ(m->layout->id, "a4-wide");
    EXPECT_LT(m->map.sigma_mm(), 0.006) << "left-out error";
    EXPECT_NEAR(m->strip.taper, scan.truth.strips[0].taper, 3 * m->strip.u_taper) << x;
    // Places in the middle of the channel, 70 mm from the nearest fiducial: to a hundredth of a millimetre.
    for (const double y : {60.0, 150.0, 240.0}) {
      const Eigen::Vector2d at(105 + x, y);
      const Eigen::Vector2d found = m->map.sheet_from_picture(scan.truth.pixel_from_sheet(at));
      EXPECT_LT((found - at).norm(), 0.03) << x << " " << y;
    }
  }
}

TEST(Strips, OneWithoutATagIsMeasuredButNotNamed) {
  const auto all = strips_of(wide_scene());
  ASSERT_TRUE(all.ok());
  ASSERT_EQ(all->strips.size(), 1U);
  EXPECT_TRUE(all->strips[0].measured.ok());
  EXPECT_EQ(all->strips[0].bench, std::nullopt);
}

TEST(Strips, ATagTellsTheFenceEndOnTheNarrowSheetToo) {
  ScanScene scene = plain_scene();
  StripScene& strip = scene.strips.front();
  strip.length_mm = 200;
  strip.angle_deg = 180;
  scene.tags = {tag_at_fence_end(strip, 7)};
  const auto all = strips_of(scene);
  ASSERT_TRUE(all.ok());
  ASSERT_EQ(all->strips.size(), 1U);
  EXPECT_EQ(all->strips[0].bench, 7);
  ASSERT_TRUE(all->strips[0].measured.ok()) << all->strips[0].measured.failure().text;
  EXPECT_NEAR(all->strips[0].measured->strip.taper, 0.002, 5e-5) << "upside down it would be negative";
  EXPECT_NEAR(measure_picture(render_scan(scene).image, {}, {})->strip.taper, 0.002, 5e-5);
}

std::vector<std::string> said_of(const StripsMeasurement& all) {
  std::vector<std::string> said;
  for (const StripOnSheet& s : all.strips)
    said.push_back(s.measured ? "measured" : s.measured.failure().code);
  return said;
}

TEST(Strips, AnEmptyChannelABrokenStripAndAStripAcrossTheSide) {
  ScanScene scene = wide_scene();
  scene.strips.clear();
  EXPECT_THAT(said_of(*strips_of(scene)), ::testing::ElementsAre("no-strip"));

  scene = wide_scene();
  scene.strips.front().break_gap_mm = 4;
  scene.strips.front().break_at_mm = 20;
  scene.tags = {tag_at_fence_end(scene.strips.front(), 7, 3)};
  EXPECT_THAT(said_of(*strips_of(scene)), ::testing::ElementsAre("strip-broken", "strip-broken"));

  scene = wide_scene();
  scene.strips.push_back(scene.strips.front());
  scene.strips[1].offset_x_mm = 66;
  for (int i = 0; i < 2; ++i)
    scene.tags.push_back(tag_at_fence_end(scene.strips[static_cast<std::size_t>(i)], 7 + i));
  EXPECT_THAT(said_of(*strips_of(scene)), ::testing::ElementsAre("measured", "strip-across-fiducials"));
}

TEST(Strips, TwoThatTouchAreTold) {
  ScanScene scene = wide_scene();
  scene.strips.push_back(scene.strips.front());
  scene.strips[1].offset_x_mm = 16;  // as wide as the first: no gap
  for (int i = 0; i < 2; ++i)
    scene.tags.push_back(tag_at_fence_end(scene.strips[static_cast<std::size_t>(i)], 7 + i));
  for (const auto tags : {2U, 1U}) {
    scene.tags.resize(tags);
    const auto all = strips_of(scene);
    ASSERT_TRUE(all.ok());
    for (const StripOnSheet& s : all->strips) EXPECT_FALSE(s.measured.ok()) << tags << " tags";
    EXPECT_EQ(all->tags.size(), tags);
  }
}

}  // namespace
}  // namespace tapersight
