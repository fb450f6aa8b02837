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

// What is advised does settle it, by the scaling that the header states: u ~ L^-1.5, u ~ 1/sqrt(n).
TEST(Decide, TheAdviceSettlesIt) {
  Rng rng(42);
  for (int i = 0; i < 1000; ++i) {
    const FenceError error = error_of(rng.uniform(-2e-3, 2e-3), rng.uniform(1e-4, 1e-3));
    const Tolerance tolerance{1e-3, ""};
    const SquarenessDecision open = decide(error, tolerance, {150.0, 1});
    if (open.verdict != Verdict::kCannotBeTold) {
      EXPECT_FALSE(open.settled.has_value());
      continue;
    }
    ASSERT_TRUE(open.settled->can_be_settled);
    const double longer_U = error.U * std::pow(*open.settled->strip_length_mm / 150, -1.5) * (1 - 1e-9);
    EXPECT_NE(decide(error_of(error.theta, longer_U), tolerance).verdict, Verdict::kCannotBeTold);
    if (open.settled->strips == kManyStrips) continue;
    const double averaged_U = error.U / std::sqrt(open.settled->strips) * (1 - 1e-9);
    EXPECT_NE(decide(error_of(error.theta, averaged_U), tolerance).verdict, Verdict::kCannotBeTold);
    // One strip fewer would not have been enough.
    const double fewer_U = error.U / std::sqrt(open.settled->strips - 1);
    EXPECT_EQ(decide(error_of(error.theta, fewer_U), tolerance).verdict, Verdict::kCannotBeTold);
  }
}

TEST(Decide, AnErrorOnTheLimitCannotBeSettled) {
  const SquarenessDecision open = decide(error_of(1e-3, 1e-4), {1e-3, "1mm/m"}, {150.0, 1});
  EXPECT_EQ(open.verdict, Verdict::kCannotBeTold);
  EXPECT_FALSE(open.settled->can_be_settled);
  EXPECT_THAT(describe_decision(open, {1e-3, "1mm/m"}, 260, Units::kInch)[1], HasSubstr("Adjust the fence"));
}

TEST(DescribeDecision, SaysWhatWouldSettleItInNumbers) {
  // U is 0.2 mm/m, 0.1 mm/m is needed: a strip 2^(2/3) = 1.587 times as long (6 in -> 9.52 in), or 4 strips.
  const Tolerance tolerance{0.0003, "0.3mm/m"};
  const auto open = decide(error_of(0.0002, 0.0002), tolerance, {152.4, 1});
  const auto lines = describe_decision(open, tolerance, 260, Units::kInch);
  EXPECT_THAT(lines[0], HasSubstr("Too close to call"));
  EXPECT_EQ(
      lines[1],
      "To settle it, cut a strip of 10 in or more and measure it, or cut 4 strips, each anew, and take the "
      "mean.");
  EXPECT_THAT(lines[2], HasSubstr("down to 1.20 thou over 12 in"));
  const auto metric = describe_decision(open, tolerance, 200, Units::kMillimetre);
  EXPECT_EQ(metric[1], "To settle it, cut 4 strips, each anew, and take the mean.");
  EXPECT_THAT(metric[2], HasSubstr("down to 0.100 mm/m"));
  EXPECT_THAT(describe_decision(decide(error_of(0, 1e-4), tolerance), tolerance, 260, Units::kInch)[0],
              HasSubstr("Square: "));
  EXPECT_THAT(describe_decision(decide(error_of(1e-3, 1e-4), tolerance), tolerance, 260, Units::kInch)[0],
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
