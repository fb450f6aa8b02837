// The widened worlds: the same seed gives the same scene, one effect can be varied alone, and what must be
// refused is not drawn.
#include "synth/widened_scene.h"

#include <gtest/gtest.h>

#include <cmath>

#include "synth/lens_models.h"
#include "synth/photo_truth.h"
#include "synth/random_parts.h"
#include "synth/render_scan.h"
#include "synth/scan_truth.h"

namespace tapersight {
namespace {

constexpr SceneProfile kProfiles[] = {SceneProfile::kSmooth, SceneProfile::kRough};

TEST(WidenedScene, SameSeedSamePicture) {
  for (int i = 0; i < 2; ++i) {
    ScanScene a = widened_scan_scene(11, kProfiles[i]);
    ScanScene b = widened_scan_scene(11, kProfiles[i]);
    for (ScanScene* scene : {&a, &b}) scene->window_sheet_mm = {70, 100, 70, 60};
    const cv::Mat first = render_scan(a).image;
    const cv::Mat second = render_scan(b).image;
    EXPECT_EQ(cv::norm(first, second, cv::NORM_INF), 0);
  }
}

// Every scene has its strip and its sheet in sight and a face that stands out.
TEST(WidenedScene, NothingIsDrawnThatMustBeRefused) {
  for (const SceneProfile profile : kProfiles)
    for (std::uint64_t seed = 1; seed <= 150; ++seed) {
      const ScanScene scan = widened_scan_scene(seed, profile);
      const StripScene& strip = scan.strips.front();
      ASSERT_GE(std::abs(strip.wood.tone - scan.ground_tone), 0.1) << seed;
      for (const ShadowScene& shadow :
           {strip.shadow, strip.more_shadows.empty() ? ShadowScene() : strip.more_shadows[0]})
        if (shadow.side != StripSide::kNone && scan.ground_tone > strip.wood.tone) {
          ASSERT_GT(scan.ground_tone * (1 - shadow.depth), strip.wood.tone) << seed;
        }
      const RectMm& channel = layout_of(scan).channel;
      const double reach = strip.width_mm / 2 + std::abs(strip.offset_x_mm) +
                           std::sin(std::abs(strip.angle_deg) * M_PI / 180) * strip.length_mm / 2;
      ASSERT_LT(reach, channel.width / 2) << seed;
      ASSERT_LT(strip.length_mm / 2 + std::abs(strip.offset_y_mm), channel.height / 2) << seed;
      const PhotoScene photo = widened_photo_scene(seed, profile);
      ASSERT_TRUE(all_in_view(photo)) << seed;
      ASSERT_GE(photo.paper_tone - photo.strips.front().wood.tone, 0.1) << seed;
    }
}

TEST(WidenedScene, OneEffectIsVariedAlone) {
  const ScanScene whole = widened_scan_scene(21, SceneProfile::kRough);
  WidenedOptions options;
  options.scanner_cross_gradient = 0;
  const ScanScene without = widened_scan_scene(21, SceneProfile::kRough, options);
  EXPECT_NE(whole.scanner.cross_gradient, 0);
  EXPECT_EQ(without.scanner.cross_gradient, 0);
  EXPECT_EQ(without.print_faults.cross_gradient, whole.print_faults.cross_gradient);
  EXPECT_EQ(without.scanner.blur_px, whole.scanner.blur_px);
  EXPECT_EQ(without.strips.front().taper, whole.strips.front().taper);
  EXPECT_EQ(without.strips.front().left.waver_um, whole.strips.front().left.waver_um);
  options.scanner_cross_gradient = 3;
  EXPECT_EQ(widened_scan_scene(21, SceneProfile::kRough, options).scanner.cross_gradient,
            3 * whole.scanner.cross_gradient);
}

TEST(WidenedScene, EveryEffectCanBeLeftOut) {
  WidenedOptions off;
  off.scanner_cross_gradient = off.print_cross_gradient = off.print_faults = off.joints = off.lift =
      off.curl = 0;
  off.jerks = off.carriage_waves = off.roughness = off.fractal = off.waver = off.kinks = off.bow = 0;
  off.figure = off.shadows = off.walls = off.sharpen = off.noise = off.distortion = 0;
  off.psf = off.tone = off.encoding = false;
  for (std::uint64_t seed = 1; seed <= 40; ++seed) {
    const ScanScene scan = widened_scan_scene(seed, SceneProfile::kSmooth, off);
    const StripScene& strip = scan.strips.front();
    EXPECT_TRUE(scan.print_faults.none());
    EXPECT_EQ(scan.scanner.cross_gradient, 0);
    EXPECT_TRUE(scan.scanner.joints.empty() && scan.scanner.carriage_jerks.empty());
    EXPECT_EQ(scan.scanner.jitter_um + scan.scanner.noise_levels + scan.scanner.noise_a, 0);
    EXPECT_EQ(scan.scanner.sharpen.amount, 0);
    EXPECT_EQ(scan.scanner.psf.shape, Psf::kGaussian);
    EXPECT_EQ(scan.curl.border_mm + strip.lift.far_mm + strip.lift.fence_mm, 0);
    EXPECT_EQ(strip.left.roughness_um + strip.left.waver_um + strip.left.fractal_um + strip.left.kink_um, 0);
    EXPECT_EQ(strip.shadow.side, StripSide::kNone);
    EXPECT_TRUE(strip.end_shadows.empty() && strip.more_shadows.empty());
    EXPECT_EQ(strip.wall.mode, WallScene::Mode::kNone);
    EXPECT_EQ(scan.encoding.jpeg_quality, 0);
    const ScanTruth truth = make_truth(scan);
    EXPECT_NEAR(truth.strips.front().taper_as_drawn, strip.taper, 1e-9);
    const PhotoScene photo = widened_photo_scene(seed, SceneProfile::kSmooth, off);
    EXPECT_EQ(photo.camera.radial, (std::array<double, 6>{0, 0, 0, 0, 0, 0}));
    EXPECT_EQ(photo.sagitta_mm, 0);
    EXPECT_TRUE(photo.corners.empty());
  }
}

// A contact sensor has joints and sees no depth; a lens the other way round. Both are drawn.
TEST(WidenedScene, ScannersAreOfTwoKinds) {
  int contact = 0;
  for (std::uint64_t seed = 1; seed <= 100; ++seed) {
    const ScanScene scan = widened_scan_scene(seed, SceneProfile::kSmooth);
    const LiftScene& lift = scan.strips.front().lift;
    const bool joints = !scan.scanner.joints.empty();
    contact += joints;
    EXPECT_EQ(joints, lift.far_mm + lift.fence_mm == 0);
    EXPECT_EQ(joints, scan.curl.border_mm == 0);
  }
  EXPECT_GT(contact, 30);
  EXPECT_LT(contact, 70);
}

TEST(WidenedScene, LensesAndSensorsAreDrawnFromThoseGiven) {
  MeasuredLens measured;
  measured.kind = LensModelKind::kPtlens;
  measured.terms = {0.02, -0.06, 0.03};
  measured.focal_mm = 4.5;
  measured.crop = 6;
  measured.aspect = 4.0 / 3;
  WidenedOptions options;
  options.lenses = scene_lenses({measured});
  options.noises = {{3e-5, 2e-7}};
  ASSERT_EQ(options.lenses.size(), 1U);
  const PhotoScene photo = widened_photo_scene(5, SceneProfile::kSmooth, options);
  EXPECT_EQ(photo.camera.radial, options.lenses[0].radial);
  EXPECT_NEAR(photo.camera.focal_px, options.lenses[0].focal * 2520, 1e-9);
  EXPECT_EQ(photo.phone.noise_a, 3e-5);
}

}  // namespace
}  // namespace tapersight
