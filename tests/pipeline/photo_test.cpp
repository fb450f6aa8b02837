// Photos: measured within their own interval, or refused for the right reason; generated with an exact truth.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <fstream>
#include <opencv2/imgproc.hpp>

#include "pipeline/measure_picture.h"
#include "pipeline/pictures.h"
#include "room/load_picture.h"
#include "synth/render_photo.h"

namespace tapersight {
namespace {

cv::Mat grey_of(const cv::Mat& image) {
  if (image.channels() == 1) return image;
  cv::Mat grey;
  cv::cvtColor(image, grey, cv::COLOR_BGR2GRAY);
  return grey;
}

Result<PictureMeasurement> measured(const PhotoScene& scene, const PictureOptions& options = {}) {
  return measure_picture(grey_of(render_photo(scene).image), std::nullopt, std::nullopt, options);
}

class RandomPhoto : public ::testing::TestWithParam<int> {};

TEST_P(RandomPhoto, IsMeasuredWithinItsInterval) {
  const PhotoScene scene = random_photo_scene(static_cast<std::uint64_t>(GetParam()), SceneProfile::kSmooth);
  const auto m = measured(scene);
  ASSERT_TRUE(m.ok()) << m.failure().code;
  EXPECT_EQ(m->kind, PictureKind::kPhoto);
  EXPECT_LT(std::abs(m->strip.taper - scene.strips.front().taper), 2.5 * m->strip.u_taper);
  EXPECT_LT(m->strip.u_taper, 2e-4);
  EXPECT_LT(m->map.sigma_mm(), 0.003);
  // The map and its inverse are one.
  const Eigen::Vector2d p(1234.5, 987.25);
  EXPECT_LT((m->map.picture_from_sheet(m->map.sheet_from_picture(p)) - p).norm(), 1e-6);
}

INSTANTIATE_TEST_SUITE_P(Photos, RandomPhoto, ::testing::Values(10, 18, 24));

// Seen straight from above there is no perspective, and a scanner would explain the sheet as well; but no
// scanner has such a resolution.
TEST(Photo, StraightFromAboveIsStillAPhoto) {
  PhotoScene scene = random_photo_scene(10, SceneProfile::kSmooth);
  scene.camera.tilt_deg = 0;
  scene.camera.k1 = scene.camera.k2 = 0;
  scene.camera.distance_mm = 25.4 * scene.camera.focal_px / 187;  // dpi
  const auto m = measured(scene);
  ASSERT_TRUE(m.ok()) << m.failure().code;
  EXPECT_EQ(m->kind, PictureKind::kPhoto);
  EXPECT_LT(std::abs(m->strip.taper - scene.strips.front().taper), 2.5 * m->strip.u_taper);
}

// By chance at a scanner's resolution: there the file's own note of an exposure tells, or the person.
TEST(Photo, WhatTheFileNotesDecidesWhereNothingElseTells) {
  const cv::Mat scan = testing::picture_of([](ScanScene& /*scene*/) {});
  PictureOptions options;
  options.by_camera = true;
  const auto by_camera = measure_picture(scan, std::nullopt, std::nullopt, options);
  ASSERT_TRUE(by_camera.ok()) << by_camera.failure().code;
  EXPECT_EQ(by_camera->kind, PictureKind::kPhoto);
  options.kind = PictureKind::kScan;
  const auto told = measure_picture(scan, std::nullopt, std::nullopt, options);
  ASSERT_TRUE(told.ok());
  EXPECT_EQ(told->kind, PictureKind::kScan);
}

TEST(Photo, AScanWhoseFileSaysNoDpiIsStillAScan) {
  for (const int dpi : {200, 300}) {
    const auto m = testing::measured(testing::picture_of([&](ScanScene& scene) { scene.dpi = dpi; }));
    ASSERT_TRUE(m.ok()) << m.failure().code;
    EXPECT_EQ(m->kind, PictureKind::kScan);
  }
}

// Where a shadow fades out there is a long line of no contrast: not the edge of a second strip.
TEST(Photo, TheEndOfASoftShadowIsNoEdge) {
  PhotoScene scene = random_photo_scene(6, SceneProfile::kSmooth);
  const auto m = measured(scene);
  ASSERT_TRUE(m.ok()) << m.failure().code;
  EXPECT_LT(std::abs(m->strip.taper - scene.strips.front().taper), 2.5 * m->strip.u_taper);
}

// Light wood that shows no edge on paper.
TEST(Photo, LightWoodIsMeasuredOnTheDarkChannel) {
  PhotoScene scene = random_photo_scene(29, SceneProfile::kSmooth);
  ASSERT_GT(scene.strips.front().wood.tone, 0.3);
  EXPECT_FALSE(measured(scene).ok());
  darken_channel(scene);
  const auto m = measured(scene);
  ASSERT_TRUE(m.ok()) << m.failure().code;
  EXPECT_LT(std::abs(m->strip.taper - scene.strips.front().taper), 2.5 * m->strip.u_taper);
  EXPECT_LT(m->strip.u_taper, 1e-4);
}

struct PhotoOf {
  int seed;
  SceneProfile profile;
  bool dark_channel;
};

PhotoScene scene_of(const PhotoOf& photo) {
  PhotoScene scene = random_photo_scene(static_cast<std::uint64_t>(photo.seed), photo.profile);
  if (photo.dark_channel) darken_channel(scene);
  return scene;
}

class PlainToSee : public ::testing::TestWithParam<PhotoOf> {};

// A narrow side wall that makes a line soft, an edge of chips, an end where a line leaves the edge: the strip
// is found all the same.
TEST_P(PlainToSee, IsMeasuredWithinItsInterval) {
  const PhotoScene scene = scene_of(GetParam());
  const auto m = measured(scene);
  ASSERT_TRUE(m.ok()) << m.failure().code;
  EXPECT_LT(std::abs(m->strip.taper - scene.strips.front().taper), 2.5 * m->strip.u_taper);
}

INSTANTIATE_TEST_SUITE_P(Photos, PlainToSee,
                         ::testing::Values(PhotoOf{4, SceneProfile::kSmooth, true},
                                           PhotoOf{121, SceneProfile::kSmooth, false},
                                           PhotoOf{140, SceneProfile::kSmooth, true},
                                           PhotoOf{61, SceneProfile::kRough, true},
                                           PhotoOf{105, SceneProfile::kRough, true}));

class TwoStrips : public ::testing::TestWithParam<PhotoOf> {};

// Side by side, the gap in a shadow, behind a wall or lit: never measured as one.
TEST_P(TwoStrips, AreNotTakenForOne) {
  PhotoScene scene = scene_of(GetParam());
  lay_another_beside(scene);
  const auto m = measured(scene);
  ASSERT_FALSE(m.ok()) << "measured: " << m->strip.mean_width_mm() << " mm wide";
  EXPECT_EQ(m.failure().code, "two-strips");
}

INSTANTIATE_TEST_SUITE_P(
    Photos, TwoStrips,
    ::testing::Values(PhotoOf{46, SceneProfile::kSmooth, false}, PhotoOf{78, SceneProfile::kSmooth, false},
                      PhotoOf{71, SceneProfile::kSmooth, true}, PhotoOf{90, SceneProfile::kSmooth, true},
                      PhotoOf{18, SceneProfile::kRough, false}, PhotoOf{50, SceneProfile::kRough, false}));

// Brown wood in its own shadow hardly shows: not the cut is at fault.
TEST(Photo, AnEdgeThatHardlyShowsIsNotCalledRagged) {
  const auto m = measured(random_photo_scene(13, SceneProfile::kSmooth));
  ASSERT_FALSE(m.ok());
  EXPECT_EQ(m.failure().code, "edges-unclear");
}

// Loose black paper under light wood: its edges are the outermost lines, as sharp as the strip's.
TEST(Photo, EdgesOfPaperUnderTheStripAreNotTakenForTheStrips) {
  for (const double out_of_place_mm : {2.5, -2.5}) {
    PhotoScene scene = random_photo_scene(29, SceneProfile::kSmooth);
    RectMm paper = layout_of(scene).channel;
    if (out_of_place_mm > 0) paper.x += out_of_place_mm;
    paper.width -= std::abs(out_of_place_mm);
    scene.patches.push_back({paper, 0.04});
    const auto m = measured(scene);
    ASSERT_FALSE(m.ok()) << "measured: taper " << m->strip.taper;
    EXPECT_EQ(m.failure().code, "something-else");
  }
}

TEST(Photo, ThicknessCorrectsTheWidthsAndLeavesTheTaper) {
  const PhotoScene scene = random_photo_scene(24, SceneProfile::kSmooth);
  const cv::Mat grey = grey_of(render_photo(scene).image);
  const auto unknown = measure_picture(grey, std::nullopt, std::nullopt);
  PictureOptions options;
  options.thickness_mm = scene.strips.front().thickness_mm;
  const auto known = measure_picture(grey, std::nullopt, std::nullopt, options);
  ASSERT_TRUE(unknown.ok() && known.ok());
  EXPECT_EQ(unknown->strip.taper, known->strip.taper);
  EXPECT_LT(known->strip.u_width_mm, unknown->strip.u_width_mm);
  const double middle = known->strip.mean_width_mm();
  EXPECT_LT(std::abs(middle - scene.strips.front().width_mm), 3 * known->strip.u_width_mm);
}

TEST(Photo, FileThatSaysHowItWasHeldIsLookedAtUpright) {
  PhotoScene scene = random_photo_scene(18, SceneProfile::kSmooth);
  scene.phone.exif_orientation = 6;
  const RenderedPhoto photo = render_photo(scene);
  const std::string path = ::testing::TempDir() + "tapersight-held-sideways.jpg";
  std::ofstream(path, std::ios::binary)
      .write(reinterpret_cast<const char*>(photo.jpeg.data()),
             static_cast<std::streamsize>(photo.jpeg.size()));
  const auto loaded = load_picture(path);
  std::remove(path.c_str());
  ASSERT_TRUE(loaded.ok());
  ASSERT_EQ(loaded->grey.size(), photo.image.size());
  const auto m = measure_picture(loaded->grey, std::nullopt, std::nullopt);
  ASSERT_TRUE(m.ok()) << m.failure().code;
  EXPECT_LT(std::abs(m->strip.taper - scene.strips.front().taper), 2.5 * m->strip.u_taper);
}

TEST(Photo, TakenForAScanItIsRefused) {
  PictureOptions options;
  options.kind = PictureKind::kScan;
  EXPECT_FALSE(measured(random_photo_scene(18, SceneProfile::kSmooth), options).ok());
}

TEST(Photo, IsRefusedForTheRightReason) {
  const std::vector<std::pair<std::string, std::string>> expected = {
      {"reject-blurred-focus-6px", "too-blurred"}, {"reject-too-oblique-48deg", "too-oblique"},
      {"reject-glare-strip-middle", "glare"},      {"reject-target-cut-off-one-side", "target-cut-off"},
      {"reject-underexposed-25", "under-exposed"}, {"reject-sheet-not-flat-middle-up-4", "sheet-not-flat"},
      {"reject-two-strips-1", "two-strips"}};
  int seen = 0;
  for (const RejectScene& reject : reject_photo_scenes())
    for (const auto& [name, code] : expected) {
      if (reject.name != name) continue;
      ++seen;
      const auto m = measured(reject.scene);
      ASSERT_FALSE(m.ok()) << name;
      EXPECT_EQ(m.failure().code, code) << name;
    }
  EXPECT_EQ(seen, static_cast<int>(expected.size()));
}

}  // namespace
}  // namespace tapersight
