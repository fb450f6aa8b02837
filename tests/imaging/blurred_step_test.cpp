// The model of an edge against numerical integration, and the bound of what an edge can tell.
#include "imaging/blurred_step.h"

#include <gtest/gtest.h>

#include <cmath>

namespace tapersight {
namespace {

// The pixel's light by Simpson's rule over the pixel.
double integrated(double x, double blur) {
  const int n = 200;
  double sum = 0;
  for (int i = 0; i <= n; ++i) {
    const double t = x - 0.5 + static_cast<double>(i) / n;
    const double weight = i == 0 || i == n ? 1 : i % 2 == 1 ? 4 : 2;
    sum += weight * 0.5 * std::erfc(-t / blur / M_SQRT2);
  }
  return sum / (3 * n);
}

TEST(BlurredStep, IsTheMeanOfTheBlurredStepOverThePixel) {
  for (const double blur : {0.3, 0.7, 1.0, 2.5})
    for (double x = -6; x <= 6; x += 0.173)
      EXPECT_NEAR(BlurredStep::exact(x, blur).value, integrated(x, blur), 1e-7) << blur << " " << x;
}

TEST(BlurredStep, DerivativesAgreeWithFiniteDifferences) {
  const double h = 1e-5;
  for (const double blur : {0.4, 1.0, 2.0})
    for (double x = -4; x <= 4; x += 0.31) {
      const auto e = BlurredStep::exact(x, blur);
      EXPECT_NEAR(e.slope,
                  (BlurredStep::exact(x + h, blur).value - BlurredStep::exact(x - h, blur).value) / (2 * h),
                  1e-8);
      EXPECT_NEAR(e.by_blur,
                  (BlurredStep::exact(x, blur + h).value - BlurredStep::exact(x, blur - h).value) / (2 * h),
                  1e-8);
    }
}

TEST(BlurredStep, TableStaysWithinItsStatedError) {
  for (const double blur : {0.3, 0.8, 1.7}) {
    const BlurredStep step(blur);
    for (double x = -8; x <= 8; x += 0.0137)
      EXPECT_NEAR(step.value(x), BlurredStep::exact(x, blur).value, 2e-5);
  }
}

// Cramer-Rao bound of an edge's place from one scan line, contrast over noise 50, from the summed Fisher
// information with the place alone unknown (derived from the Fisher information, checked numerically).
TEST(BlurredStep, ReproducesTheBoundOfOneScanLine) {
  const double blur[] = {0.5, 0.7, 1.0, 1.5, 2.0};
  const double bound[] = {0.0287, 0.0328, 0.0384, 0.0465, 0.0535};
  for (int k = 0; k < 5; ++k) {
    double information = 0;
    for (int i = -20; i <= 20; ++i)
      information += std::pow(50 * BlurredStep::exact(i + 0.25, blur[k]).slope, 2);
    EXPECT_NEAR(1 / std::sqrt(information), bound[k], 0.01 * bound[k]) << blur[k];
  }
}

}  // namespace
}  // namespace tapersight
