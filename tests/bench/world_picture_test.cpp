// Pictures of bench_world: truth files are read as the worlds write them, what cannot be read is told, one
// picture that throws stops nothing, and must-refuse scenes are what they say. Faces are made here.
#include "bench/world_picture.h"

#include <gtest/gtest.h>

#include <fstream>
#include <opencv2/imgcodecs.hpp>
#include <set>

#include "bench/world_scenes.h"
#include "bench/world_worlds.h"
#include "support/temp_dir.h"
#include "synth/lens_models.h"

namespace tapersight::testing {
namespace {

const char* const kTracedTruth =
    R"({"schema": "tapersight-world-truth-1", "file": "a.png", "world": "traced-scan",
  "seed": 5, "shows": "A strip.", "expect": "measured", "edges": "rough", "edge_kind": "waver of 4 thou",
  "taper": 0.0042, "taper_as_drawn": 0.0043, "print_scale_x": 1.002, "print_scale_y": 0.999, "contrast": 0.31,
  "sheet": {"paper": "letter", "dark_channel": true}})";

class WorldFiles : public ::testing::Test {
 protected:
  WorldFiles() { cv::imwrite(folder_.file("a.png"), cv::Mat(40, 60, CV_8UC1, cv::Scalar(128))); }
  std::string truth(const std::string& text) {
    std::ofstream(folder_.file("a.truth.json")) << text;
    return folder_.file("a.truth.json");
  }
  TempDir folder_;
};

TEST_F(WorldFiles, AreReadWithTheirTruth) {
  const std::string path = truth(kTracedTruth);
  EXPECT_EQ(world_of(path), "traced-scan");
  EXPECT_EQ(truth_files(folder_.path().string()), std::vector<std::string>{path});
  const auto picture = load_world_picture(path);
  ASSERT_TRUE(picture.ok()) << picture.failure().text;
  EXPECT_EQ(picture->grey.size(), cv::Size(60, 40));
  EXPECT_EQ(picture->truth.name, "a.png");
  EXPECT_TRUE(picture->truth.good);
  EXPECT_TRUE(picture->truth.rough);
  EXPECT_DOUBLE_EQ(picture->truth.taper, 0.0042);
  EXPECT_DOUBLE_EQ(picture->truth.taper_as_drawn, 0.0043);
  EXPECT_DOUBLE_EQ(picture->truth.contrast.value(), 0.31);
  EXPECT_DOUBLE_EQ(picture->print_scale_x, 1.002);
  ASSERT_NE(picture->layout, nullptr);
  EXPECT_EQ(picture->layout->id, "letter");
}

TEST_F(WorldFiles, AreWorldsByWhatTheirTruthSays) {
  truth(kTracedTruth);
  const WorldPlaces places = {folder_.path().string(), "", ""};
  const auto scans = world_items("traced-scans", 1, 0, places);
  ASSERT_EQ(scans->size(), 1U);
  EXPECT_EQ(scans->front().name, "a");
  EXPECT_TRUE(world_items("traced-photos", 1, 0, places)->empty());
}

TEST_F(WorldFiles, MayHaveToBeRefusedForOneOfSeveralReasons) {
  const auto picture = load_world_picture(truth(
      R"({"file": "a.png", "expect": "refused", "refusal": ["two-strips", "something-else"], "sheet": "a4"})"));
  ASSERT_TRUE(picture.ok()) << picture.failure().text;
  EXPECT_FALSE(picture->truth.good);
  EXPECT_EQ(picture->truth.refusal, "two-strips or something-else");
  EXPECT_EQ(picture->layout->id, "a4");
}

TEST_F(WorldFiles, AreToldOfWhereTheTruthIsNotSound) {
  for (const char* text : {"", "{", "[]", R"({"file": "a.png"})", R"({"file": "a.png", "expect": "maybe"})",
                           R"({"file": "a.png", "expect": "measured", "edges": "smooth", "contrast": 0.5})"})
    EXPECT_EQ(load_world_picture(truth(text)).failure().code, "truth-not-readable") << text;
  EXPECT_EQ(load_world_picture(truth(R"({"file": "b.png", "expect": "refused", "refusal": "no-strip"})"))
                .failure()
                .code,
            "file-not-readable");
}

