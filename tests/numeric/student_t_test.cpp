// Coverage factors against the GUM's table G.2 (= NIST TN 1297, table B.1).
#include "numeric/student_t.h"

#include <gtest/gtest.h>

#include <cmath>

namespace tapersight {
namespace {

// NIST TN 1297 (1994), appendix B, table B.1; the same numbers stand in JCGM 100:2008, table G.2.
TEST(StudentT, ReproducesGumTableG2) {
  // The columns 68.27, 95.45 and 99.73 % stand for one, two and three standard deviations of a Gaussian.
  const auto sigmas = [](double k) { return std::erf(k / std::sqrt(2.0)); };
  const double coverage[] = {sigmas(1), 0.90, 0.95, sigmas(2), 0.99, sigmas(3)};
  struct Row {
    double dof;
    double t[6];
  };
  const Row rows[] = {{1, {1.84, 6.31, 12.71, 13.97, 63.66, 235.80}},
                      {2, {1.32, 2.92, 4.30, 4.53, 9.92, 19.21}},
                      {3, {1.20, 2.35, 3.18, 3.31, 5.84, 9.22}},
                      {4, {1.14, 2.13, 2.78, 2.87, 4.60, 6.62}},
                      {5, {1.11, 2.02, 2.57, 2.65, 4.03, 5.51}},
                      {10, {1.05, 1.81, 2.23, 2.28, 3.17, 3.96}},
                      {16, {1.03, 1.75, 2.12, 2.17, 2.92, 3.54}},
                      {20, {1.03, 1.72, 2.09, 2.13, 2.85, 3.42}},
                      {50, {1.01, 1.68, 2.01, 2.05, 2.68, 3.16}},
                      {kInfiniteDof, {1.000, 1.645, 1.960, 2.000, 2.576, 3.000}}};
  for (const Row& row : rows)
    for (int i = 0; i < 6; ++i)
      EXPECT_NEAR(t_factor(coverage[i], row.dof), row.t[i], 0.0051) << row.dof << " dof, column " << i;
}

// JCGM 100:2008, example G.4.1: relative uncertainties 0.25, 0.57, 0.82 % with 9, 4, 14 degrees of freedom.
TEST(StudentT, CombinesByWelchSatterthwaiteAsInGumG41) {
  const CombinedUncertainty sum = combine({{0.25, 9}, {0.57, 4}, {0.82, 14}});
  EXPECT_NEAR(sum.u, 1.03, 0.005);
  EXPECT_NEAR(sum.dof, 19.0, 0.05);
  EXPECT_NEAR(t_factor(0.95, 19) * sum.u, 2.2, 0.05);
}

TEST(StudentT, PartsWithInfiniteDofLeaveTheEffectiveDofInfinite) {
  const CombinedUncertainty sum = combine({{3, kInfiniteDof}, {4, kInfiniteDof}});
  EXPECT_DOUBLE_EQ(sum.u, 5);
  EXPECT_EQ(sum.dof, kInfiniteDof);
}

}  // namespace
}  // namespace tapersight
