// The linear fit against certified reference data (NIST StRD, linear regression) and the GUM's calibration
// example.
#include "numeric/linear_least_squares.h"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "base/rng.h"

namespace tapersight {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

// Relative agreement to `digits` decimal digits (the "log relative error" by which NIST compares programs).
void expect_digits(double found, double certified, double digits, const char* what) {
  const double scale = certified == 0 ? 1 : std::fabs(certified);
  EXPECT_LT(std::fabs(found - certified), std::pow(10.0, -digits) * scale) << what << ": " << found;
}

struct Xy {
  double y, x;
};

// NIST StRD "Norris" (36 pairs, ozone monitors), https://www.itl.nist.gov/div898/strd/; certified values with
// it.
TEST(LinearLeastSquares, NistNorris) {
  const std::vector<Xy> data{
      {0.1, 0.2},     {338.8, 337.4}, {118.1, 118.2}, {888.0, 884.6}, {9.2, 10.1},    {228.1, 226.5},
      {668.5, 666.3}, {998.5, 996.3}, {449.1, 448.6}, {778.9, 777.0}, {559.2, 558.2}, {0.3, 0.4},
      {0.1, 0.6},     {778.1, 775.5}, {668.8, 666.9}, {339.3, 338.0}, {448.9, 447.5}, {10.8, 11.6},
      {557.7, 556.0}, {228.3, 228.1}, {998.0, 995.8}, {888.8, 887.6}, {119.6, 120.2}, {0.3, 0.3},
      {0.6, 0.3},     {557.6, 556.8}, {339.3, 339.1}, {888.0, 887.2}, {998.5, 999.0}, {778.9, 779.0},
      {10.2, 11.1},   {117.6, 118.3}, {228.9, 229.2}, {668.4, 669.1}, {449.2, 448.9}, {0.2, 0.5}};
  VectorXd x(data.size());
  VectorXd y(data.size());
  for (std::size_t i = 0; i < data.size(); ++i) {
    x(static_cast<Eigen::Index>(i)) = data[i].x;
    y(static_cast<Eigen::Index>(i)) = data[i].y;
  }
  const LinearFit fit = *fit_line(x, y);
  expect_digits(fit.coefficients(0), -0.262323073774029, 11, "B0");
  expect_digits(fit.coefficients(1), 1.00211681802045, 14, "B1");
  expect_digits(fit.u(0), 0.232818234301152, 12, "sd of B0");
  expect_digits(fit.u(1), 0.429796848199937e-3, 12, "sd of B1");
  expect_digits(fit.residual_sd, 0.884796396144373, 12, "residual sd");
  EXPECT_EQ(fit.dof, 34);
}

// NIST StRD "Longley" (16 years, six nearly collinear regressors). The data are from memory; the certified
// values (read from NIST) come out to 9 digits only if every datum is right.
TEST(LinearLeastSquares, NistLongley) {
  const double data[16][7] = {
      {60323, 83.0, 234289, 2356, 1590, 107608, 1947},  {61122, 88.5, 259426, 2325, 1456, 108632, 1948},
      {60171, 88.2, 258054, 3682, 1616, 109773, 1949},  {61187, 89.5, 284599, 3351, 1650, 110929, 1950},
      {63221, 96.2, 328975, 2099, 3099, 112075, 1951},  {63639, 98.1, 346999, 1932, 3594, 113270, 1952},
      {64989, 99.0, 365385, 1870, 3547, 115094, 1953},  {63761, 100.0, 363112, 3578, 3350, 116219, 1954},
      {66019, 101.2, 397469, 2904, 3048, 117388, 1955}, {67857, 104.6, 419180, 2822, 2857, 118734, 1956},
      {68169, 108.4, 442769, 2936, 2798, 120445, 1957}, {66513, 110.8, 444546, 4681, 2637, 121950, 1958},
      {68655, 112.6, 482704, 3813, 2552, 123366, 1959}, {69564, 114.2, 502601, 3931, 2514, 125368, 1960},
      {69331, 115.7, 518173, 4806, 2572, 127852, 1961}, {70551, 116.9, 554894, 4007, 2827, 130081, 1962}};
  MatrixXd design(16, 7);
  VectorXd y(16);
  for (int i = 0; i < 16; ++i) {
    y(i) = data[i][0];
    design(i, 0) = 1;
    for (int j = 1; j < 7; ++j) design(i, j) = data[i][j];
  }
  const LinearFit fit = *fit_linear(design, y);
  const double certified[] = {-3482258.63459582, 15.0618722713733,    -0.0358191792925910, -2.02022980381683,
                              -1.03322686717359, -0.0511041056535807, 1829.15146461355};
  const double certified_sd[] = {890420.383607373,  84.9149257747669,  0.0334910077722432, 0.488399681651699,
                                 0.214274163161675, 0.226073200069370, 455.478499142212};
  for (int j = 0; j < 7; ++j) {
    expect_digits(fit.coefficients(j), certified[j], 11, "coefficient");
    expect_digits(fit.u(j), certified_sd[j], 11, "its sd");
  }
  expect_digits(fit.residual_sd, 304.854073561965, 11, "residual sd");
}

MatrixXd powers_to_five() {
  MatrixXd design(21, 6);
  for (int i = 0; i <= 20; ++i)
    for (int j = 0; j < 6; ++j) design(i, j) = std::pow(i, j);
  return design;
}

// NIST StRD "Wampler1": y = 1 + x + ... + x^5 for x = 0..20; all coefficients 1, all sds 0.
TEST(LinearLeastSquares, NistWampler1) {
  const MatrixXd design = powers_to_five();
  const LinearFit fit = *fit_linear(design, design.rowwise().sum());
  for (int j = 0; j < 6; ++j) {
    expect_digits(fit.coefficients(j), 1, 9, "coefficient");
    EXPECT_LT(fit.u(j), 1e-9);
  }
  EXPECT_LT(fit.residual_sd, 1e-8);  // beside values to 3 million
}

// NIST StRD "Wampler2": y = 1 + 0.1 x + 0.01 x^2 + ... + 1e-5 x^5, given to 5 decimals, which is exact.
TEST(LinearLeastSquares, NistWampler2) {
  const MatrixXd design = powers_to_five();
  VectorXd y(21);
  for (int i = 0; i <= 20; ++i) {
    double scaled = 0;  // 1e5 * y, a whole number
    for (int j = 0; j < 6; ++j) scaled += std::pow(10, 5 - j) * std::pow(i, j);
    y(i) = scaled / 1e5;
  }
  const LinearFit fit = *fit_linear(design, y);
  for (int j = 0; j < 6; ++j) expect_digits(fit.coefficients(j), std::pow(10.0, -j), 9, "coefficient");
}

// NIST StRD "Wampler3": Wampler1 with large disturbances. Data and certified values from memory; the
// certified coefficients are all 1, which the data reproduce only if every one of them is right.
TEST(LinearLeastSquares, NistWampler3) {
  const double data[] = {760,    -2042,  2111,    -1684,   3888,    1858,    11379,
                         17560,  39287,  64382,   113159,  175108,  273291,  400186,
                         581243, 811568, 1121004, 1506550, 2002767, 2611612, 3369180};
  const LinearFit fit = *fit_linear(powers_to_five(), Eigen::Map<const VectorXd>(data, 21));
  const double certified_sd[] = {2152.32624678170, 2363.55173469681, 779.343524331583,
                                 101.475507550350, 5.64566512170752, 0.112324854679312};
  for (int j = 0; j < 6; ++j) {
    expect_digits(fit.coefficients(j), 1, 9, "coefficient");
    expect_digits(fit.u(j), certified_sd[j], 9, "its sd");
  }
  expect_digits(fit.residual_sd, 2360.14502379268, 11, "residual sd");
}

// JCGM 100:2008, H.3: the calibration of a thermometer. Data and printed digits from memory; the remaining
// digits recomputed for this project.
TEST(LinearLeastSquares, GumH3Thermometer) {
  const double t[] = {21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511};
  const double b[] = {-.171, -.169, -.166, -.159, -.164, -.165, -.156, -.157, -.159, -.161, -.160};
  const LinearFit fit =
      *fit_line((Eigen::Map<const VectorXd>(t, 11).array() - 20).matrix(), Eigen::Map<const VectorXd>(b, 11));
  EXPECT_NEAR(fit.coefficients(0), -0.17120379, 5e-9);
  EXPECT_NEAR(fit.u(0), 0.00287760, 5e-9);
  EXPECT_NEAR(fit.coefficients(1), 0.00218270, 5e-9);
  EXPECT_NEAR(fit.u(1), 0.000667939, 5e-10);
  EXPECT_NEAR(fit.correlation(0, 1), -0.930430, 5e-7);
  EXPECT_NEAR(fit.residual_sd, 0.00349756, 5e-9);
  // The correction at 30 degrees and its uncertainty, H.3.4.
  const Eigen::Vector2d at_30(1, 10);
  EXPECT_NEAR(at_30.dot(fit.coefficients), -0.14937681, 5e-9);
  EXPECT_NEAR(std::sqrt(at_30.dot(fit.covariance * at_30)), 0.00413860, 5e-9);
}

// A weight of 2 is the same as the point taken twice; absolute weights leave the residuals out of the
// covariance.
TEST(LinearLeastSquares, WeightsCountPoints) {
  VectorXd x(4), y(4), w(4), x2(6), y2(6);
  x << 0, 1, 2, 5;
  y << 0.1, 0.9, 2.3, 4.8;
  w << 1, 2, 1, 2;
  x2 << 0, 1, 1, 2, 5, 5;
  y2 << 0.1, 0.9, 0.9, 2.3, 4.8, 4.8;
  const LinearFit weighted = *fit_line(x, y, w);
  const LinearFit doubled = *fit_line(x2, y2);
  EXPECT_NEAR((weighted.coefficients - doubled.coefficients).norm(), 0, 1e-14);
  EXPECT_NEAR(weighted.residual_sd * std::sqrt(2.0), doubled.residual_sd * std::sqrt(4.0), 1e-14);
  const LinearFit absolute = *fit_line(x2, y2, VectorXd::Constant(6, 4.0), {WeightMeaning::kAbsolute, 1e-10});
  // var(slope) = sigma^2 / sum (x - mean)^2 with sigma = 1/2
  EXPECT_NEAR(absolute.u(1), 0.5 / std::sqrt((x2.array() - x2.mean()).square().sum()), 1e-14);
}

// Monte Carlo: the stated covariance is the scatter of refitted coefficients.
TEST(LinearLeastSquares, CovarianceIsTheScatterOfRefits) {
  Rng rng(31);
  const int n = 12;
  VectorXd x(n), weights(n);
  for (int i = 0; i < n; ++i) {
    x(i) = 100 + rng.uniform(0, 10);
    weights(i) = rng.uniform(0.2, 5);
  }
  const LinearFitOptions absolute{WeightMeaning::kAbsolute, 1e-10};
  Eigen::Matrix2d scatter = Eigen::Matrix2d::Zero();
  const int trials = 20000;
  for (int trial = 0; trial < trials; ++trial) {
    VectorXd y(n);
    for (int i = 0; i < n; ++i) y(i) = 3 - 0.25 * x(i) + rng.normal() / std::sqrt(weights(i));
    const Eigen::Vector2d off = fit_line(x, y, weights, absolute)->coefficients - Eigen::Vector2d(3, -0.25);
    scatter += off * off.transpose() / trials;
  }
  const LinearFit stated = *fit_line(x, VectorXd::Zero(n), weights, absolute);
  EXPECT_NEAR(scatter(0, 0) / stated.covariance(0, 0), 1, 0.04);  // 4 standard errors of a variance
  EXPECT_NEAR(scatter(1, 1) / stated.covariance(1, 1), 1, 0.04);
  EXPECT_NEAR(scatter(0, 1) / stated.covariance(0, 1), 1, 0.04);
}

// The same line seen from 1e8 away. Residuals then carry 1e8 times the rounding of an extended double, 5e-20;
// uncentred normal equations would keep no digit at all.
TEST(LinearLeastSquares, AFarOriginCostsFewDigits) {
  VectorXd x(5), y(5);
  x << 0, 1, 2, 3, 4;
  y << 1, 3, 5.5, 7, 8.5;
  const LinearFit near = *fit_line(x, y);
  const LinearFit far = *fit_line((x.array() + 1e8).matrix(), y);
  expect_digits(far.coefficients(1), near.coefficients(1), 11, "slope");
  expect_digits(far.u(1), near.u(1), 11, "its sd");
}

TEST(LinearLeastSquares, ExactFitHasNoResiduals) {
  VectorXd x(2), y(2);
  x << 1, 3;
  y << 2, 8;
  const LinearFit fit = *fit_line(x, y);
  EXPECT_NEAR(fit.coefficients(0), -1, 1e-14);
  EXPECT_NEAR(fit.coefficients(1), 3, 1e-14);
  EXPECT_EQ(fit.dof, 0);
  EXPECT_EQ(fit.residual_sd, 0);
}

TEST(LinearLeastSquares, RefusesWhatCannotBeFitted) {
  const auto code = [](const auto& result) {
    return result.ok() ? std::string("ok") : result.failure().code;
  };
  VectorXd x(3), y(3);
  x << 1, 2, 3;
  y << 1, 2, 4;
  EXPECT_EQ(code(fit_line(x.head(1), y.head(1))), "too-few-points");
  EXPECT_EQ(code(fit_line(VectorXd::Constant(3, 7.0), y)), "rank-deficient");
  EXPECT_EQ(code(fit_line(VectorXd::Zero(3), y)), "rank-deficient");
  MatrixXd twice(3, 3);
  twice << 1, 1, 2, 1, 2, 4, 1, 3, 6;
  EXPECT_EQ(code(fit_linear(twice, y)), "rank-deficient");
  VectorXd broken = y;
  broken(1) = std::nan("");
  EXPECT_EQ(code(fit_line(x, broken)), "not-finite");
  VectorXd weights = VectorXd::Ones(3);
  weights(2) = 0;
  EXPECT_EQ(code(fit_line(x, y, weights)), "bad-weights");
  EXPECT_EQ(code(fit_line(x, y, VectorXd::Ones(2))), "bad-weights");
}

}  // namespace
}  // namespace tapersight
