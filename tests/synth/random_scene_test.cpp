// Drawn scenes are scenes that a person could have scanned, and the same for the same seed.
#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "synth/render_scan.h"

namespace tapersight {
namespace {

TEST(RandomScene, StripLiesInTheChannelAndDiffersFromTheGround) {
  for (std::uint64_t seed = 0; seed < 200; ++seed)
    for (const SceneProfile profile : {SceneProfile::kSmooth, SceneProfile::kRough}) {
      const ScanScene scene = random_scan_scene(seed, profile);
      const ScanTruth truth = make_truth(scene);
      const RectMm& channel = sheet_layout(scene.paper).channel;
      for (const EdgeLine& edge : {truth.strips[0].left_sheet, truth.strips[0].right_sheet}) {
        EXPECT_TRUE(channel.contains(edge.fence_end)) << seed;
        EXPECT_TRUE(channel.contains(edge.far_end)) << seed;
      }
      EXPECT_GT(std::abs(scene.strips[0].wood.tone - scene.ground_tone), 0.15) << seed;
    }
}

TEST(RandomScene, DependsOnSeedAndProfileOnly) {
  const auto json = [](std::uint64_t seed, SceneProfile profile) {
    const ScanScene scene = random_scan_scene(seed, profile);
    return truth_json(scene, make_truth(scene)).dump();
  };
  EXPECT_EQ(json(3, SceneProfile::kRough), json(3, SceneProfile::kRough));
  EXPECT_NE(json(3, SceneProfile::kRough), json(4, SceneProfile::kRough));
  EXPECT_NE(json(3, SceneProfile::kRough), json(3, SceneProfile::kSmooth));
}

TEST(RandomScene, CoversAllQuarterTurnsAndBothPapers) {
  int turns[4] = {0, 0, 0, 0};
  int letter = 0;
  for (std::uint64_t seed = 0; seed < 80; ++seed) {
    const ScanScene scene = random_scan_scene(seed, SceneProfile::kSmooth);
    ++turns[static_cast<int>(std::lround(scene.page_rotation_deg / 90)) % 4];
    letter += scene.paper == Paper::kLetter ? 1 : 0;
  }
  for (int count : turns) EXPECT_GT(count, 5);
  EXPECT_GT(letter, 20);
  EXPECT_LT(letter, 60);
}

TEST(RandomPatches, HideTheFractionAskedFor) {
  ScanScene scene;
  const SheetLayout& layout = sheet_layout(scene.paper);
  scene.patches = random_patches(layout, 0.3, 5);
  int hidden = 0;
  for (const SaddleTruth& saddle : make_truth(scene).saddles) hidden += saddle.visible ? 0 : 1;
  const double fraction = hidden / static_cast<double>(layout.saddles.size());
  EXPECT_GE(fraction, 0.3);
  EXPECT_LT(fraction, 0.36);  // the last patch hides at most four rows of a block, 6 %
  EXPECT_TRUE(random_patches(layout, 0, 5).empty());
}

TEST(TruthJson, HoldsTheNumbersOfTheScene) {
  ScanScene scene;
  scene.strips[0].taper = 0.00123;
  const auto json = truth_json(scene, make_truth(scene));
  EXPECT_EQ(json.at("sheet"), "a4");
  EXPECT_EQ(json.at("dpi"), 300);
  EXPECT_EQ(json.at("saddles_visible"), sheet_layout(Paper::kA4).saddles.size());
  const auto& strip = json.at("strips").at(0);
  EXPECT_DOUBLE_EQ(strip.at("taper").get<double>(), 0.00123);
  EXPECT_NEAR(strip.at("width_fence_end_mm").get<double>() - strip.at("width_far_end_mm").get<double>(),
              0.00123 * strip.at("length_mm").get<double>(), 1e-12);
}

}  // namespace
}  // namespace tapersight
