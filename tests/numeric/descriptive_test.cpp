// Mean, standard deviation and lag-1 autocorrelation against the certified values of the NIST Statistical
// Reference Datasets (StRD), univariate summary statistics, https://www.itl.nist.gov/div898/strd/univ/ . The
// measured sets are NIST's own data (public domain); NumAcc1-4 follow from their definition.
#include "numeric/descriptive.h"

#include <gtest/gtest.h>

#include <cmath>

namespace tapersight {
namespace {

const std::vector<double> kLew = {
    -213, -564, -35,  -15,  141,  115,  -420, -360, 203,  -338, -431, 194,  -220, -513, 154,  -125, -559,
    92,   -21,  -579, -52,  99,   -543, -175, 162,  -457, -346, 204,  -300, -474, 164,  -107, -572, -8,
    83,   -541, -224, 180,  -420, -374, 201,  -236, -531, 83,   27,   -564, -112, 131,  -507, -254, 199,
    -311, -495, 143,  -46,  -579, -90,  136,  -472, -338, 202,  -287, -477, 169,  -124, -568, 17,   48,
    -568, -135, 162,  -430, -422, 172,  -74,  -577, -13,  92,   -534, -243, 194,  -355, -465, 156,  -81,
    -578, -64,  139,  -449, -384, 193,  -198, -538, 110,  -44,  -577, -6,   66,   -552, -164, 161,  -460,
    -344, 205,  -281, -504, 134,  -28,  -576, -118, 156,  -437, -381, 200,  -220, -540, 83,   11,   -568,
    -160, 172,  -414, -408, 188,  -125, -572, -32,  139,  -492, -321, 205,  -262, -504, 142,  -83,  -574,
    0,    48,   -571, -106, 137,  -501, -266, 190,  -391, -406, 194,  -186, -553, 83,   -13,  -577, -49,
    103,  -515, -280, 201,  300,  -506, 131,  -45,  -578, -80,  138,  -462, -361, 201,  -211, -554, 32,
    74,   -533, -235, 187,  -372, -442, 182,  -147, -566, 25,   68,   -535, -244, 194,  -351, -463, 174,
    -125, -570, 15,   72,   -550, -190, 172,  -424, -385, 198,  -218, -536, 96};

const std::vector<double> kLottery = {
    162, 671, 933, 414, 788, 730, 817, 33,  536, 875, 670, 236, 473, 167, 877, 980, 316, 950, 456, 92,
    517, 557, 956, 954, 104, 178, 794, 278, 147, 773, 437, 435, 502, 610, 582, 780, 689, 562, 964, 791,
    28,  97,  848, 281, 858, 538, 660, 972, 671, 613, 867, 448, 738, 966, 139, 636, 847, 659, 754, 243,
    122, 455, 195, 968, 793, 59,  730, 361, 574, 522, 97,  762, 431, 158, 429, 414, 22,  629, 788, 999,
    187, 215, 810, 782, 47,  34,  108, 986, 25,  644, 829, 630, 315, 567, 919, 331, 207, 412, 242, 607,
    668, 944, 749, 168, 864, 442, 533, 805, 372, 63,  458, 777, 416, 340, 436, 140, 919, 350, 510, 572,
    905, 900, 85,  389, 473, 758, 444, 169, 625, 692, 140, 897, 672, 288, 312, 860, 724, 226, 884, 508,
    976, 741, 476, 417, 831, 15,  318, 432, 241, 114, 799, 955, 833, 358, 935, 146, 630, 830, 440, 642,
    356, 373, 271, 715, 367, 393, 190, 669, 8,   861, 108, 795, 269, 590, 326, 866, 64,  523, 862, 840,
    219, 382, 998, 4,   628, 305, 747, 247, 34,  747, 729, 645, 856, 974, 24,  568, 24,  694, 608, 480,
    410, 729, 947, 293, 53,  930, 223, 203, 677, 227, 62,  455, 387, 318, 562, 242, 428, 968};

const std::vector<double> kMavro = {
    2.00180, 2.00170, 2.00180, 2.00190, 2.00180, 2.00170, 2.00150, 2.00140, 2.00150, 2.00150,
    2.00170, 2.00180, 2.00180, 2.00190, 2.00190, 2.00210, 2.00200, 2.00160, 2.00140, 2.00130,
    2.00130, 2.00150, 2.00150, 2.00160, 2.00150, 2.00140, 2.00130, 2.00140, 2.00150, 2.00140,
    2.00150, 2.00160, 2.00150, 2.00160, 2.00190, 2.00200, 2.00200, 2.00210, 2.00220, 2.00230,
    2.00240, 2.00250, 2.00270, 2.00260, 2.00260, 2.00260, 2.00270, 2.00260, 2.00250, 2.00240};

const std::vector<double> kMichelso = {
    299.85, 299.74, 299.90, 300.07, 299.93, 299.85, 299.95, 299.98, 299.98, 299.88, 300.00, 299.98, 299.93,
    299.65, 299.76, 299.81, 300.00, 300.00, 299.96, 299.96, 299.96, 299.94, 299.96, 299.94, 299.88, 299.80,
    299.85, 299.88, 299.90, 299.84, 299.83, 299.79, 299.81, 299.88, 299.88, 299.83, 299.80, 299.79, 299.76,
    299.80, 299.88, 299.88, 299.88, 299.86, 299.72, 299.72, 299.62, 299.86, 299.97, 299.95, 299.88, 299.91,
    299.85, 299.87, 299.84, 299.84, 299.85, 299.84, 299.84, 299.84, 299.89, 299.81, 299.81, 299.82, 299.80,
    299.77, 299.76, 299.74, 299.75, 299.76, 299.91, 299.92, 299.89, 299.86, 299.88, 299.72, 299.84, 299.85,
    299.85, 299.78, 299.89, 299.84, 299.78, 299.81, 299.76, 299.81, 299.79, 299.81, 299.82, 299.85, 299.87,
    299.87, 299.81, 299.74, 299.81, 299.94, 299.95, 299.80, 299.81, 299.87};

// First value, then 500 pairs of the two others.
std::vector<double> num_acc(double first, double low, double high) {
  std::vector<double> values = {first};
  for (int i = 0; i < 500; ++i) {
    values.push_back(low);
    values.push_back(high);
  }
  return values;
}

// Correct digits, capped at 15 (the certified values carry no more).
double log_relative_error(double found, double certified) {
  const double relative = std::abs(found - certified) / std::abs(certified);
  return relative > 0 ? std::min(15.0, -std::log10(relative)) : 15.0;
}

struct Certified {
  const char* name;
  std::vector<double> data;
  double mean, sd, lag_1;
  double sd_digits;  // what the doubles of the data can carry: 15 less the digits that the mean uses up
};

TEST(Descriptive, ReproducesTheCertifiedValuesOfNistStrd) {
  const Certified sets[] = {
      {"Lew", kLew, -177.435000000000, 277.332168044316, -0.307304800605679, 14},
      {"Lottery", kLottery, 518.958715596330, 291.699727470969, -0.120948622967393, 14},
      {"Mavro", kMavro, 2.00185600000000, 0.000429123454003053, 0.937989183438248, 11.5},
      {"Michelso", kMichelso, 299.852400000000, 0.0790105478190518, 0.535199668621283, 12.5},
      {"NumAcc1", {10000001, 10000003, 10000002}, 10000002, 1, -0.5, 15},
      {"NumAcc2", num_acc(1.2, 1.1, 1.3), 1.2, 0.1, -0.999, 14},
      {"NumAcc3", num_acc(1000000.2, 1000000.1, 1000000.3), 1000000.2, 0.1, -0.999, 9},
      {"NumAcc4", num_acc(10000000.2, 10000000.1, 10000000.3), 10000000.2, 0.1, -0.999, 8}};
  for (const Certified& set : sets) {
    EXPECT_GE(log_relative_error(mean(set.data), set.mean), 14.5) << set.name;
    EXPECT_GE(log_relative_error(standard_deviation(set.data), set.sd), set.sd_digits) << set.name;
    EXPECT_GE(log_relative_error(autocorrelation(set.data, 1), set.lag_1), set.sd_digits - 1) << set.name;
  }
}

TEST(Descriptive, ACompensatedSumKeepsWhatAPlainOneLoses) {
  EXPECT_DOUBLE_EQ(compensated_sum({1e16, 1, -1e16, 1}), 2) << "a plain sum gives 1";
  EXPECT_DOUBLE_EQ(compensated_sum({}), 0);
}

// Near 1e16 a double counts in twos, so the mean itself is off by 2/3; the sum of squares is not.
TEST(Descriptive, TheSumOfSquaresDoesNotSufferFromARoundedMean) {
  EXPECT_DOUBLE_EQ(sum_of_squares({1e16, 1e16 + 2, 1e16 + 2}), 8.0 / 3);
  EXPECT_DOUBLE_EQ(standard_deviation({1e16, 1e16 + 2, 1e16 + 2}), std::sqrt(4.0 / 3));
}

TEST(Descriptive, MedianAndItsDeviationIgnoreOneWildValue) {
  EXPECT_DOUBLE_EQ(median({3, 1, 2}), 2);
  EXPECT_DOUBLE_EQ(median({4, 1, 3, 2}), 2.5);
  EXPECT_DOUBLE_EQ(median({7}), 7);
  EXPECT_DOUBLE_EQ(median_absolute_deviation({1, 2, 3, 4, 1000}), 1);
}

TEST(Descriptive, AutocorrelationAtLagZeroIsOneAndASawtoothReturnsAtItsPeriod) {
  std::vector<double> saw;
  saw.reserve(400);
  for (int i = 0; i < 400; ++i) saw.push_back(i % 4);
  EXPECT_DOUBLE_EQ(autocorrelation(saw, 0), 1);
  EXPECT_NEAR(autocorrelation(saw, 4), 0.99, 1e-12) << "396 of 400 products are left";
}

// Of a mean the jackknife is its usual standard uncertainty, s / sqrt(n), exactly (Efron and Stein 1981, from
// memory).
TEST(Descriptive, JackknifeOfAMeanIsItsStandardUncertainty) {
  const std::vector<double> data = {0.2, 1.7, -0.4, 3.1, 0.9, 2.2};
  const auto n = static_cast<double>(data.size());
  std::vector<double> without_each;
  for (const double left_out : data) without_each.push_back((n * mean(data) - left_out) / (n - 1));
  EXPECT_NEAR(jackknife_u(without_each), standard_deviation(data) / std::sqrt(n), 1e-14);
  EXPECT_EQ(jackknife_u({1.0}), 0);
}

}  // namespace
}  // namespace tapersight
