// Mitred pieces laid round as real polygons: the gap that is left over is the sum that the formula takes
// apart.
#include "fence/ring.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "support/polygon_cuts.h"

namespace tapersight {
namespace {

using polygon_cuts::Point;
using polygon_cuts::turned;

constexpr double kRail_mm = 60;  // width of the pieces

// A piece lying along +x, its outside at y = 0 and its inside at y = kRail_mm, the joints leaning inwards by
// the mitre from square: outer left, outer right, inner right, inner left.
struct Piece {
  Point outer_left, outer_right, inner_right, inner_left;
};

Piece cut_piece(double length, double left_mitre, double right_mitre) {
  return {{0, 0},
          {length, 0},
          {length - kRail_mm * std::tan(right_mitre), kRail_mm},
          {kRail_mm * std::tan(left_mitre), kRail_mm}};
}

Point minus(Point a, Point b) {
  return {a.x - b.x, a.y - b.y};
}
double direction(Point from, Point to) {
  return std::atan2(to.y - from.y, to.x - from.x);
}

// Lays the pieces round, each left end flat on the last right end with the inner corners together, and
// measures the joint that should close: how far the last face leans from the first one.
ClosingGap lay_round(int pieces, double left_mitre, double right_mitre) {
  const double length = 300;
  const Piece first = cut_piece(length, left_mitre, right_mitre);
  double turn = 0;  // of the current piece
  const double face_length = kRail_mm / std::cos(left_mitre);
  for (int i = 1; i < pieces; ++i) {
    const double right_face = turn + direction(first.inner_right, first.outer_right);
    const double left_face = direction(first.inner_left, first.outer_left);
    turn = right_face - left_face;
  }
  const double last_face = turn + direction(first.inner_right, first.outer_right);
  // From the first piece's left face, seen from the inner corner, back to the last piece's right face.
  double open = direction(first.inner_left, first.outer_left) - last_face;
  open = std::remainder(open, 4 * std::acos(0.0));
  const Point tip = turned({face_length, 0}, open);
  ClosingGap gap;
  gap.inside_mm = open < 0 ? std::fabs(tip.y) : 0;  // the joint closes at one end and gapes at the other
  gap.outside_mm = open < 0 ? 0 : tip.y;
  gap.apart_mm = std::fabs(minus(tip, {0, 0}).x);
  return gap;
}

TEST(Ring, TheGapGivesTheMitreThatWasCut) {
  for (const int pieces : {3, 4, 6, 8, 12})
    for (const double short_by : {-5e-4, -1e-5, 0.0, 1e-5, 5e-4}) {
      RingSetup setup;
      setup.pieces = pieces;
      const double mitre = std::acos(-1.0) / pieces - short_by;
      const RingError error = *ring_error(*taper_of_gap(lay_round(pieces, mitre, mitre)), setup);
      EXPECT_EQ(error.cuts, 2 * pieces);
      EXPECT_NEAR(error.per_cut, short_by, 5e-5 * std::fabs(short_by) + 1e-13)
          << pieces;  // tan of the gap's angle
      // One end cut on this fence, the other true.
      setup.mitred_ends = 1;
      const auto one = *ring_error(*taper_of_gap(lay_round(pieces, mitre, std::acos(-1.0) / pieces)), setup);
      EXPECT_NEAR(one.per_cut, short_by, 5e-5 * std::fabs(short_by) + 1e-13) << pieces;
    }
}

// A fence turned counter-clockwise for its mitre but not far enough stands clockwise of its right place.
TEST(Ring, TheSenseFollowsTheLeanOfTheMitre) {
  RingSetup setup;
  setup.lean = MitreLean::kCounterclockwise;
  const Taper gap{0.004, 0.0001, kInfiniteDof};
  const RingError left = *ring_error(gap, setup);
  EXPECT_NEAR(left.per_cut, 0.0005, 1e-15);
  EXPECT_NEAR(left.fence.theta, -0.0005, 1e-15);
  EXPECT_NEAR(left.fence.U, left.fence.coverage_factor * 0.0001 / 8, 1e-15);
  EXPECT_EQ(left.fence.sense(), Sense::kClockwise);
  setup.lean = MitreLean::kClockwise;
  EXPECT_EQ(ring_error(gap, setup)->fence.sense(), Sense::kCounterclockwise);
}

TEST(Ring, SaysShortOrMore) {
  RingSetup setup;
  EXPECT_EQ(
      describe_ring(*ring_error({0.004, 0.0001, kInfiniteDof}, setup), setup)[0],
      "The gap adds up 8 cuts: each mitre is 0.0286 +/- 0.0014 deg short of 45.000 degrees from square.");
  EXPECT_THAT(describe_ring(*ring_error({-0.004, 0.0001, kInfiniteDof}, setup), setup)[0],
              ::testing::HasSubstr(" more than "));
  EXPECT_EQ(describe_ring(*ring_error({0.0001, 0.0001, kInfiniteDof}, setup), setup).size(), 2u);
}

TEST(Ring, RefusesNonsense) {
  const auto code = [](const auto& result) {
    return result.ok() ? std::string("ok") : result.failure().code;
  };
  const Taper gap{0.004, 0.0001, kInfiniteDof};
  EXPECT_EQ(code(ring_error(gap, {2, 2, MitreLean::kClockwise})), "bad-ring");
  EXPECT_EQ(code(ring_error(gap, {61, 2, MitreLean::kClockwise})), "bad-ring");
  EXPECT_EQ(code(ring_error(gap, {4, 3, MitreLean::kClockwise})), "bad-ring");
  EXPECT_EQ(code(ring_error({0.2, 0.0001, kInfiniteDof}, {})), "taper-implausible");
  EXPECT_EQ(code(taper_of_gap({1, 0, 60})), "ok");
  EXPECT_EQ(code(taper_of_gap({-1, 0, 60})), "bad-width");
  EXPECT_EQ(code(taper_of_gap({1, 0, 0})), "bad-distance");
  EXPECT_EQ(code(taper_of_gap({1, 0, 60, -1})), "bad-uncertainty");
}

}  // namespace
}  // namespace tapersight
