// Random photo scenes keep to the ranges they promise; the ones to refuse differ from good ones as they say.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <string>

#include "synth/photo_scene.h"
#include "synth/photo_truth.h"

namespace tapersight {
namespace {

long saddles_in_view(const PhotoScene& scene) {
  const PhotoTruth truth = make_photo_truth(scene);
  return std::count_if(truth.saddles.begin(), truth.saddles.end(), [](const auto& s) { return s.visible; });
}

TEST(RandomPhotoScene, KeepsToItsRanges) {
  double nearest = 1e9;
  double furthest = 0;
  double steepest = 0;
  int light_wood = 0;
  for (const SceneProfile profile : {SceneProfile::kSmooth, SceneProfile::kRough})
    for (std::uint64_t seed = 1; seed <= 30; ++seed) {
      const PhotoScene scene = random_photo_scene(seed, profile);
      const CameraScene& camera = scene.camera;
      nearest = std::min(nearest, camera.distance_mm);
      furthest = std::max(furthest, camera.distance_mm);
      steepest = std::max(steepest, camera.tilt_deg);
      EXPECT_EQ(camera.size_px, cv::Size(4032, 3024));
      EXPECT_LE(std::abs(camera.k1), 0.05);
      const PhotoStripScene& strip = scene.strips.at(0);
      EXPECT_TRUE(strip.thickness_mm >= 6 && strip.thickness_mm <= 20);
      EXPECT_LT(strip.wood.tone, scene.paper_tone);
      light_wood += strip.wood.tone > 0.5 * scene.paper_tone ? 1 : 0;
      EXPECT_TRUE(scene.encoding.jpeg_quality >= 70 && scene.encoding.jpeg_quality <= 95);
      // A thick strip seen from the side may hide a few saddles, the frame none.
      EXPECT_GE(saddles_in_view(scene), 170) << seed;
      if (profile == SceneProfile::kSmooth) {
        EXPECT_EQ(strip.left.chips + strip.right.chips, 0);
      }
    }
  EXPECT_GE(nearest, 250);
  EXPECT_LT(nearest, 400);
  EXPECT_LE(furthest, 700);
  EXPECT_GT(furthest, 650);
  EXPECT_LE(steepest, 25);
  EXPECT_GT(steepest, 22);
  EXPECT_GT(light_wood, 8);
}

TEST(RandomPhotoScene, MorePixelsSeeTheSame) {
  PhotoScene scene = random_photo_scene(3, SceneProfile::kSmooth);
  const Eigen::Vector2d few = make_photo_truth(scene).saddles[70].at_px;
  set_megapixels(50, scene);
  EXPECT_EQ(scene.camera.size_px, cv::Size(8160, 6120));
  const Eigen::Vector2d many = make_photo_truth(scene).saddles[70].at_px;
  const double factor = 8160.0 / 4032;
  EXPECT_LT((many - (factor * (few.array() + 0.5) - 0.5).matrix()).norm(), 1e-6);
}

TEST(RejectPhotoScenes, CoverEveryReasonUnderOwnNames) {
  const auto rejects = reject_photo_scenes();
  EXPECT_GE(rejects.size(), 30U);
  std::set<std::string> names;
  std::map<RejectReason, int> reasons;
  for (const RejectScene& reject : rejects) {
    names.insert(reject.name);
    ++reasons[reject.reason];
    EXPECT_NE(reject.name.find(reason_name(reject.reason)), std::string::npos);
  }
  EXPECT_EQ(names.size(), rejects.size());
  EXPECT_EQ(reasons.size(), 14U);
}

TEST(RejectPhotoScenes, LoseTheSaddlesThatTheyShould) {
  for (const RejectScene& reject : reject_photo_scenes()) {
    const long in_view = saddles_in_view(reject.scene);
    switch (reject.reason) {
      case RejectReason::kNoTarget:
        EXPECT_EQ(in_view, 0) << reject.name;
        break;
      case RejectReason::kTargetCutOff:
      case RejectReason::kTargetHidden:
        EXPECT_LT(in_view, 150) << reject.name;
        break;
      case RejectReason::kStripNotInChannel:
        EXPECT_GE(in_view, 100) << reject.name;
        break;
      default:
        EXPECT_GE(in_view, 170) << reject.name;
    }
  }
}

}  // namespace
}  // namespace tapersight
