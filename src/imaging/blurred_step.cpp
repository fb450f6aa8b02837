#include "imaging/blurred_step.h"

#include <algorithm>
#include <cmath>

namespace tapersight {
namespace {

double phi_cumulative(double z) {
  return 0.5 * std::erfc(-z * M_SQRT1_2);
}

double phi_density(double z) {
  return std::exp(-0.5 * z * z) * M_SQRT1_2 * M_2_SQRTPI / 2;
}

}  // namespace

BlurredStep::BlurredStep(double blur_px) : blur_px_(std::max(blur_px, 0.05)) {
  reach_ = std::ceil(5 * blur_px_ + 1);
  const auto size = static_cast<std::size_t>(2 * reach_ * kPerPx) + 1;
  value_.resize(size);
  slope_.resize(size);
  for (std::size_t i = 0; i < size; ++i) {
    const Exact e = exact(static_cast<double>(i) / kPerPx - reach_, blur_px_);
    value_[i] = static_cast<float>(e.value);
    slope_[i] = static_cast<float>(e.slope);
  }
}

BlurredStep::Exact BlurredStep::exact(double x, double blur_px) {
  const double low = (x - 0.5) / blur_px;
  const double high = (x + 0.5) / blur_px;
  const double cumulative_low = phi_cumulative(low);
  const double cumulative_high = phi_cumulative(high);
  const double density = phi_density(high) - phi_density(low);
  // The integral of Phi is z Phi(z) + phi(z); its part phi(z) alone is what grows with the blur.
  return {blur_px * (high * cumulative_high - low * cumulative_low + density),
          cumulative_high - cumulative_low, density};
}

}  // namespace tapersight