TEST(WorldItems, StopNothingWhenTheyThrow) {
  const auto thrown =
      try_item({"bad", []() -> Result<WorldPicture> { throw std::runtime_error("no such scene"); }});
  EXPECT_EQ(thrown.name, "bad");
  EXPECT_EQ(thrown.plain.refused, "exception");
  const auto unread = try_item({"gone", []() -> Result<WorldPicture> {
                                  return Failure{"file-not-readable", "", ""};
                                }});
  EXPECT_EQ(unread.turned.refused, "file-not-readable");
}

TEST(WorldItems, AreTurnedByHalfATurn) {
  WorldPicture picture;
  picture.grey = cv::Mat(3, 2, CV_8UC1, cv::Scalar(0));
  picture.grey.at<uchar>(0, 1) = 200;
  const cv::Mat turned = half_turned(picture).grey;
  EXPECT_EQ(turned.at<uchar>(2, 0), 200);
  EXPECT_EQ(cv::countNonZero(turned), 1);
}

TEST(WorldItems, HaveSeedsOfTheirOwnThatAreFarFromThoseOfTests) {
  const auto names = [](std::uint64_t seed) {
    std::set<std::string> all;
    const auto items = world_items("widened-scans", seed, 16, {});
    for (const WorldItem& item : *items) all.insert(item.name);
    return all;
  };
  EXPECT_EQ(names(1), names(1));
  std::set<std::string> all = names(1);
  for (const std::string& name : names(2)) all.insert(name);
  EXPECT_EQ(all.size(), 40U);  // twice 16 good ones and 4 others: none twice
  for (const std::string& name : all) EXPECT_GT(name.size(), std::string("two-strips-").size() + 4) << name;
}

TEST(WorldItems, NameThePackageThatIsMissing) {
  const TempDir nowhere;
  const WorldPlaces places = {"", "", nowhere.path().string()};
  const auto wood = world_items("textured-scans", 1, 4, places);
  ASSERT_FALSE(wood.ok());
  EXPECT_EQ(wood.failure().code, "package-missing");
  EXPECT_NE(wood.failure().remedy.find("qgo"), std::string::npos);
  const auto lenses = world_items("widened-photos", 1, 4, places);
  ASSERT_FALSE(lenses.ok());
  EXPECT_NE(lenses.failure().remedy.find(kLensPackage), std::string::npos);
}

// --- scenes -----------------------------------------------------------------------------------------------
Faces one_face(int code) {
  return {std::make_shared<const FacePhoto>(cv::Mat(200, 100, CV_8UC3, cv::Scalar::all(code)), 0.2)};
}

TEST(WorldScenes, ShowTheWoodOnALidThatSuitsIt) {
  for (const int code : {20, 60, 128, 250})
    for (std::uint64_t seed = 1; seed < 40; ++seed) {
      const ScanScene scene = textured_scan_scene(seed, SceneProfile::kRough, one_face(code));
      EXPECT_GE(contrast_of(scene), 0.12) << code << " " << seed;
    }
}

TEST(WorldScenes, PrintTheChannelBlackOnlyUnderWoodThatIsNotDark) {
  int dark = 0, light = 0;
  for (std::uint64_t seed = 1; seed < 40; ++seed) {
    dark += static_cast<int>(textured_photo_scene(seed, SceneProfile::kSmooth, one_face(60)).patches.size());
    light +=
        static_cast<int>(textured_photo_scene(seed, SceneProfile::kSmooth, one_face(200)).patches.size());
  }
  EXPECT_EQ(dark, 0);
  EXPECT_GT(light, 10);
  EXPECT_LT(light, 30);
}

TEST(WorldScenes, AreSpoiltAsTheySay) {
  for (std::uint64_t seed = 1; seed < 20; ++seed) {
    ScanScene two = textured_scan_scene(seed, SceneProfile::kSmooth, one_face(128));
    spoil(Spoil::kTwoStrips, two);
    ASSERT_EQ(two.strips.size(), 2U);
    const double gap = two.strips[1].offset_x_mm - two.strips[1].width_mm / 2 -
                       (two.strips[0].offset_x_mm + two.strips[0].width_mm / 2);
    EXPECT_GE(gap, 2 - 1e-9);
    EXPECT_LE(gap, 12 + 1e-9);
    PhotoScene broken = textured_photo_scene(seed, SceneProfile::kSmooth, one_face(128));
    spoil(Spoil::kBroken, broken);
    EXPECT_GE(broken.strips.at(0).break_gap_mm, 2);
    PhotoScene none = broken;
    spoil(Spoil::kNoStrip, none);
    EXPECT_TRUE(none.strips.empty());
  }
}

}  // namespace
}  // namespace tapersight::testing
