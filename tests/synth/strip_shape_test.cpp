// The drawn outline leaves the straight cut only as the scene says.
#include "synth/strip_shape.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace tapersight {
namespace {

StripScene plain_strip() {
  StripScene strip;
  strip.length_mm = 200;
  strip.width_mm = 15;
  strip.taper = 0.001;
  strip.ends.roughness_um = 0;
  return strip;
}

TEST(StripShape, SmoothStripIsTheStraightCut) {
  const StripScene strip = plain_strip();
  const StripShape shape = make_strip_shape(strip, 1);
  ASSERT_EQ(shape.pieces.size(), 1U);
  for (const auto& p : shape.pieces[0].left) EXPECT_NEAR(p.x(), -7.5 - 0.0005 * p.y(), 1e-12);
  for (const auto& p : shape.pieces[0].right) EXPECT_NEAR(p.x(), 7.5 + 0.0005 * p.y(), 1e-12);
  EXPECT_NEAR(shape.pieces[0].left.front().y(), -100, 1e-12);
  EXPECT_NEAR(shape.pieces[0].left.back().y(), 100, 1e-12);
  EXPECT_NEAR(taper_of_slopes(shape.left_slope, shape.right_slope), 0.001, 1e-9);
}

TEST(StripShape, WiderAtTheFenceEndIsPositiveTaper) {
  const StripScene strip = plain_strip();
  const auto width_at = [&](double u) {
    return straight_edge(strip, StripSide::kRight, u) - straight_edge(strip, StripSide::kLeft, u);
  };
  EXPECT_NEAR(width_at(100) - width_at(-100), 0.2, 1e-12);
  EXPECT_NEAR(width_at(0), 15, 1e-12);
}

TEST(StripShape, BowIsTheSagittaOutwards) {
  StripScene strip = plain_strip();
  strip.left.bow_um = 200;
  strip.right.bow_um = -50;
  const StripPiece piece = make_strip_shape(strip, 1).pieces[0];
  const auto middle = piece.left.size() / 2;
  EXPECT_NEAR(piece.left[middle].x(), -7.5 - 0.2, 1e-6);
  EXPECT_NEAR(piece.right[middle].x(), 7.5 - 0.05, 1e-6);
  EXPECT_NEAR(piece.left.front().x(), straight_edge(strip, StripSide::kLeft, -100), 1e-9);
}

TEST(StripShape, ChipsOnlyRemoveWood) {
  StripScene strip = plain_strip();
  strip.left.chips = strip.right.chips = 6;
  strip.left.chip_depth_mm = strip.right.chip_depth_mm = 0.5;
  const StripPiece piece = make_strip_shape(strip, 3).pieces[0];
  double deepest = 0;
  for (const auto& p : piece.left) {
    const double out = straight_edge(strip, StripSide::kLeft, p.y()) - p.x();
    EXPECT_LE(out, 1e-12);
    deepest = std::max(deepest, -out);
  }
  for (const auto& p : piece.right) EXPECT_LE(p.x() - straight_edge(strip, StripSide::kRight, p.y()), 1e-12);
  EXPECT_GT(deepest, 0.2);
  EXPECT_LE(deepest, 0.5);
}

TEST(StripShape, RoughnessIsIndependentOnTheTwoEdgesAndAsLargeAsAsked) {
  StripScene strip = plain_strip();
  strip.length_mm = 2000;  // long, to know the rms well
  for (EdgeScene* edge : {&strip.left, &strip.right}) {
    edge->roughness_um = 40;
    edge->correlation_mm = 0.5;
  }
  const StripPiece piece = make_strip_shape(strip, 4).pieces[0];
  double left2 = 0, right2 = 0, both = 0;
  for (std::size_t k = 0; k < piece.left.size(); ++k) {
    const double left = straight_edge(strip, StripSide::kLeft, piece.left[k].y()) - piece.left[k].x();
    const double right = piece.right[k].x() - straight_edge(strip, StripSide::kRight, piece.right[k].y());
    left2 += left * left;
    right2 += right * right;
    both += left * right;
  }
  const auto n = static_cast<double>(piece.left.size());
  // 2000 independent places: rms within 1.6 % (one standard deviation), correlation within 0.022
  EXPECT_NEAR(std::sqrt(left2 / n), 0.040, 0.040 * 0.07);
  EXPECT_NEAR(std::sqrt(right2 / n), 0.040, 0.040 * 0.07);
  EXPECT_LT(std::abs(both) / std::sqrt(left2 * right2), 0.1);
}

TEST(StripShape, TearsMoveOnlyTheLastMillimetresAndGoBothWays) {
  StripScene strip = plain_strip();
  strip.ends = {0, 6, 2.0, 300};
  double most_added = 0;
  double most_removed = 0;
  for (std::uint64_t seed = 0; seed < 10; ++seed) {
    const StripShape shape = make_strip_shape(strip, seed);
    for (const auto& p : shape.pieces[0].right) {
      const double out = p.x() - straight_edge(strip, StripSide::kRight, p.y());
      EXPECT_NEAR(std::abs(p.y()) < 98 ? out : 0, 0, 1e-12);
      most_added = std::max(most_added, out);
      most_removed = std::max(most_removed, -out);
    }
  }
  EXPECT_GT(most_added, 0.1);
  EXPECT_GT(most_removed, 0.1);
}

TEST(StripShape, BrokenStripLeavesAGap) {
  StripScene strip = plain_strip();
  strip.break_gap_mm = 5;
  strip.break_at_mm = 20;
  strip.break_shift_mm = 1;
  const StripShape shape = make_strip_shape(strip, 1);
  ASSERT_EQ(shape.pieces.size(), 2U);
  EXPECT_NEAR(shape.pieces[0].left.back().y(), 17.5, 1e-9);
  EXPECT_NEAR(shape.pieces[1].left.front().y(), 22.5, 1e-9);
  EXPECT_NEAR(shape.pieces[0].left.front().x(), straight_edge(strip, StripSide::kLeft, -100) + 1, 1e-9);
  EXPECT_NEAR(shape.pieces[1].left.back().x(), straight_edge(strip, StripSide::kLeft, 100), 1e-9);
}

}  // namespace
}  // namespace tapersight
