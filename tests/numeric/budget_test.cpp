// The GUM's worked examples H.1 (end gauge) and H.2 (correlated inputs), from the raw figures to the result.
// Source: JCGM 100:2008, annex H; the numbers are the ones printed there.
#include "numeric/budget.h"

#include <gtest/gtest.h>

#include <cmath>

namespace tapersight {
namespace {

// --- H.1: length of a nominally 50 mm end gauge, in nm, against a standard of the same length
// ------------------

double end_gauge_length(const Eigen::VectorXd& x) {
  const double standard = x[0], difference = x[1], expansion = x[2], offset = x[3], d_expansion = x[4],
               d_temp = x[5];
  return standard + difference - standard * (d_expansion * offset + expansion * d_temp);
}

// H.1.3.2: 13 nm pooled from 25 observations, five readings; comparator certificates +-0.01 um (6 readings,
// 95 %) and 0.02 um (three sigma level, relative uncertainty 25 %).
CombinedUncertainty comparator_difference() {
  return combine({{13 / std::sqrt(5.0), 24}, {10 / t_factor(0.95, 5), 5}, {20.0 / 3, 8}});
}

// H.1.3.4: +-0.5 degC cycle (U-shaped, so half-width over root 2), mean bath temperature known to 0.2 degC.
CombinedUncertainty bath_offset() {
  return combine({{0.2, kInfiniteDof}, {0.5 / std::sqrt(2.0), kInfiniteDof}});
}

std::vector<InputEstimate> end_gauge_inputs() {
  const CombinedUncertainty d = comparator_difference();
  const double root3 = std::sqrt(3.0);
  return {
      {"standard", 50000623, 75.0 / 3, 18},  // certificate: 0.075 um, three times the standard uncertainty
      {"difference", 215, d.u, d.dof},
      {"expansion of the standard", 11.5e-6, 2e-6 / root3, kInfiniteDof},
      {"bath off 20 degC", -0.1, bath_offset().u, kInfiniteDof},
      {"difference of expansions", 0, 1e-6 / root3, 50},
      {"difference of temperatures", 0, 0.05 / root3, 2}};
}

TEST(Budget, ReproducesGumH1FromTheCertificatesToTheExpandedUncertainty) {
  const CombinedUncertainty d = comparator_difference();
  EXPECT_NEAR(d.u, 9.7, 0.05) << "nm, H.1.3.2";
  EXPECT_NEAR(d.dof, 25.6, 0.5) << "H.1.6; printed from rounded parts";
  EXPECT_NEAR(bath_offset().u, 0.41, 0.005) << "degC, H.1.3.4";

  const PropagatedBudget budget = uncertainty_budget(end_gauge_length, end_gauge_inputs());
  EXPECT_NEAR(budget.value, 50000838, 0.5) << "nm, H.1.5";
  const double table_h1[] = {25, 9.7, 0, 0, 2.9, 16.6};
  for (std::size_t i = 0; i < 6; ++i)
    EXPECT_NEAR(budget.rows[i].contribution, table_h1[i], 0.1) << budget.rows[i].name << ", nm, table H.1";
  EXPECT_NEAR(budget.combined.u, 32, 0.5) << "nm";
  EXPECT_NEAR(budget.combined.dof, 16.7, 0.1) << "H.1.6 prints 16.7";
  EXPECT_NEAR(t_factor(0.99, 16) * budget.combined.u, 93, 0.7) << "nm; t(16) = 2.92";
}

// --- H.2: resistance, reactance and impedance from voltage, current and phase observed together
// ----------------

TEST(Budget, ReproducesGumH2WithCorrelatedInputs) {
  Eigen::MatrixXd observations(5, 3);     // table H.2: V, I in mA, phase in rad
  observations << 5.007, 19.663, 1.0456,  //
      4.994, 19.639, 1.0438,              //
      5.005, 19.640, 1.0468,              //
      4.990, 19.685, 1.0428,              //
      4.999, 19.678, 1.0433;
  const JointMeans in = joint_means(observations);
  EXPECT_NEAR(in.mean[0], 4.9990, 0.00005) << "V";
  EXPECT_NEAR(in.mean[1], 19.6610, 0.00005) << "mA";
  EXPECT_NEAR(in.mean[2], 1.04446, 0.000005) << "rad";
  const auto u = [](const Eigen::MatrixXd& v, int i) { return std::sqrt(v(i, i)); };
  const auto r = [&u](const Eigen::MatrixXd& v, int i, int j) { return v(i, j) / (u(v, i) * u(v, j)); };
  EXPECT_NEAR(u(in.covariance, 0), 0.0032, 0.00005);
  EXPECT_NEAR(u(in.covariance, 1), 0.0095, 0.00005);
  EXPECT_NEAR(u(in.covariance, 2), 0.00075, 0.000005);
  EXPECT_NEAR(r(in.covariance, 0, 1), -0.36, 0.005);
  EXPECT_NEAR(r(in.covariance, 0, 2), 0.86, 0.005);
  EXPECT_NEAR(r(in.covariance, 1, 2), -0.65, 0.005);

  const double impedance = in.mean[0] / (in.mean[1] * 1e-3);
  std::vector<InputEstimate> inputs;
  inputs.reserve(3);
  for (int i = 0; i < 3; ++i) inputs.push_back({"", in.mean[i], u(in.covariance, i), 4});
  Eigen::MatrixXd jacobian(3, 3);
  jacobian.row(0) = sensitivities([](const auto& x) { return 1e3 * x[0] / x[1] * std::cos(x[2]); }, inputs);
  jacobian.row(1) = sensitivities([](const auto& x) { return 1e3 * x[0] / x[1] * std::sin(x[2]); }, inputs);
  jacobian.row(2) = sensitivities([](const auto& x) { return 1e3 * x[0] / x[1]; }, inputs);
  const Eigen::MatrixXd out = propagated_covariance(jacobian, in.covariance);
  // Table H.4, ohm.
  EXPECT_NEAR(impedance * std::cos(in.mean[2]), 127.732, 0.0005);
  EXPECT_NEAR(impedance * std::sin(in.mean[2]), 219.847, 0.0005);
  EXPECT_NEAR(impedance, 254.260, 0.0005);
  EXPECT_NEAR(u(out, 0), 0.071, 0.0005);
  EXPECT_NEAR(u(out, 1), 0.295, 0.0006) << "JCGM 100 prints 0.295";
  EXPECT_NEAR(u(out, 2), 0.236, 0.0005);
  EXPECT_NEAR(r(out, 0, 1), -0.588, 0.0005);
  EXPECT_NEAR(r(out, 0, 2), -0.485, 0.0005);
  EXPECT_NEAR(r(out, 1, 2), 0.993, 0.0005);
}

TEST(Budget, AnInputKnownExactlyContributesNothing) {
  const PropagatedBudget budget =
      uncertainty_budget([](const auto& x) { return x[0] / x[1]; },
                         {{"difference", 1, 0.1, 4}, {"distance", 2, 0, kInfiniteDof}});
  EXPECT_DOUBLE_EQ(budget.value, 0.5);
  EXPECT_DOUBLE_EQ(budget.rows[1].contribution, 0);
  EXPECT_DOUBLE_EQ(budget.combined.u, 0.05);
  EXPECT_DOUBLE_EQ(budget.combined.dof, 4);
}

}  // namespace
}  // namespace tapersight
