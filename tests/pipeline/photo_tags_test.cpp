// Tags in photos: whose strip it is and which end is the fence end, on the narrow sheet and on the wide one,
// and what is refused with the right reason.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/imgproc.hpp>

#include "pipeline/measure_strips.h"
#include "synth/render_photo.h"

namespace tapersight {
namespace {

// Plain dark strips on paper, from 480 mm above, a little aslant.
PhotoScene scene_with(const std::vector<double>& tapers, const std::vector<double>& places_mm) {
  PhotoScene scene;
  scene.seed = 11;
  scene.camera = phone_camera(24);
  scene.camera.distance_mm = 460;
  scene.camera.tilt_deg = 4;
  scene.camera.tilt_towards_deg = 30;
  scene.camera.roll_deg = 92;
  scene.light.shadow_run = {0.25, 0.1};
  scene.encoding.colour = true;
  scene.encoding.exposure = 0.75;
  const PhotoStripScene usual = scene.strips.front();
  scene.strips.clear();
  for (std::size_t i = 0; i < tapers.size(); ++i) {
    PhotoStripScene strip = usual;
    strip.taper = tapers[i];
    strip.length_mm = 190;
    strip.width_mm = 15;
    strip.thickness_mm = 9;
    strip.offset_x_mm = places_mm[i];
    strip.wood.tone = 0.14;
    strip.left.roughness_um = strip.right.roughness_um = 5;
    scene.strips.push_back(strip);
  }
  return scene;
}

PhotoScene wide_scene() {
  PhotoScene scene = scene_with({0.002, -0.0015, 0.001}, {-45, 0, 44});
  scene.channel = Channel::kWide;
  scene.strips[1].angle_deg = 180;  // its fence end at the other end of the sheet
  for (int i = 0; i < 3; ++i)
    scene.tags.push_back(tag_at_fence_end(scene.strips[static_cast<std::size_t>(i)], 21 + i));
  return scene;
}

cv::Mat grey_of(const PhotoScene& scene) {
  const cv::Mat image = render_photo(scene).image;
  if (image.channels() == 1) return image;
  cv::Mat grey;
  cv::cvtColor(image, grey, cv::COLOR_BGR2GRAY);
  return grey;
}

std::vector<std::string> said_of(const StripsMeasurement& all) {
  std::vector<std::string> said;
  for (const StripOnSheet& s : all.strips)
    said.push_back((s.bench ? std::to_string(*s.bench) : std::string("none")) + " " +
                   (s.measured ? "measured" : s.measured.failure().code));
  for (const TagProblem& tag : all.tags)
    said.push_back("tag " + std::to_string(tag.bench) + " " + tag.failure.code);
  return said;
}

TEST(PhotoTags, EveryStripOfTheWideSheetIsMeasuredUnderItsOwnNumber) {
  const PhotoScene scene = wide_scene();
  const auto all = measure_strips(grey_of(scene), {}, {});
  ASSERT_TRUE(all.ok()) << all.failure().text;
  EXPECT_THAT(said_of(*all), ::testing::ElementsAre("21 measured", "22 measured", "23 measured"));
  for (std::size_t i = 0; i < all->strips.size() && all->strips[i].measured; ++i) {
    const StripMeasurement& strip = all->strips[i].measured->strip;
    EXPECT_NEAR(strip.taper, scene.strips[i].taper, 3 * strip.u_taper) << i;
    EXPECT_LT(strip.u_taper, 3e-4) << i;
  }
}

TEST(PhotoTags, OnTheNarrowSheetTheTagTellsTheFenceEnd) {
  PhotoScene scene = scene_with({0.002}, {0});
  scene.strips.front().angle_deg = 180;
  scene.tags = {tag_at_fence_end(scene.strips.front(), 7)};
  const cv::Mat grey = grey_of(scene);
  const auto all = measure_strips(grey, {}, {});
  ASSERT_TRUE(all.ok()) << all.failure().text;
  ASSERT_THAT(said_of(*all), ::testing::ElementsAre("7 measured"));
  const StripMeasurement& strip = all->strips[0].measured->strip;
  EXPECT_NEAR(strip.taper, 0.002, 3 * strip.u_taper) << "by the sheet's own FENCE END it would be negative";
  const auto alone = measure_picture(grey, {}, {});
  ASSERT_TRUE(alone.ok()) << alone.failure().text;
  EXPECT_EQ(alone->strip.taper, strip.taper);
}

TEST(PhotoTags, OneStripOnTheWideSheetNeedsNoTag) {
  PhotoScene scene = scene_with({0.002}, {10});
  scene.channel = Channel::kWide;
  const auto m = measure_picture(grey_of(scene), {}, {});
  ASSERT_TRUE(m.ok()) << m.failure().text;
  EXPECT_NEAR(m->strip.taper, 0.002, 3 * m->strip.u_taper);
}

// The strip between two others has no tag: it lies in a neighbour's part of the channel, and that one is not
// measured either, for nobody knows which of the two it is.
TEST(PhotoTags, AStripWithoutATagIsNotOverlooked) {
  PhotoScene scene = wide_scene();
  scene.tags.erase(scene.tags.begin() + 1);
  const auto all = measure_strips(grey_of(scene), {}, {});
  ASSERT_TRUE(all.ok()) << all.failure().text;
  int refused = 0;
  for (const StripOnSheet& strip : all->strips) {
    if (strip.measured) continue;
    ++refused;
    EXPECT_TRUE(strip.bench.has_value());
  }
  EXPECT_GE(refused, 1);
}

TEST(PhotoTags, WhatIsWrongIsSaidOfTheTagAndNotOfTheSheet) {
  PhotoScene scene = wide_scene();
  scene.tags[2].bench = 21;  // the same number twice
  const auto twice = measure_strips(grey_of(scene), {}, {});
  ASSERT_TRUE(twice.ok());
  EXPECT_THAT(said_of(*twice), ::testing::Contains("22 measured"));
  EXPECT_THAT(said_of(*twice), ::testing::Contains("21 same-tag-twice"));
  scene = scene_with({0.002}, {0});
  scene.tags = {tag_at_fence_end(scene.strips.front(), 7, 0.5, 14)};  // beside its end
  const auto aside = measure_picture(grey_of(scene), {}, {});
  ASSERT_FALSE(aside.ok());
  EXPECT_EQ(aside.failure().code, "tag-misplaced");
}

}  // namespace
}  // namespace tapersight
