// Tolerances as people say them, and the decision rule of ISO 14253-1 (as quoted in the project's notes).
#include "fence/tolerance.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "base/rng.h"

namespace tapersight {
namespace {

using ::testing::HasSubstr;

FenceError error_of(double theta, double U) {
  FenceError error;
  error.theta = theta;
  error.U = U;
  error.u = U / 1.96;
  error.coverage_factor = 1.96;
  return error;
}

TEST(ParseTolerance, AsPeopleSayIt) {
  const auto angle = [](const char* text) {
    const auto tolerance = parse_tolerance(text);
    EXPECT_TRUE(tolerance.ok()) << text;
    return tolerance.ok() ? tolerance->angle : 0;
  };
  EXPECT_NEAR(angle("2thou/12in"), 0.002 / 12, 1e-12);
  EXPECT_NEAR(angle("2 thou / 12 in"), 0.002 / 12, 1e-12);
  EXPECT_NEAR(angle("2 thou per 12 in"), 0.002 / 12, 1e-12);
  EXPECT_NEAR(angle("2 thou over 12\""), 0.002 / 12, 1e-12);
  EXPECT_NEAR(angle("2 thou in 12 in"), 0.002 / 12, 1e-12);
  EXPECT_NEAR(angle(".002in/12in"), 0.002 / 12, 1e-12);
  EXPECT_NEAR(angle("2thou/ft"), 0.002 / 12, 1e-12);
  EXPECT_NEAR(angle("1thou/in"), 0.001, 1e-12);
  EXPECT_NEAR(angle("0.1mm/m"), 0.0001, 1e-12);
  EXPECT_NEAR(angle("0.1 mm/1 m"), 0.0001, 1e-12);
  EXPECT_NEAR(angle("0.05mm/300mm"), 0.05 / 300, 1e-12);
  EXPECT_NEAR(angle("0,05 mm/300 mm"), 0.05 / 300, 1e-12);
  EXPECT_NEAR(angle("1/64in/24in"), 1.0 / 64 / 24, 1e-12);
  EXPECT_NEAR(angle("1/64\"/2'"), 1.0 / 64 / 24, 1e-12);
  EXPECT_NEAR(angle("0.01deg"), 0.01 * kPi / 180, 1e-12);
  EXPECT_NEAR(angle("0.01 degrees"), 0.01 * kPi / 180, 1e-12);
  EXPECT_NEAR(angle("0.01\u00b0"), 0.01 * kPi / 180, 1e-12);
  EXPECT_EQ(parse_tolerance(" 2thou/12in ")->text, "2thou/12in");
}

TEST(ParseTolerance, RefusesNonsense) {
  for (const char* text :
       {"",           "2thou",       "2/12",          "2thou/12",    "2/12in",  "thou/12in",
        "0thou/12in", "-2thou/12in", "2thou/0in",     "2thou/-12in", "0.01",    "deg",
        "x deg",      "-1deg",       "0deg",          "20deg",       "1in/1in", "2thou//12in",
        "square",     "1,905mm/m",   "2thou/12parsec"}) {
    const auto tolerance = parse_tolerance(text);
    ASSERT_FALSE(tolerance.ok()) << text << " was read as " << tolerance->angle;
    EXPECT_EQ(tolerance.failure().code, "bad-tolerance");
    EXPECT_THAT(tolerance.failure().remedy, HasSubstr("2thou/12in"));
  }
}

TEST(ParseTolerance, ZeroIsCalledZero) {
  EXPECT_THAT(parse_tolerance("0thou/12in").failure().text, HasSubstr("above zero"));
}

// The rule's corners, one side and the other.
TEST(Decide, FollowsTheGuardBands) {
  const Tolerance tolerance{1e-3, "1 mm/m"};
  const auto verdict = [&](double theta, double U) { return decide(error_of(theta, U), tolerance).verdict; };
  EXPECT_EQ(verdict(0.5e-3, 0.5e-3), Verdict::kSquare);  // |theta| + U = tolerance
  EXPECT_EQ(verdict(-0.5e-3, 0.4e-3), Verdict::kSquare);
  EXPECT_EQ(verdict(0, 1e-3), Verdict::kSquare);
  EXPECT_EQ(verdict(0.5e-3, 0.6e-3), Verdict::kCannotBeTold);
  EXPECT_EQ(verdict(0, 1.1e-3), Verdict::kCannotBeTold);
  EXPECT_EQ(verdict(2e-3, 1e-3), Verdict::kCannotBeTold);  // |theta| - U = tolerance does not prove it
  EXPECT_EQ(verdict(2e-3, 0.9e-3), Verdict::kNotSquare);
  EXPECT_EQ(verdict(-2e-3, 0.9e-3), Verdict::kNotSquare);
}

// Neither claim is ever made wrongly while the truth lies in the interval.
TEST(Decide, IsNeverWrongWhenTheIntervalHoldsTheTruth) {
  Rng rng(41);
  int decided = 0;
  for (int i = 0; i < 20000; ++i) {
    const double truth = rng.uniform(-3e-3, 3e-3), U = rng.uniform(0, 2e-3), tol = rng.uniform(1e-4, 2e-3);
    const double theta = truth + rng.uniform(-U, U);
    const Verdict verdict = decide(error_of(theta, U), {tol, ""}).verdict;
    if (verdict == Verdict::kSquare) {
      EXPECT_LE(std::fabs(truth), tol + 1e-15);
    }
    if (verdict == Verdict::kNotSquare) {
      EXPECT_GE(std::fabs(truth), tol - 1e-15);
    }
    if (verdict != Verdict::kCannotBeTold) ++decided;
  }
  EXPECT_GT(decided, 5000);
}

PresentMeasurement present_of(double u_own, double u_length = 0, double u_shared = 0) {
  PresentMeasurement present;
  present.strip_length_mm = 152.4;
  present.u_own = u_own;
  present.dof_own = 8;
  present.u_length = u_length;
  present.u_shared = u_shared;
  present.shared = "scale of the print";
  return present;
}

FenceError measured(double theta, const PresentMeasurement& present) {
  FenceError error = error_of(theta, 0);
  const CombinedUncertainty sum = combine({{present.u_own, present.dof_own}, {present.u_shared}});
  error.u = sum.u;
  error.dof = sum.dof;
  error.U = t_factor(kCoverage, sum.dof) * sum.u;
  return error;
}

// Advice is a chance: of fences that could be the one that was measured, nine of ten are settled by it. Drawn
// anew here: the fence from what is known of it, the further strips from the fence.
TEST(Decide, TheAdviceSettlesItNineTimesInTen) {
  Rng rng(42);
  const Tolerance tolerance{1e-3, ""};
  int advised = 0, settled = 0;
  for (int i = 0; i < 400; ++i) {
    const PresentMeasurement present = present_of(rng.uniform(1e-4, 6e-4));
    const FenceError error = measured(rng.uniform(-2e-3, 2e-3), present);
    const SquarenessDecision open = decide(error, tolerance, present);
    if (open.verdict != Verdict::kCannotBeTold) {
      EXPECT_FALSE(open.settled.has_value());
      continue;
    }
    if (open.settled->more_strips == 0) continue;
    const int more = open.settled->more_strips;
    for (int draw = 0; draw < 100; ++draw) {
      // Student's t as a Gaussian over the root of a chi-squared.
      double chi = 0;
      for (int k = 0; k < 8; ++k) chi += std::pow(rng.normal(), 2);
      const double sigma = present.u_own / std::sqrt(chi / 8);
      const double fence = error.theta + sigma * rng.normal();
      double sum = error.theta;
      for (int k = 0; k < more; ++k) sum += fence + sigma * rng.normal();
      FenceError later = error;
      later.theta = sum / (more + 1);
      later.U = t_factor(kCoverage, 8 + more) * present.u_own / std::sqrt(more + 1);
      ++advised;
      settled += decide(later, tolerance).verdict != Verdict::kCannotBeTold;
    }
  }
  ASSERT_GT(advised, 5000);
  EXPECT_GE(settled, 0.9 * advised);
  EXPECT_LE(settled, 0.98 * advised) << "far more strips than needed";
}

// Only what a further strip has anew is made smaller.
TEST(Decide, WhatStripsShareIsNamedWhereItIsInTheWay) {
  const Tolerance tolerance{1e-3, "1mm/m"};
  const PresentMeasurement present = present_of(2e-4, 0, 4e-4);
  const SquarenessDecision open = decide(measured(0.7e-3, present), tolerance, present);
  ASSERT_EQ(open.verdict, Verdict::kCannotBeTold);
  EXPECT_FALSE(open.settled->can_be_settled);
  EXPECT_THAT(
      describe_decision(open, tolerance, 260, Units::kInch)[1],
      HasSubstr("More strips would not settle it. What they share is too large: scale of the print."));
}

// A longer strip is advised where its roughness is what is in the way, not the cutting.
TEST(Decide, ALongerStripIsAdvisedWhereItHelps) {
  const Tolerance tolerance{1e-3, "1mm/m"};
  const PresentMeasurement rough = present_of(3e-4, 2.9e-4), cutting = present_of(3e-4, 0.5e-4);
  EXPECT_TRUE(decide(measured(0.4e-3, rough), tolerance, rough).settled->strip_length_mm.has_value());
  EXPECT_FALSE(decide(measured(0.4e-3, cutting), tolerance, cutting).settled->strip_length_mm.has_value());
}

TEST(Decide, AnErrorOnTheLimitCannotBeSettled) {
  const PresentMeasurement present = present_of(1e-4);
  const SquarenessDecision open = decide(measured(1e-3, present), {1e-3, "1mm/m"}, present);
  EXPECT_EQ(open.verdict, Verdict::kCannotBeTold);
  EXPECT_FALSE(open.settled->can_be_settled);
  EXPECT_THAT(describe_decision(open, {1e-3, "1mm/m"}, 260, Units::kInch)[1], HasSubstr("Adjust the fence"));
}

TEST(DescribeDecision, SaysWhatWouldSettleItAsAChance) {
  const Tolerance tolerance{1e-3, "1mm/m"};
  const PresentMeasurement present = present_of(3e-4);
  const auto open = decide(measured(0.5e-3, present), tolerance, present);
  ASSERT_GT(open.settled->more_strips, 1);
  const auto lines = describe_decision(open, tolerance, 260, Units::kInch);
  EXPECT_THAT(lines[0], HasSubstr("Too close to call"));
  EXPECT_EQ(lines[1], "To settle it, cut " + std::to_string(open.settled->more_strips) +
                          " more strips and take the mean (settles it 9 times in 10). Cut each anew.");
  EXPECT_THAT(describe_decision(decide(error_of(0, 1e-4), tolerance), tolerance, 260, Units::kInch)[0],
              HasSubstr("Square: "));
  EXPECT_THAT(describe_decision(decide(error_of(2e-3, 1e-4), tolerance), tolerance, 260, Units::kInch)[0],
              HasSubstr("Not square: "));
}

// 2 thou over 12 in is the angle of 0.05 mm over 300 mm, so units change nothing.
TEST(UsualTolerance, IsOneAngleInBothUnitsAndSaysThatNobodyGaveIt) {
  for (const Units units : {Units::kInch, Units::kMillimetre}) {
    const Tolerance usual = usual_tolerance(units);
    EXPECT_TRUE(usual.usual);
    EXPECT_DOUBLE_EQ(parse_tolerance(usual.text)->angle, usual.angle);
    EXPECT_THAT(describe_decision(decide(error_of(0, 1e-5), usual), usual, 260, units)[0],
                HasSubstr("usual figure"));
  }
  EXPECT_EQ(allowed_text(usual_tolerance(Units::kInch), 304.8, Units::kInch), "2 thou");
  EXPECT_EQ(allowed_text(usual_tolerance(Units::kMillimetre), 300, Units::kMillimetre), "0.05 mm");
}

TEST(VerdictName, IsWhatTheReportSays) {
  EXPECT_EQ(verdict_name(Verdict::kSquare), "square");
  EXPECT_EQ(verdict_name(Verdict::kNotSquare), "not square");
  EXPECT_EQ(verdict_name(Verdict::kCannotBeTold), "cannot be told");
}

}  // namespace
}  // namespace tapersight
