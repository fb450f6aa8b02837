// Proves that measured lenses are read and bent as lensfun bends them, and that a scene's camera shows the
// same.
#include "synth/lens_models.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "synth/camera.h"

namespace tapersight {
namespace {

MeasuredLens lens_of(LensModelKind kind, std::array<double, 3> terms) {
  MeasuredLens lens;
  lens.kind = kind;
  lens.terms = terms;
  lens.focal_mm = 5;
  lens.crop = 6;
  lens.aspect = 4.0 / 3;
  return lens;
}

const MeasuredLens kPtlens = lens_of(LensModelKind::kPtlens, {0.02, -0.06, 0.03});
const MeasuredLens kPoly3 = lens_of(LensModelKind::kPoly3, {-0.03, 0, 0});
const MeasuredLens kPoly5 = lens_of(LensModelKind::kPoly5, {-0.05, 0.02, 0});

// What liblensfun 0.3.3 itself (Debian package liblensfun1) makes of these coefficients on a sensor of 4001 x
// 3001 pixels, lf_modifier_apply_geometry_distortion, in half short sides; printed with six digits, single
// precision.
TEST(LensModels, BendsAsTheLibraryDoes) {
  struct Row {
    const MeasuredLens& lens;
    double at_03, at_075, at_1, at_15;
  };
  for (const Row& row : {Row{kPtlens, 0.304242, 0.755391, 1.000000, 1.481250},
                         Row{kPoly3, 0.308190, 0.759844, 1.000000, 1.443750},
                         Row{kPoly5, 0.298699, 0.733652, 0.970000, 1.483125}}) {
    EXPECT_NEAR(distorted_radius(row.lens, 0.3), row.at_03, 1e-6);
    EXPECT_NEAR(distorted_radius(row.lens, 0.75), row.at_075, 1e-6);
    EXPECT_NEAR(distorted_radius(row.lens, 1), row.at_1, 1e-6);
    EXPECT_NEAR(distorted_radius(row.lens, 1.5), row.at_15, 1e-6);
  }
}

TEST(LensModels, InverseUndoesTheDistortion) {
  for (const MeasuredLens* lens : {&kPtlens, &kPoly3, &kPoly5})
    for (const double r : {0.0, 0.2, 0.9, 1.6})
      EXPECT_NEAR(undistorted_radius(*lens, distorted_radius(*lens, r)), r, 1e-13);
}

// Half the short side of a 4:3 sensor whose diagonal is 43.27 / 6 mm is 0.3 of that diagonal.
TEST(LensModels, RadiusOneIsHalfTheShortSide) {
  EXPECT_NEAR(unit_radius_mm(kPoly3), 0.3 * std::hypot(36, 24) / 6, 1e-12);
  EXPECT_NEAR(corner_radius(kPoly3), 5.0 / 3, 1e-12);
}

// A ray of the camera is seen where the lens' own formula puts it, but for the scale of the middle.
TEST(LensModels, ScenesCameraFollowsTheFormula) {
  for (const MeasuredLens* lens : {&kPtlens, &kPoly3, &kPoly5}) {
    CameraScene scene = phone_camera(12);
    const SceneLens drawn = scene_lens(*lens);
    const double half_short_px = 1512;  // of 4032 x 3024
    scene.radial = drawn.radial;
    scene.focal_px = drawn.focal * half_short_px * corner_radius(*lens);
    const PinholeCamera camera(scene);
    const double middle = distorted_radius(*lens, 1e-9) / 1e-9;
    for (const double tangent : {0.1, 0.4, 0.8}) {
      const Eigen::Vector2d px =
          camera.pixel_at_height(scene.distance_mm * tangent * Eigen::Vector2d(0.6, 0.8), 0);
      const double r_u = tangent * lens->focal_mm / unit_radius_mm(*lens) / middle;
      EXPECT_NEAR((px - scene.principal_px).norm() / half_short_px, distorted_radius(*lens, r_u), 1e-9);
      const Eigen::Vector2d back = camera.bench_from_pixel(px, 0);
      EXPECT_NEAR(back.norm(), scene.distance_mm * tangent, 1e-8);
    }
  }
}

// What is even already stays as it is; what is not moves by less than a thousandth of the half diagonal.
TEST(LensModels, EvenTwinIsTheSameLens) {
  for (const MeasuredLens* measured : {&kPtlens, &kPoly3, &kPoly5}) {
    const SceneLens lens = scene_lens(*measured);
    const SceneLens twin = even_twin(lens);
    const bool odd = measured == &kPtlens;
    EXPECT_LT(largest_difference(lens, twin), odd ? 1e-3 : 1e-9);
    EXPECT_EQ(largest_difference(lens, twin) > 1e-5, odd);
    EXPECT_EQ(twin.radial[0] + twin.radial[2] + twin.radial[4], 0);
  }
}

TEST(LensModels, DistortionThatFoldsThePictureIsNotUsable) {
  EXPECT_TRUE(is_usable(kPtlens));
  EXPECT_FALSE(is_usable(lens_of(LensModelKind::kPoly3, {-0.2, 0, 0})));  // r_d falls from r_u = 1.41 on
}

constexpr char kDatabase[] = R"(<lensdatabase version="1">
  <camera><model>A</model><cropfactor>6</cropfactor></camera>
  <lens><model>zoom</model><cropfactor>6</cropfactor><aspect-ratio>4:3</aspect-ratio><calibration>
    <distortion model="ptlens" focal="20" a="0.5" b="0" c="0"/>
    <distortion model="ptlens" focal="4.7" a="0.01" b="-0.05" c="0.02"/>
    <tca model="poly3" focal="4.7" vr="1.0001"/></calibration></lens>
  <lens><model>round</model><type>fisheye</type><cropfactor>6</cropfactor><calibration>
    <distortion model="poly3" focal="2" k1="0.1"/></calibration></lens>
  <lens><model>large</model><cropfactor>1</cropfactor><calibration>
    <distortion model="poly5" focal="28" k1="-0.02" k2="0.01"/></calibration></lens>
  <lens><model>not measured</model><cropfactor>6</cropfactor></lens>
</lensdatabase>)";

TEST(LensModels, ReadsTheWidestMeasurementOfEachLens) {
  const auto all = parse_lenses(kDatabase, 0, false);
  ASSERT_EQ(all.size(), 2U);
  EXPECT_EQ(all[0].kind, LensModelKind::kPtlens);
  EXPECT_THAT(all[0].terms, ::testing::ElementsAre(0.01, -0.05, 0.02));
  EXPECT_EQ(all[0].focal_mm, 4.7);
  EXPECT_NEAR(all[0].aspect, 4.0 / 3, 1e-12);
  EXPECT_EQ(all[1].kind, LensModelKind::kPoly5);
  EXPECT_EQ(all[1].aspect, 1.5);  // lensfun's default
  EXPECT_EQ(parse_lenses(kDatabase, 3.5, true).size(), 1U);
}

TEST(LensModels, MissingPackageIsNamed) {
  const auto lenses = read_lenses("no/such/folder");
  ASSERT_FALSE(lenses.ok());
  EXPECT_EQ(lenses.failure().code, "lens-data-missing");
  EXPECT_THAT(lenses.failure().remedy, ::testing::HasSubstr(kLensPackage));
}

}  // namespace
}  // namespace tapersight
