// The arithmetic from taper to move: worked figures of the trade, and a sled that really cuts polygons.
#include "fence/fence_error.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "base/units.h"
#include "support/polygon_cuts.h"

namespace tapersight {
namespace {

using polygon_cuts::Board;
using polygon_cuts::Sled;
using polygon_cuts::StripWidths;

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

SledSetup setup_of(const Sled& sled, int turns) {
  SledSetup setup;
  setup.turns = turns;
  setup.fence = sled.fence_far ? FenceSide::kFar : FenceSide::kNear;
  setup.strip_falls = sled.keep_left ? Side::kRight : Side::kLeft;
  return setup;
}

Taper taper_of(const StripWidths& widths) {
  TwoWidths two;
  two.fence_end_mm = widths.fence_end_mm;
  two.far_end_mm = widths.far_end_mm;
  two.apart_mm = widths.apart_mm;
  return *taper_from_widths(two);
}

// The strip shows tan(k * theta); dividing it by k is the small-angle formula of the header.
void expect_finds_theta(const StripWidths& widths, const Sled& sled, int turns) {
  const FenceError error = *fence_error(taper_of(widths), setup_of(sled, turns));
  EXPECT_NEAR(error.theta, std::tan(turns * sled.theta) / turns, 1e-10)
      << turns << " turns, fence far " << sled.fence_far << ", board left " << sled.keep_left;
  EXPECT_NEAR(error.theta, sled.theta,
              2e-5 * std::fabs(sled.theta));  // of itself: what the small-angle formula leaves out
}

template <typename Body>
void for_all_setups(Body body) {
  for (const bool fence_far : {false, true})
    for (const bool keep_left : {false, true})
      for (const double sign : {-1.0, 1.0}) {
        Sled sled;
        sled.fence_far = fence_far;
        sled.keep_left = keep_left;
        sled.theta = sign;  // the body scales it
        body(sled);
      }
}

// k * theta stays below 0.0077, where tan x - x is under 2e-5 of x.
double some_theta(Rng& rng, int turns) {
  return rng.uniform(1e-5, 0.0076) / turns;
}

TEST(FenceError, FiveCutsRoundARoughBoardShowFourTimesTheError) {
  Rng rng(20);
  for_all_setups([&](Sled sled) {
    sled.theta *= some_theta(rng, 4);
    expect_finds_theta(polygon_cuts::cut_and_turn(4, sled, 300, 8, rng), sled, 4);
  });
}

// A sled meant for another corner, its board cut all round: a triangle, a pentagon, a hexagon.
TEST(FenceError, CutsRoundOtherPolygonsShowAsManyTimesTheError) {
  Rng rng(21);
  for (const int sides : {3, 5, 6, 8})
    for_all_setups([&](Sled sled) {
      sled.corner = std::acos(-1.0) * (sides - 2) / sides;
      sled.theta *= some_theta(rng, sides);
      expect_finds_theta(polygon_cuts::cut_and_turn(sides, sled, 300, 3, rng), sled, sides);
    });
}

// A board with parallel edges, cut at one end, turned over and cut at the same end again.
TEST(FenceError, TurningABoardOverShowsTwiceTheError) {
  Rng rng(22);
  for_all_setups([&](Sled sled) {
    sled.theta *= some_theta(rng, 2);
    const Board board{{{0, 0}, {400, 0}, {398, 250}, {7, 250}}, {0, 1, 2, 3}};
    const int first = sled.fence_far ? 2 : 0;
    const Board once = polygon_cuts::cut_off(board, first, sled, 30, 10).kept;
    const Board over = polygon_cuts::turned_over(once);
    const auto second = polygon_cuts::cut_off(over, first == 0 ? 2 : 0, sled, sled.kerf_mm + 15, 11);
    expect_finds_theta(polygon_cuts::measure(second.strip, 11, sled), sled, 2);
  });
}

// A board whose end is truly square to the edge at the fence: one cut shows the error once.
TEST(FenceError, ACutBesideATrulySquareEndShowsTheErrorOnce) {
  Rng rng(23);
  for_all_setups([&](Sled sled) {
    sled.theta *= some_theta(rng, 1);
    const Board board{{{0, 0}, {400, 0}, {400, 250}, {0, 250}}, {0, 1, 2, 3}};
    const auto cut = polygon_cuts::cut_off(board, sled.fence_far ? 2 : 0, sled, sled.kerf_mm + 15, 11);
    expect_finds_theta(polygon_cuts::measure(cut.strip, 11, sled), sled, 1);
  });
}

// Three and five turns of a square board, the first edge's direction carried over by a perfect square.
TEST(FenceError, AnyNumberOfSquareTurnsAddsUp) {
  Rng rng(24);
  for (const int turns : {1, 2, 3, 4, 5})
    for_all_setups([&](Sled sled) {
      sled.theta *= some_theta(rng, turns);
      Board board = polygon_cuts::rough_board(4, 400, 8, rng);
      // A line scribed on the board just after the first cut, along the fresh edge.
      board = polygon_cuts::cut_off(board, 0, sled, 30, 50).kept;
      polygon_cuts::Point scribed = polygon_cuts::turned({1, 0}, board.direction_of(50));
      for (int i = 1; i <= turns; ++i) {
        const double before = board.direction_of(50 + i - 1);
        const auto cut = polygon_cuts::cut_off(board, 50 + i - 1, sled, 30, 50 + i);
        board = cut.kept;
        // Follow how the board was turned for this cut through the edge that lay at the fence.
        scribed = polygon_cuts::turned(scribed, board.direction_of(50 + i - 1) - before);
      }
      // The perfect square turns the scribed direction by `turns` right angles, back along the blade's path.
      const double quarter = std::acos(0.0);
      double along = std::atan2(scribed.y, scribed.x) - quarter;  // 0 when exactly along the blade
      along -= quarter * std::round(along / quarter);
      // A strip between the blade's face and such a line: its far edge leans by `along` to the left going
      // away.
      const double lean =
          -std::tan(along) * 250 * (sled.keep_left ? 1 : -1);  // growth of the width towards +y
      const StripWidths widths{sled.fence_far ? 15 + lean : 15, sled.fence_far ? 15 : 15 + lean, 250};
      expect_finds_theta(widths, sled, turns);
    });
}

// Common practice, no published source: .571 and .506 in, 7.5 in apart, adjusted 45 in from the pivot.
TEST(FenceError, WorkedFigureOfTheTrade) {
  TwoWidths widths;
  widths.fence_end_mm = 0.571 * kMmPerInch;
  widths.far_end_mm = 0.506 * kMmPerInch;
  widths.apart_mm = 7.5 * kMmPerInch;
  SledSetup setup;
  setup.pivot_distance_mm = 45 * kMmPerInch;
  const FenceError error = *fence_error(*taper_from_widths(widths), setup);
  EXPECT_NEAR(error.theta, 0.00217, 0.000005);  // the printed digits
  EXPECT_NEAR(error.theta, 0.065 / 7.5 / 4, 1e-16);
  EXPECT_EQ(error.sense(), Sense::kCounterclockwise);
  const FenceMove move = *correction_move(error, setup);
  EXPECT_NEAR(move.move_mm / kMmPerInch, 0.0975, 1e-12);
  EXPECT_EQ(move.end, Side::kRight);
  EXPECT_EQ(move.toward, Toward::kOperator);
}

// Common practice, no published source: a thousandth over 7.5 in.
TEST(FenceError, OneThouOverSevenAndAHalfInches) {
  TwoWidths widths;
  widths.fence_end_mm = 12.7 + kMmPerThou;
  widths.far_end_mm = 12.7;
  widths.apart_mm = 190.5;
  EXPECT_NEAR(fence_error(*taper_from_widths(widths), {})->theta, 0.0000333, 0.00000005);
}

// Two readings of 1 thou each over 7.5 in: u(taper) = sqrt(2) thou / 7.5 in; k from the normal distribution.
TEST(FenceError, CarriesTheUncertaintyOfTwoReadings) {
  TwoWidths widths;
  widths.fence_end_mm = 13;
  widths.far_end_mm = 12.7;
  widths.apart_mm = 190.5;
  const Taper taper = *taper_from_widths(widths);
  EXPECT_NEAR(taper.u, std::sqrt(2.0) * 0.0254 / 190.5, 1e-15);
  const FenceError error = *fence_error(taper, {});
  EXPECT_NEAR(error.coverage_factor, 1.960, 0.0005);  // JCGM 100:2008, table G.2
  EXPECT_NEAR(error.U, error.coverage_factor * taper.u / 4, 1e-15);
}

TEST(FenceError, FewDegreesOfFreedomWidenTheInterval) {
  const FenceError error = *fence_error({0.001, 0.0001, 4}, {});
  EXPECT_NEAR(error.coverage_factor, 2.78, 0.005);  // JCGM 100:2008, table G.2
  EXPECT_NEAR(error.U, 2.78 * 0.0001 / 4, 0.005 * 0.0001 / 4);
}

// Monte Carlo: the readings scattered by their stated u scatter the move by its stated u.
TEST(FenceMove, StatedUncertaintyIsTheScatter) {
  SledSetup setup;
  setup.pivot_distance_mm = 1143;
  setup.pivot_distance_u_mm = 40;
  TwoWidths truth;
  truth.fence_end_mm = 14.5;
  truth.far_end_mm = 12.85;
  truth.apart_mm = 190.5;
  truth.apart_u_mm = 3;
  const FenceMove stated = *correction_move(*fence_error(*taper_from_widths(truth), setup), setup);
  Rng rng(25);
  double sum = 0, squares = 0;
  const int n = 20000;
  for (int i = 0; i < n; ++i) {
    TwoWidths drawn = truth;
    SledSetup typed = setup;
    drawn.fence_end_mm += rng.normal() * truth.fence_end_u_mm;
    drawn.far_end_mm += rng.normal() * truth.far_end_u_mm;
    drawn.apart_mm += rng.normal() * truth.apart_u_mm;
    typed.pivot_distance_mm = 1143 + 40 * rng.normal();
    const double move = correction_move(*fence_error(*taper_from_widths(drawn), typed), typed)->move_mm;
    sum += move - stated.move_mm;
    squares += (move - stated.move_mm) * (move - stated.move_mm);
  }
  EXPECT_NEAR(std::sqrt(squares / n) / stated.u_mm, 1, 0.02);  // 4 standard errors of an sd from 20000 draws
  EXPECT_LT(std::fabs(sum / n), 0.05 * stated.u_mm);
}

// A fence as two points: the pivot stays, the other end is moved as the advice says, and the fence is square.
TEST(FenceMove, MovingTheEndAsToldSquaresTheFence) {
  for (const Side pivot : {Side::kLeft, Side::kRight})
    for (const double theta : {-0.002, -1e-5, 1e-5, 0.002}) {
      SledSetup setup;
      setup.pivot = pivot;
      setup.pivot_distance_mm = 900;
      const FenceMove move = *correction_move(*fence_error({4 * theta, 1e-6, kInfiniteDof}, setup), setup);
      ASSERT_NE(move.end, pivot);
      const double x = move.end == Side::kRight ? 900 * std::cos(theta) : -900 * std::cos(theta);
      double y = move.end == Side::kRight ? 900 * std::sin(theta) : -900 * std::sin(theta);
      y += move.toward == Toward::kOperator ? -move.move_mm : move.move_mm;  // the operator stands at -y
      EXPECT_LT(std::fabs(y / x), 1e-5 * std::fabs(theta)) << theta;
      EXPECT_GE(move.move_mm, 0);
    }
}

TEST(FenceError, SenseIsKnownOnlyWhenTheIntervalLeavesZeroOut) {
  EXPECT_TRUE(fence_error({0.001, 0.0001, kInfiniteDof}, {})->sense_is_known());
  const FenceError unsure = *fence_error({-0.0001, 0.0001, kInfiniteDof}, {});
  EXPECT_FALSE(unsure.sense_is_known());
  EXPECT_EQ(unsure.sense(), Sense::kClockwise);
  const FenceError none = *fence_error({0, 0.0001, kInfiniteDof}, {});
  EXPECT_EQ(none.sense(), Sense::kNone);
  EXPECT_EQ(sense_name(none.sense()), "none");
  SledSetup setup;
  setup.pivot_distance_mm = 1000;
  EXPECT_EQ(correction_move(none, setup)->toward, Toward::kNowhere);
  EXPECT_FALSE(correction_move(unsure, setup)->direction_is_known);
}

TEST(FenceError, RefusesNonsense) {
  const auto code = [](const auto& result) {
    return result.ok() ? std::string("ok") : result.failure().code;
  };
  EXPECT_EQ(code(fence_error({0.2, 0.001, kInfiniteDof}, {})), "taper-implausible");
  EXPECT_EQ(code(fence_error({kNan, 0.001, kInfiniteDof}, {})), "taper-implausible");
  EXPECT_EQ(code(fence_error({0.001, -0.001, kInfiniteDof}, {})), "bad-uncertainty");
  EXPECT_EQ(code(fence_error({0.001, 0.001, 0}, {})), "bad-uncertainty");
  for (const int turns : {0, -4, 101}) {
    SledSetup setup;
    setup.turns = turns;
    EXPECT_EQ(code(fence_error({0.001, 0.001, kInfiniteDof}, setup)), "bad-turns") << turns;
  }
  for (const double distance : {0.0, -45.0, kNan, 1e9}) {
    SledSetup setup;
    setup.pivot_distance_mm = distance;
    EXPECT_EQ(code(fence_error({0.001, 0.001, kInfiniteDof}, setup)), "bad-pivot-distance") << distance;
  }
  SledSetup cut;
  cut.cut_length_mm = 0;
  EXPECT_EQ(code(fence_error({0.001, 0.001, kInfiniteDof}, cut)), "bad-cut-length");
  SledSetup unsure;
  unsure.pivot_distance_mm = 900;
  unsure.pivot_distance_u_mm = -1;
  EXPECT_EQ(code(fence_error({0.001, 0.001, kInfiniteDof}, unsure)), "bad-pivot-distance");
  EXPECT_EQ(code(correction_move(*fence_error({0.001, 0.001, kInfiniteDof}, {}), {})), "no-pivot-distance");
}

TEST(TaperFromWidths, RefusesNonsense) {
  const auto code = [](double fence_end, double far_end, double apart, double u) {
    TwoWidths widths;
    widths.fence_end_mm = fence_end;
    widths.far_end_mm = far_end;
    widths.apart_mm = apart;
    widths.fence_end_u_mm = u;
    const auto taper = taper_from_widths(widths);
    return taper.ok() ? std::string("ok") : taper.failure().code;
  };
  EXPECT_EQ(code(13, 12, 190, 0.02), "ok");
  EXPECT_EQ(code(0, 12, 190, 0.02), "bad-width");
  EXPECT_EQ(code(13, -12, 190, 0.02), "bad-width");
  EXPECT_EQ(code(kNan, 12, 190, 0.02), "bad-width");
  EXPECT_EQ(code(13, 12, 0, 0.02), "bad-distance");
  EXPECT_EQ(code(13, 12, -190, 0.02), "bad-distance");
  EXPECT_EQ(code(13, 12, 190, -0.02), "bad-uncertainty");
  EXPECT_EQ(code(50, 12, 190, 0.02), "taper-implausible");
}

TEST(SledSetup, ReadsTheWordsOfTheCommandLine) {
  EXPECT_EQ(*parse_fence_side("Near"), FenceSide::kNear);
  EXPECT_EQ(*parse_fence_side(" far "), FenceSide::kFar);
  EXPECT_EQ(*parse_side("left"), Side::kLeft);
  EXPECT_EQ(*parse_side("RIGHT"), Side::kRight);
  EXPECT_EQ(parse_fence_side("middle").failure().code, "bad-fence-side");
  EXPECT_EQ(parse_side("").failure().code, "bad-side");
  EXPECT_EQ(fence_side_name(FenceSide::kFar), "far");
  EXPECT_EQ(side_name(opposite(Side::kLeft)), "right");
}

// The table of the four set-ups, word for word.
TEST(SledSetup, SignTable) {
  const auto sign = [](FenceSide fence, Side falls) {
    SledSetup setup;
    setup.fence = fence;
    setup.strip_falls = falls;
    return taper_sign(setup);
  };
  EXPECT_EQ(sign(FenceSide::kNear, Side::kRight), 1);
  EXPECT_EQ(sign(FenceSide::kNear, Side::kLeft), -1);
  EXPECT_EQ(sign(FenceSide::kFar, Side::kRight), -1);
  EXPECT_EQ(sign(FenceSide::kFar, Side::kLeft), 1);
}

}  // namespace
}  // namespace tapersight
