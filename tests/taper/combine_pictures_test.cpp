// Weighted mean, scatter and reversal of several pictures' tapers, against hand calculation.
#include "taper/combine_pictures.h"

#include <gtest/gtest.h>

#include <cmath>

#include "numeric/student_t.h"

namespace tapersight {
namespace {

constexpr double kInf = kInfiniteDof;

// A picture whose uncertainty is all its own.
ShownTaper noisy(double taper, double u, bool reversed = false) {
  return {taper, u, kInf, reversed, u};
}

TEST(CombinePictures, WeighsByTheirUncertainty) {
  const auto c = combine_pictures({noisy(1.0e-3, 1e-5), noisy(1.01e-3, 2e-5)});
  ASSERT_TRUE(c.ok());
  EXPECT_NEAR(c->taper, (4 * 1.0e-3 + 1.01e-3) / 5, 1e-12);
  EXPECT_NEAR(c->u, 1e-5 * std::sqrt(4.0 / 5), 1e-12);
  EXPECT_TRUE(c->consistent);
  EXPECT_FALSE(c->reversal);
}

TEST(CombinePictures, WhatTheStripLeavesOpenStaysHoweverManyPicturesThereAre) {
  // 3, 4 and 12 to the whole 13: each picture's own noise, the instrument, the strip's roughness.
  const ShownTaper one{1e-3, 13e-6, 20, false, 3e-6, 4e-6};
  const auto c = combine_pictures({one, one, one, one, one, one, one, one, one});
  ASSERT_TRUE(c.ok());
  EXPECT_NEAR(c->of_pictures.u, 1e-6, 1e-15);
  EXPECT_NEAR(c->of_instrument.u, 4e-6, 1e-15);
  EXPECT_NEAR(c->of_strip.u, 12e-6, 1e-15);
  EXPECT_NEAR(c->u, std::sqrt(1 + 16 + 144) * 1e-6, 1e-15);
  EXPECT_NEAR(c->dof, std::pow(161, 2) * 20 / (std::pow(144, 2) + 1.0 / 9), 1e-9);  // JCGM 100, G.2b
}

TEST(CombinePictures, OneAloneIsAsItWas) {
  const auto c = combine_pictures({{1e-3, 13e-6, 20, false, 3e-6, 4e-6}});
  ASSERT_TRUE(c.ok());
  EXPECT_NEAR(c->taper, 1e-3, 1e-15);
  EXPECT_NEAR(c->u, 13e-6, 1e-15);
}

TEST(CombinePictures, ScatterWidensTheirNoiseByTheBirgeRatio) {
  // chi-squared of two equal weights 6 u apart: 2 * 3^2 = 18, one degree of freedom.
  const auto c = combine_pictures({noisy(0, 1e-5), noisy(6e-5, 1e-5)});
  ASSERT_TRUE(c.ok());
  EXPECT_NEAR(c->birge, std::sqrt(18.0), 1e-9);
  EXPECT_NEAR(c->u, std::sqrt(18.0) * 1e-5 / std::sqrt(2.0), 1e-12);
  EXPECT_FALSE(c->consistent);
}

// By two degrees of freedom's table a chi-squared of 27.6 has a chance of 1e-6 (exp(-27.6 / 2)), by
// one's 23.9 (4.9 standard deviations).
TEST(CombinePictures, WhatNoStripCanShowIsRefused) {
  const auto two = [](double apart) { return combine_pictures({noisy(0, 1e-5), noisy(apart * 1e-5, 1e-5)}); };
  EXPECT_TRUE(two(4.8 * std::sqrt(2.0)).ok());
  ASSERT_FALSE(two(5.0 * std::sqrt(2.0)).ok());
  EXPECT_EQ(two(5.0 * std::sqrt(2.0)).failure().code, "pictures-disagree");
  // Both ways round, the tapers are opposite; what the instrument adds counts as far as it is allowed for.
  EXPECT_TRUE(combine_pictures({noisy(1e-3, 1e-5), noisy(-1e-3, 1e-5, true)}).ok());
  EXPECT_FALSE(combine_pictures({noisy(1e-3, 1e-5), noisy(1e-3, 1e-5, true)}).ok());
  const auto by_dpi = [](double taper, bool reversed) {
    return ShownTaper{taper, std::hypot(1e-5, 3e-4), kInf, reversed, 1e-5, 3e-4};
  };
  EXPECT_TRUE(combine_pictures({by_dpi(1.5e-3, false), by_dpi(-0.5e-3, true)}).ok());
  const auto three = [](double apart) {
    return combine_pictures({noisy(0, 1e-5), noisy(apart * 1e-5, 1e-5), noisy(-apart * 1e-5, 1e-5)});
  };
  EXPECT_TRUE(three(std::sqrt(27.5 / 2)).ok());
  EXPECT_FALSE(three(std::sqrt(27.7 / 2)).ok());
}

TEST(CombinePictures, ScatterWithinTheWholeUncertaintyIsNoContradiction) {
  // 6 times their noise apart, but within what the strip leaves open.
  const auto c = combine_pictures({{0, 5e-5, kInf, false, 1e-5}, {6e-5, 5e-5, kInf, false, 1e-5}});
  ASSERT_TRUE(c.ok());
  EXPECT_NEAR(c->birge, std::sqrt(18.0), 1e-9);
  EXPECT_TRUE(c->consistent);
  EXPECT_NEAR(c->u, std::sqrt(9 + 24) * 1e-5, 1e-12);  // 3^2 by the scatter, 5^2 - 1^2 of the strip
}

TEST(CombinePictures, ReversalPartsTheInstrumentFromTheStrip) {
  // True taper 2e-3, the instrument adds 3e-4, as its budget allows: turned, the strip shows -2e-3 + 3e-4.
  const double u = std::hypot(1e-5, 4e-4);
  const auto c =
      combine_pictures({{2.3e-3, u, kInf, false, 1e-5, 4e-4}, {-1.7e-3, u, kInf, true, 1e-5, 4e-4}});
  ASSERT_TRUE(c.ok());
  EXPECT_TRUE(c->reversal);
  EXPECT_NEAR(c->taper, 2e-3, 1e-12);
  EXPECT_NEAR(c->instrument, 3e-4, 1e-12);
  EXPECT_NEAR(c->u, u / std::sqrt(2.0), 1e-12);
  EXPECT_FALSE(c->reversal_doubtful);
  EXPECT_EQ(c->birge, 0);
}

// Two scans of one strip that was not turned, true taper 5e-4, each with an interval of 38e-6: half their
// difference is "no taper", and the whole taper would pass as the scanner's own error.
TEST(CombinePictures, AStripThatWasNotTurnedIsNotAnInstrumentsError) {
  const auto c = combine_pictures({noisy(5.0e-4, 19e-6), noisy(4.8e-4, 19e-6, true)});
  ASSERT_FALSE(c.ok());
  EXPECT_EQ(c.failure().code, "not-turned");
  EXPECT_NE(c.failure().text.find("18 times as large"), std::string::npos) << c.failure().text;
  // Two strips, one of them laid in turned: no more an instrument's error.
  EXPECT_FALSE(combine_pictures({noisy(5.0e-4, 19e-6), noisy(-2.0e-4, 19e-6, true)}).ok());
}

// Too small to refuse, too large for the pictures' own claims: the interval holds the strip that was not
// turned as well.
TEST(CombinePictures, AnInstrumentsErrorBeyondTheClaimsWidensTheInterval) {
  const double taper = 4e-5;
  const auto c = combine_pictures({noisy(taper, 19e-6), noisy(taper, 19e-6, true)});
  ASSERT_TRUE(c.ok());
  EXPECT_TRUE(c->reversal_doubtful);
  EXPECT_NEAR(c->of_reversal.u, taper, 1e-12);
  EXPECT_LT(std::fabs(c->taper - taper), 2 * c->u);
  EXPECT_NEAR(c->u, std::hypot(19e-6 / std::sqrt(2.0), taper), 1e-12);
}

TEST(CombinePictures, ReversalLeavesTheStripsOwnPartInTheTaperAndTakesItOutOfTheInstruments) {
  const auto c = combine_pictures(
      {{2.003e-3, 13e-6, kInf, false, 3e-6, 4e-6}, {-1.997e-3, 13e-6, kInf, true, 3e-6, 4e-6}});
  ASSERT_TRUE(c.ok());
  EXPECT_NEAR(c->u, std::sqrt((9 + 16) / 2.0 + 144) * 1e-6, 1e-12);
  EXPECT_NEAR(c->u_instrument, 3e-6 / std::sqrt(2.0), 1e-12);
}

TEST(CombinePictures, OnlyReversedPicturesTurnTheSign) {
  const auto c = combine_pictures({{-1.7e-3, 1e-5, 9, true}});
  ASSERT_TRUE(c.ok());
  EXPECT_NEAR(c->taper, 1.7e-3, 1e-12);
  EXPECT_NEAR(c->dof, 9, 1e-9);
  EXPECT_EQ(combine_pictures({}).failure().code, "no-pictures");
}

}  // namespace
}  // namespace tapersight
