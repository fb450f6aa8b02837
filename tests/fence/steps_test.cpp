// The procedure says what the result says, cautions included, and never sends anyone to move a fence on a
// guess.
#include "fence/steps.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "base/rng.h"
#include "base/text.h"
#include "fence/feelers.h"

namespace tapersight {
namespace {

using ::testing::Contains;
using ::testing::HasSubstr;
using ::testing::Not;

std::string joined(const std::vector<std::string>& lines) {
  std::string text;
  for (const std::string& line : lines) text += line + "\n";
  return text;
}

StepsInput input_for(double taper, Side pivot) {
  StepsInput input;
  input.setup.pivot = pivot;
  input.setup.pivot_distance_mm = 45 * kMmPerInch;
  input.error = *fence_error({taper, 1e-5, kInfiniteDof}, input.setup);
  input.move = *correction_move(input.error, input.setup);
  input.by_lines =
      describe_feelers(*plan_feelers(input.move.move_mm, default_feeler_set(Units::kInch)), Units::kInch);
  return input;
}

TEST(AdjustmentSteps, GoByTheResult) {
  const std::string text = joined(adjustment_steps(input_for(0.065 / 7.5, Side::kLeft)));
  EXPECT_THAT(text, HasSubstr("Stack for 97.5 thou"));
  EXPECT_THAT(text, HasSubstr("against the side of the fence that faces you, 45 in from the pivot screw"));
  EXPECT_THAT(text, HasSubstr("Swing the right end of the fence toward you"));
  EXPECT_THAT(text, HasSubstr("Leave the pivot screw at the left end just snug"));
  const std::string other = joined(adjustment_steps(input_for(0.065 / 7.5, Side::kRight)));
  EXPECT_THAT(other, HasSubstr("Swing the left end of the fence away from you"));
  EXPECT_THAT(other, HasSubstr("against the side of the fence that faces away from you"));
}

// The plug comes out before anything is touched, and every way of moving says so.
TEST(AdjustmentSteps, TheCautionsComeFirst) {
  for (const AdjustBy by : {AdjustBy::kFeelers, AdjustBy::kScrew, AdjustBy::kShims, AdjustBy::kIndicator}) {
    StepsInput input = input_for(-0.002, Side::kLeft);
    input.by = by;
    const auto steps = adjustment_steps(input);
    EXPECT_THAT(steps.at(0), HasSubstr("Unplug the saw"));
    EXPECT_THAT(steps, Contains(HasSubstr("Keep your hands out of the blade's path")));
    EXPECT_THAT(steps, Contains(HasSubstr("hold-down")));
    EXPECT_THAT(steps, Contains(HasSubstr("away from you")));
    EXPECT_THAT(steps.back(), HasSubstr("Record the move"));
  }
}

TEST(AdjustmentSteps, NobodyMovesASquareFenceOrOneOnAGuess) {
  StepsInput square = input_for(0.0004, Side::kLeft);
  square.verdict = Verdict::kSquare;
  EXPECT_THAT(joined(adjustment_steps(square)), HasSubstr("square within the tolerance"));
  StepsInput guess = input_for(0.065 / 7.5, Side::kLeft);
  guess.error = *fence_error({1e-5, 1e-5, kInfiniteDof}, guess.setup);
  guess.move = *correction_move(guess.error, guess.setup);
  for (const StepsInput& input : {square, guess}) {
    const auto steps = adjustment_steps(input);
    EXPECT_THAT(steps, Contains(HasSubstr("Leave the fence as it is")));
    EXPECT_THAT(steps, Not(Contains(HasSubstr("Swing"))));
    EXPECT_THAT(steps, Not(Contains(HasSubstr("Loosen"))));
  }
}

// One angle does not describe a bent cut: the fence is looked at, not moved.
TEST(AdjustmentSteps, ABowedStripMovesNothing) {
  StepsInput bowed = input_for(0.065 / 7.5, Side::kLeft);
  bowed.bowed = true;
  EXPECT_FALSE(is_to_be_moved(bowed));
  const auto steps = adjustment_steps(bowed);
  EXPECT_THAT(steps, Contains(HasSubstr("straightedge")));
  EXPECT_THAT(steps, Not(Contains(HasSubstr("Loosen"))));
}

TEST(AdjustmentSteps, NumberedForPrint) {
  const auto lines = numbered({"Mark.", "Loosen."});
  EXPECT_EQ(lines, (std::vector<std::string>{"1. Mark.", "2. Loosen."}));
}

// The table's formula against fits to simulated edges whose roughness has an exponential correlation.
TEST(ResolvableError, IsTwiceTheScatterOfFittedStrips) {
  Rng rng(81);
  const EdgeSurface surface{0.02, 1.5};
  const double step = 0.5, length = 200;  // mm
  const int n = static_cast<int>(length / step) + 1, trials = 1500;
  const double keep = std::exp(-step / surface.correlation_mm);
  double squares = 0;
  for (int trial = 0; trial < trials; ++trial) {
    double taper = 0;
    for (const int side : {-1, 1}) {
      double rough = surface.roughness_mm * rng.normal(), slope = 0, spread = 0;
      for (int i = 0; i < n; ++i) {
        const double x = i * step - length / 2;
        slope += x * rough;
        spread += x * x;
        rough = keep * rough + std::sqrt(1 - keep * keep) * surface.roughness_mm * rng.normal();
      }
      taper += side * slope / spread;
    }
    squares += taper * taper / 16;
  }
  // 4 standard errors of an sd from 1500 draws, and the ends' correction of order correlation / length
  EXPECT_NEAR(resolvable_error(length, surface, 4) / (2 * std::sqrt(squares / trials)), 1, 0.09);
}

TEST(ResolvableError, FallsWithLengthToTheThreeHalves) {
  EXPECT_NEAR(resolvable_error(100, kCleanCut, 4) / resolvable_error(200, kCleanCut, 4), std::pow(2, 1.5),
              1e-12);
  EXPECT_NEAR(resolvable_error(100, kCleanCut, 2) / resolvable_error(100, kCleanCut, 4), 2, 1e-12);
}

TEST(Guide, TurnsTheBoardSoThatTheFreshEdgeMeetsTheFence) {
  const auto text = [](FenceSide fence, Side falls) {
    SledSetup setup;
    setup.fence = fence;
    setup.strip_falls = falls;
    return joined(guide(setup, Units::kInch));
  };
  // The fresh edge of a board left of the blade is its right one; brought to the operator's side that is
  // clockwise.
  EXPECT_THAT(text(FenceSide::kNear, Side::kRight), HasSubstr("quarter turn clockwise"));
  EXPECT_THAT(text(FenceSide::kNear, Side::kLeft), HasSubstr("quarter turn counter-clockwise"));
  EXPECT_THAT(text(FenceSide::kFar, Side::kRight), HasSubstr("quarter turn counter-clockwise"));
  EXPECT_THAT(text(FenceSide::kFar, Side::kLeft), HasSubstr("quarter turn clockwise"));
  EXPECT_THAT(text(FenceSide::kNear, Side::kRight), HasSubstr("keep the board left of the blade"));
}

TEST(Guide, HasTheTableTheFenceEndAndTheCautions) {
  const auto inch = guide({}, Units::kInch);
  EXPECT_THAT(inch, Contains(HasSubstr("10 in")));
  EXPECT_THAT(inch, Contains(HasSubstr("write FENCE")));
  EXPECT_THAT(inch, Contains(HasSubstr("on both faces"))) << "the lower one lies on the glass";
  EXPECT_THAT(inch, Contains(HasSubstr("cut a corner of about 0.25 in")));
  EXPECT_THAT(inch, Contains(HasSubstr("Keep your hands out of the blade's path")));
  const double clean = resolvable_error(10 * kMmPerInch, kCleanCut, 4) * 12000;
  EXPECT_THAT(inch, Contains(::testing::AllOf(HasSubstr("     10 in"), HasSubstr(fixed(clean, 2)))));
  const auto metric = guide({}, Units::kMillimetre);
  EXPECT_THAT(metric, Contains(HasSubstr("250 mm")));
  EXPECT_THAT(joined(metric), Not(HasSubstr(" in,")));
}

}  // namespace
}  // namespace tapersight
