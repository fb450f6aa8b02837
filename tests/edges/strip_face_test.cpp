// One piece or two, and where it ends: faces painted by hand in code values, 4 px to a millimetre.
#include "edges/strip_face.h"

#include <gtest/gtest.h>

#include <opencv2/imgproc.hpp>

namespace tapersight {
namespace {

constexpr int kRows = 800, kColumns = 60;  // 200 x 15 mm
constexpr float kWood = 150, kGround = 30;

StripFace plain_face() {
  StripFace face;
  face.code = cv::Mat(kRows, kColumns, CV_32FC1, cv::Scalar(kWood));
  cv::theRNG().state = 99;
  cv::Mat grain(1, kColumns, CV_32FC1);
  cv::randn(grain, 0, 6);  // lines along the strip
  face.code += cv::repeat(grain, kRows, 1);
  return face;
}

void set_over_ground(StripFace& face) {
  face.over_ground = face.code - kGround;
}

TEST(StripFace, WoodIsOnePiece) {
  StripFace face = plain_face();
  set_over_ground(face);
  EXPECT_FALSE(shows_ground_across(face));
}

TEST(StripFace, AGapThatShowsTheGroundMakesTwoPieces) {
  for (const int slant : {0, 20, 60, 100}) {
    StripFace face = plain_face();
    cv::line(face.code, {0, 400 - slant}, {kColumns - 1, 400 + slant}, cv::Scalar(kGround), 3);
    set_over_ground(face);
    EXPECT_TRUE(shows_ground_across(face)) << slant;
  }
}

// A knot as dark as the ground over most of the width, a burn from one side, a band across: none reaches from
// side to side in the ground's tone.
TEST(StripFace, KnotsBurnsAndBandsMakeNoTwoPieces) {
  StripFace knot = plain_face();
  cv::ellipse(knot.code, {kColumns / 2 - 4, 300}, {22, 30}, 10, 0, 360, cv::Scalar(kGround + 10), cv::FILLED);
  set_over_ground(knot);
  EXPECT_FALSE(shows_ground_across(knot));

  StripFace burn = plain_face();
  cv::rectangle(burn.code, cv::Rect(0, 500, 40, 50), cv::Scalar(kGround), cv::FILLED);
  set_over_ground(burn);
  EXPECT_FALSE(shows_ground_across(burn));

  StripFace band = plain_face();
  cv::rectangle(band.code, cv::Rect(0, 500, kColumns, 20), cv::Scalar(110), cv::FILLED);
  set_over_ground(band);
  EXPECT_FALSE(shows_ground_across(band));
}

// Lines of spalted wood cross the face from side to side, darker than the ground; at their soft borders
// the tone passes through the ground's own.
TEST(StripFace, DarkLinesRightAcrossMakeNoTwoPieces) {
  for (const float ground : {75.0F, 90.0F, 120.0F})
    for (const double softness_px : {0.5, 0.8, 1.2}) {
      StripFace face = plain_face();
      cv::line(face.code, {0, 380}, {kColumns - 1, 410}, cv::Scalar(10), 2);
      cv::GaussianBlur(face.code, face.code, {}, softness_px);
      face.over_ground = face.code - ground;
      EXPECT_FALSE(shows_ground_across(face)) << ground << ' ' << softness_px;
    }
}

StripOutline outline() {
  StripOutline o;
  o.centre_mm = {0, 0};
  o.along = {0, 1};
  o.far_mm = -100;
  o.fence_mm = 100;
  return o;
}

// A lamp on one side of the carriage: past the fence end the lid lies in the strip's shadow.
TEST(StripFace, AShadowPastAnEndIsLeftOut) {
  for (const float shadow : {90.0F, 200.0F}) {  // under a white lid it may be the darker, or the lighter
    StripFace face = plain_face();
    face.code.rowRange(kRows - 48, kRows).setTo(shadow);  // 12 mm
    const StripOutline trimmed = without_end_shadows(face, outline());
    EXPECT_EQ(trimmed.far_mm, -100);
    EXPECT_LE(trimmed.fence_mm, 88);
    EXPECT_GE(trimmed.fence_mm, 86);  // a step is known to a millimetre, and one is left out for safety
  }
}

TEST(StripFace, BandsSuchAsTheWoodHasElsewhereCutNothingOff) {
  StripFace face = plain_face();
  for (const int at : {60, 300, 420, 700})
    cv::rectangle(face.code, cv::Rect(0, at, kColumns, 16), cv::Scalar(110), cv::FILLED);
  const StripOutline same = without_end_shadows(face, outline());
  EXPECT_EQ(same.far_mm, -100);
  EXPECT_EQ(same.fence_mm, 100);
}

TEST(StripFace, AKnotAtTheEndCutsNothingOff) {
  StripFace face = plain_face();
  cv::ellipse(face.code, {20, kRows - 60}, {16, 25}, 0, 0, 360, cv::Scalar(60), cv::FILLED);
  const StripOutline same = without_end_shadows(face, outline());
  EXPECT_EQ(same.fence_mm, 100);
}

}  // namespace
}  // namespace tapersight
