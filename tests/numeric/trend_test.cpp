// The trend's stated uncertainty must cover the truth as often as it says, for every kind of correlated
// roughness.
#include "numeric/trend.h"

#include <gtest/gtest.h>

#include <cmath>
#include <ostream>
#include <string>

#include "base/rng.h"
#include "numeric/student_t.h"

namespace tapersight {
namespace {

constexpr double kSpacing = 0.0847;  // mm: scan lines at 300 dpi

struct Noise {
  const char* name;
  double white;        // standard deviation, mm
  double correlated;   // standard deviation of the AR(1) part, mm
  double length_mm;    // its correlation length
  int times_smoothed;  // 1: exponential correlation; 2: the AR(1) filter run twice, a smoother process
};

std::vector<TrendSample> series(Rng& rng, const Noise& noise, double length_mm, double slope, bool gaps) {
  const int n = static_cast<int>(length_mm / kSpacing);
  const double phi = noise.length_mm > 0 ? std::exp(-kSpacing / noise.length_mm) : 0;
  double a = rng.normal();
  double b = 0;
  for (int warm_up = 0; warm_up < 2000; ++warm_up) {
    a = phi * a + std::sqrt(1 - phi * phi) * rng.normal();
    b = phi * b + (1 - phi) * a;
  }
  // The variance of the twice filtered process relative to the once filtered one.
  const double twice = std::sqrt((1 - phi) * (1 - phi) * (1 + phi * phi) / std::pow(1 - phi * phi, 2));
  std::vector<TrendSample> samples;
  for (int i = 0; i < n; ++i) {
    a = phi * a + std::sqrt(1 - phi * phi) * rng.normal();
    b = phi * b + (1 - phi) * a;
    const double rough = noise.times_smoothed == 2 ? b / twice : a;
    const double x = i * kSpacing;
    if (gaps && std::fmod(x, 40) < 6) continue;
    samples.push_back({x, 5 + slope * x + noise.white * rng.normal() + noise.correlated * rough});
  }
  return samples;
}

void PrintTo(const Noise& noise, std::ostream* out) {
  *out << noise.name;
}

class TrendCoverage : public ::testing::TestWithParam<Noise> {};

TEST_P(TrendCoverage, NinetyFivePercentIntervalCoversTheSlopeAsOftenAsItSays) {
  const Noise noise = GetParam();
  Rng rng(1234);
  const int trials = 600;
  int covered_slope = 0;
  int covered_bow = 0;
  for (int k = 0; k < trials; ++k) {
    const Trend t = fit_trend(series(rng, noise, 190, 0.003, k % 2 == 1));
    const double factor = t_factor(0.95, t.dof);
    covered_slope += std::abs(t.slope - 0.003) <= factor * t.u_slope;
    covered_bow += std::abs(t.bow()) <= factor * t.u_bow();
  }
  // 600 trials: a standard deviation of 0.9 %; 2.5 of them around 95 %.
  EXPECT_NEAR(covered_slope / double(trials), 0.95, 0.023) << noise.name;
  EXPECT_NEAR(covered_bow / double(trials), 0.95, 0.025) << noise.name;
}

INSTANTIATE_TEST_SUITE_P(Roughness, TrendCoverage,
                         ::testing::Values(Noise{"white", 0.01, 0, 0, 1},
                                           Noise{"short", 0.001, 0.005, 0.5, 1},
                                           Noise{"long", 0.002, 0.03, 2.0, 1},
                                           Noise{"smooth and long", 0.002, 0.03, 1.0, 2},
                                           Noise{"mostly white", 0.02, 0.01, 1.5, 1}),
                         [](const auto& parameter) {
                           std::string name = parameter.param.name;
                           for (char& c : name)
                             if (c == ' ') c = '_';
                           return name;
                         });

TEST(Trend, RecoversAnExactLineAndBow) {
  std::vector<TrendSample> samples;
  for (int i = 0; i <= 2000; ++i) {
    const double x = 0.1 * i;
    const double s = (x - 100) / 100;
    samples.push_back({x, 3 - 0.002 * (x - 100) + 0.05 * (1 - s * s)});
  }
  const Trend t = fit_trend(samples);
  EXPECT_NEAR(t.slope, -0.002, 1e-7);
  EXPECT_NEAR(t.bow(), 0.05, 1e-4);  // binning rounds the parabola a little
  EXPECT_NEAR(t.at(100), 3 + 0.05 * 2 / 3, 1e-4);
}

TEST(Trend, OrdinaryStandardErrorWouldBeFarTooSmallOnRoughEdges) {
  // What the cosine estimator is for: correlation of 2 mm makes sigma / sqrt(n) too small several times over.
  Rng rng(5);
  const Trend t = fit_trend(series(rng, {"", 0.001, 0.03, 2.0, 1}, 190, 0, false));
  const double n = 190 / kSpacing;
  const double ordinary = t.rms * std::sqrt(12 / n) / 190;
  EXPECT_GT(t.u_slope, 3 * ordinary);
}

}  // namespace
}  // namespace tapersight
