// Every adjuster is asked for the same move and says what it makes of it; lists are read in mixed units.
#include "fence/adjustment.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "fence/steps.h"

namespace tapersight {
namespace {

using ::testing::Contains;
using ::testing::HasSubstr;
using ::testing::Not;

template <typename T>
std::string code(const Result<T>& result) {
  return result.ok() ? "ok" : result.failure().code;
}

SledSetup setup() {
  SledSetup setup;
  setup.pivot_distance_mm = 1143;
  return setup;
}

FenceMove move_of(double taper) {
  return *correction_move(*fence_error({taper, 1e-5, kInfiniteDof}, setup()), setup());
}

TEST(PlanAdjustment, EachAdjusterComesAsNearAsItsStepsAllow) {
  const FenceMove move = move_of(0.065 / 7.5);  // 2.4765 mm
  AdjustMeans means;
  means.thread = *parse_thread("M6");
  // A feeler's closeness; half a degree of the screw; a shim's closeness; half a division of the dial.
  const double steps_mm[] = {0.25 * kMmPerThou, 0.5 / 360, 0.025, 0.25 * kMmPerThou};
  for (int i = 0; i < 4; ++i) {
    means.by = static_cast<AdjustBy>(i);
    const auto plan = plan_adjustment(move, means, Units::kInch);
    ASSERT_TRUE(plan.ok());
    EXPECT_EQ(plan->by(), means.by);
    EXPECT_NEAR(plan->made_mm(), 2.4765, steps_mm[i] + 1e-9) << i;
    EXPECT_FALSE(describe_adjustment(*plan, Units::kInch).empty());
  }
}

TEST(PlanAdjustment, WithoutALeafToMatchNothingIsMade) {
  AdjustMeans means;
  means.feelers = FeelerSet{"own", {1.0}, {}};
  EXPECT_EQ(plan_adjustment(move_of(0.0001), means, Units::kInch)->made_mm(), 0);
}

TEST(ParseFeelers, SetsAndLists) {
  EXPECT_EQ(parse_feelers("Inch-26", Units::kInch)->name, "inch-26");
  const FeelerSet set = *parse_feelers("1.5thou, .002, 0.1 mm", Units::kInch);
  ASSERT_EQ(set.leaves_mm.size(), 3U);
  EXPECT_NEAR(set.leaves_mm[0], 0.0381, 1e-12);
  EXPECT_NEAR(set.leaves_mm[1], 0.0508, 1e-12);
  EXPECT_NEAR(set.leaves_mm[2], 0.1, 1e-12);
  EXPECT_NEAR(parse_feelers("0,05 mm; 0,1 mm", Units::kInch)->leaves_mm[1], 0.1, 1e-12);
  EXPECT_EQ(code(parse_feelers(" ", Units::kInch)), "empty-feeler-set");
  EXPECT_EQ(code(parse_feelers("inch-99", Units::kInch)), "unknown-feeler-set");
  EXPECT_EQ(code(parse_feelers("1thou,0", Units::kInch)), "bad-leaf");
  EXPECT_EQ(code(parse_feelers("1thou,", Units::kInch)), "bad-length");
}

TEST(ParseSpacersShimsIndicator, ReadAndRefuse) {
  EXPECT_NEAR(parse_spacers("1/8in", Units::kMillimetre)->at(0), 3.175, 1e-12);
  EXPECT_EQ(code(parse_spacers("", Units::kMillimetre)), "bad-leaf");
  const auto shims = *parse_shims("Index Card, ticket = 10thou", Units::kInch);
  EXPECT_EQ(shims.at(0).name, "index card");
  EXPECT_NEAR(shims.at(1).thickness_mm, 0.254, 1e-12);
  EXPECT_EQ(code(parse_shims("", Units::kInch)), "no-shims");
  EXPECT_EQ(code(parse_shims("leather", Units::kInch)), "bad-shim");
  EXPECT_EQ(code(parse_shims("leather=-1mm", Units::kInch)), "length-not-positive");
  const Indicator dial = *parse_indicator("1/2 thou/0.1in", Units::kMillimetre);
  EXPECT_NEAR(dial.graduation_mm, 0.0127, 1e-12);
  EXPECT_NEAR(dial.revolution_mm, 2.54, 1e-12);
  EXPECT_EQ(code(parse_indicator("1thou", Units::kInch)), "bad-indicator");
  EXPECT_EQ(code(parse_indicator("1in/1thou", Units::kInch)), "bad-indicator");
}

TEST(AdjustmentSteps, SayWhatComesFirstAndWhatIsTooFine) {
  StepsInput input;
  input.setup = setup();
  input.error = *fence_error({0.004, 1e-5, kInfiniteDof}, input.setup);
  input.move = move_of(0.004);
  input.by_lines = {"Stack."};
  input.see_to_first = "First find out.";
  input.ring = true;
  const auto steps = adjustment_steps(input);
  EXPECT_EQ(steps.at(1), "First find out.");
  EXPECT_THAT(steps, Contains(HasSubstr("cut a new ring")));
  EXPECT_THAT(steps, Not(Contains(HasSubstr("test strip"))));
  input.can_be_made = false;
  EXPECT_FALSE(is_to_be_moved(input));
  EXPECT_THAT(adjustment_steps(input).at(0), HasSubstr("finer than your thinnest leaf"));
}

// Two caliper readings: u goes with 1 / length, a picture's with length^-1.5, so a caliper asks for more
// length.
TEST(Decide, ACaliperGainsWithTheLengthItself) {
  FenceError error;
  error.theta = 0.00012;
  error.U = 0.0002;
  PresentMeasurement present;
  present.strip_length_mm = 100;
  present.u_own = present.u_length = 1e-4;
  present.dof_own = 30;
  const auto by_picture = decide(error, {0.0003, ""}, present).settled->strip_length_mm;
  present.from = MeasuredFrom::kCaliper;
  const auto by_caliper = decide(error, {0.0003, ""}, present).settled->strip_length_mm;
  ASSERT_TRUE(by_picture && by_caliper);
  EXPECT_GT(*by_caliper, 1.1 * *by_picture);
}

TEST(DescribeDecision, ARingIsTrueOrNot) {
  FenceError error;
  error.U = 1e-4;
  const Tolerance tolerance{0.0003, "0.3mm/m"};
  EXPECT_THAT(describe_decision(decide(error, tolerance), tolerance, 0, Units::kInch, MeasuredFrom::kRing)[0],
              HasSubstr("True: "));
  error.U = 0.0002;
  error.theta = 0.0002;
  const auto lines =
      describe_decision(decide(error, tolerance), tolerance, 0, Units::kInch, MeasuredFrom::kRing);
  EXPECT_THAT(lines[0], HasSubstr("Too close to call"));
  EXPECT_THAT(lines[1], HasSubstr("more rings"));
}

}  // namespace
}  // namespace tapersight
