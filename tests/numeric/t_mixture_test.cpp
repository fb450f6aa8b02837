// One scaled t for a standard uncertainty that is in doubt: the same where the possibilities agree, and where
// they do not what holds 68 and 95 % of draws from them.
#include "numeric/t_mixture.h"

#include <gtest/gtest.h>

#include <cmath>

#include "base/rng.h"
#include "numeric/student_t.h"

namespace tapersight {
namespace {

TEST(TMixture, AgreeingPossibilitiesAreTheAnswer) {
  const StatedU one = stated_uncertainty({{0.3, 1}}, 16);
  EXPECT_EQ(one.u, 0.3);
  EXPECT_EQ(one.dof, 16);
  const StatedU alike = stated_uncertainty({{0.3, 0.6}, {0.31, 0.4}}, 16);
  EXPECT_NEAR(alike.u, 0.304, 1e-9);
  EXPECT_EQ(alike.dof, 16);
}

TEST(TMixture, ZeroUncertaintyStaysZero) {
  EXPECT_EQ(stated_uncertainty({{0, 0.5}, {0, 0.5}}, 16).u, 0);
}

// Draws of the mixture: a t of 16 degrees of freedom, its scale 1 in three of four cases and 4 in the fourth.
TEST(TMixture, HoldsWhatItSaysOfTheMixture) {
  const StatedU stated = stated_uncertainty({{1, 0.75}, {4, 0.25}}, 16);
  EXPECT_LT(stated.dof, 6);
  Rng rng(4);
  const int trials = 40000;
  int inner = 0, outer = 0;
  for (int i = 0; i < trials; ++i) {
    double chi = 0;
    for (int k = 0; k < 16; ++k) chi += std::pow(rng.normal(), 2);
    const double draw = (rng.uniform() < 0.25 ? 4 : 1) * rng.normal() / std::sqrt(chi / 16);
    inner += std::abs(draw) <= t_factor(0.6827, stated.dof) * stated.u;
    outer += std::abs(draw) <= t_factor(0.95, stated.dof) * stated.u;
  }
  EXPECT_NEAR(inner / double(trials), 0.6827, 0.015);
  EXPECT_NEAR(outer / double(trials), 0.95, 0.006);
}

}  // namespace
}  // namespace tapersight
