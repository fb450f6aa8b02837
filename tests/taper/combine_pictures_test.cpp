// Weighted mean, scatter and reversal of several pictures' tapers, against hand calculation.
#include "taper/combine_pictures.h"

#include <gtest/gtest.h>

#include <cmath>

#include "numeric/student_t.h"

namespace tapersight {
namespace {

constexpr double kInf = kInfiniteDof;

TEST(CombinePictures, WeighsByTheirUncertainty) {
  const auto c = combine_pictures({{1.0e-3, 1e-5, kInf}, {1.01e-3, 2e-5, kInf}});
  ASSERT_TRUE(c.ok());
  EXPECT_NEAR(c->taper, (4 * 1.0e-3 + 1.01e-3) / 5, 1e-12);
  EXPECT_NEAR(c->u, 1e-5 * std::sqrt(4.0 / 5), 1e-12);
  EXPECT_TRUE(c->consistent);
  EXPECT_FALSE(c->reversal);
}

TEST(CombinePictures, ScatterWidensByTheBirgeRatio) {
  // chi-squared of two equal weights 6 u apart: 2 * 3^2 = 18, one degree of freedom.
  const auto c = combine_pictures({{0, 1e-5, kInf}, {6e-5, 1e-5, kInf}});
  ASSERT_TRUE(c.ok());
  EXPECT_NEAR(c->birge, std::sqrt(18.0), 1e-9);
  EXPECT_NEAR(c->u, std::sqrt(18.0) * 1e-5 / std::sqrt(2.0), 1e-12);
  EXPECT_FALSE(c->consistent);
}

TEST(CombinePictures, ReversalPartsTheInstrumentFromTheStrip) {
  // True taper 2e-3, the instrument adds 3e-4: turned, the strip shows -2e-3 + 3e-4.
  const auto c = combine_pictures({{2.3e-3, 1e-5, kInf}, {-1.7e-3, 1e-5, kInf, true}});
  ASSERT_TRUE(c.ok());
  EXPECT_TRUE(c->reversal);
  EXPECT_NEAR(c->taper, 2e-3, 1e-12);
  EXPECT_NEAR(c->instrument, 3e-4, 1e-12);
  EXPECT_NEAR(c->u, 1e-5 / std::sqrt(2.0), 1e-12);
  EXPECT_EQ(c->birge, 0);
}

TEST(CombinePictures, OnlyReversedPicturesTurnTheSign) {
  const auto c = combine_pictures({{-1.7e-3, 1e-5, 9, true}});
  ASSERT_TRUE(c.ok());
  EXPECT_NEAR(c->taper, 1.7e-3, 1e-12);
  EXPECT_EQ(c->dof, 9);
  EXPECT_EQ(combine_pictures({}).failure().code, "no-pictures");
}

}  // namespace
}  // namespace tapersight
