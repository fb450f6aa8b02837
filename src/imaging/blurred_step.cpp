#include "imaging/blurred_step.h"

#include <algorithm>
#include <cmath>

namespace tapersight {
namespace {

double phi_cumulative(double z) {
  return 0.5 * std::erfc(-z * M_SQRT1_2);
}

// Integral of the cumulative normal distribution from minus infinity.
double phi_integral(double z) {
  return z * phi_cumulative(z) + std::exp(-0.5 * z * z) * M_SQRT1_2 * M_2_SQRTPI / 2;
}

}  // namespace

BlurredStep::BlurredStep(double blur_px) : blur_px_(std::max(blur_px, 0.05)) {
  reach_ = std::ceil(5 * blur_px_ + 1);
  const auto size = static_cast<std::size_t>(2 * reach_ * kPerPx) + 1;
  value_.resize(size);
  slope_.resize(size);
  for (std::size_t i = 0; i < size; ++i) {
    const double x = static_cast<double>(i) / kPerPx - reach_;
    const double low = (x - 0.5) / blur_px_;
    const double high = (x + 0.5) / blur_px_;
    value_[i] = static_cast<float>(blur_px_ * (phi_integral(high) - phi_integral(low)));
    slope_[i] = static_cast<float>(phi_cumulative(high) - phi_cumulative(low));
  }
}

}  // namespace tapersight
