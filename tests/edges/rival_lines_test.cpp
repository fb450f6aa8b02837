// Which stories of a side's lines stay open, on profiles made by hand.
#include "edges/rival_lines.h"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>

namespace tapersight {
namespace {

constexpr int kOutwardPx = 40;

// The same light in every segment, by px inward of the path.
BorderProfiles profiles(const std::function<double(int)>& light) {
  BorderProfiles p;
  p.outward_px = kOutwardPx;
  p.size = kOutwardPx + 161;
  SegmentProfile segment;
  for (int i = -kOutwardPx; i <= 160; ++i) segment.light.push_back(light(i));
  segment.slope.assign(segment.light.size(), 1e-5);
  p.segments.assign(BorderProfiles::kSegments, segment);
  return p;
}

BorderCandidate line(double offset_px, double step, double blur_px = 1) {
  BorderCandidate c;
  c.offset_px = offset_px;
  c.step = step;
  c.blur_px = blur_px;
  c.uneven_px = 0.05;
  c.curve_px.assign(BorderProfiles::kSegments, offset_px);
  return c;
}

double ground_then(int at, int edge, double ground, double band, double face) {
  return at < edge ? (at < edge - 20 ? ground : band) : face;
}

TEST(RivalLines, WoodOfAnotherToneOutsideTheLineLeavesItOpen) {
  const auto p = profiles([](int i) { return ground_then(i, 0, 0.03, 0.3, 0.5); });
  const auto rivals = rivals_outside(p, {line(-20, 0.27), line(0, 0.2)}, 1, {});
  ASSERT_EQ(rivals.size(), 1U);
  EXPECT_EQ(rivals[0].offset_px, -20);
}

TEST(RivalLines, GroundBetweenClosesIt) {
  const auto p = profiles([](int i) { return i == -20 ? 0.1 : ground_then(i, 0, 0.03, 0.03, 0.5); });
  EXPECT_TRUE(rivals_outside(p, {line(-20, 0.05), line(0, 0.47)}, 1, {}).empty()) << "a hair";
}

TEST(RivalLines, ASoftLineIsOffTheGlass) {
  const auto p = profiles([](int i) { return ground_then(i, 0, 0.85, 0.4, 0.2); });
  EXPECT_TRUE(rivals_outside(p, {line(-20, -0.45, 2), line(0, -0.2)}, 1, {}).empty()) << "a shadow";
  EXPECT_FALSE(rivals_outside(p, {line(-20, -0.45, 1), line(0, -0.2)}, 1, {}).empty());
}

// A face with a gentle figure, another tone up to `to`.
double face_at(int i, int to, double before) {
  const double figure = 0.005 * std::sin(i * 0.9);
  return i < 0 ? 0.85 : i < to ? before + figure : 0.4 + figure;
}

TEST(RivalLines, WhatHasTheFacesToneIsTheFace) {
  const auto other = profiles([](int i) { return face_at(i, 40, 0.55); });
  EXPECT_EQ(rivals_inside(other, {line(0, -0.3), line(40, -0.15)}, 0, {}).size(), 1U);
  const auto same = profiles([](int i) { return face_at(i, 40, 0.405); });
  EXPECT_TRUE(rivals_inside(same, {line(0, -0.44), line(40, -0.03)}, 0, {}).empty());
}

TEST(RivalLines, WhereTheFaceHasLinesAsStrongNoneIsTheEdge) {
  const auto p = profiles([](int i) { return face_at(i, 40, 0.55); });
  EXPECT_TRUE(rivals_inside(p, {line(0, -0.3), line(40, -0.15), line(120, 0.2)}, 0, {}).empty());
}

TEST(RivalLines, AnEvenBandBesideALivelyFaceIsNoneOfIt) {
  const auto p = profiles([](int i) { return i < 0 ? 0.85 : i < 40 ? 0.4 : 0.4 + 0.1 * std::sin(i * 0.9); });
  EXPECT_EQ(rivals_inside(p, {line(0, -0.45), line(40, 0.05), line(120, 0.2)}, 0, {}).size(), 1U);
}

TEST(RivalLines, AGapPartsTwoPieces) {
  const auto p = profiles([](int i) { return i >= 80 && i < 90 ? 0.05 : face_at(i, 0, 0.4); });
  const std::vector<BorderCandidate> lines = {line(0, -0.45), line(80, -0.35), line(90, 0.35)};
  const auto rivals = rivals_inside(p, lines, 0, {});
  ASSERT_EQ(rivals.size(), 1U);
  EXPECT_EQ(rivals[0].offset_px, 90);
  // One of several dark lines is the wood's.
  std::vector<BorderCandidate> figured = lines;
  figured.insert(figured.begin() + 1, line(40, 0.3));
  EXPECT_TRUE(rivals_inside(p, figured, 0, {}).empty());
}

}  // namespace
}  // namespace tapersight
