// A straight edge as a sensor sees it: a step in light, blurred by the optics and averaged over each pixel.
#pragma once
#include <vector>

namespace tapersight {

// Gaussian blur of standard deviation `blur_px` (> 0), pixels of width 1. value(x) is the light of the pixel
// whose centre lies x px inside the edge, from 0 far outside to 1 far inside:
//     value(x) = integral of Phi(t / blur) over t from x - 1/2 to x + 1/2
// It is exact at any place of the edge within a pixel, so that a slightly tilted edge leaves no periodic
// error.
class BlurredStep {
 public:
  explicit BlurredStep(double blur_px);
  double blur_px() const { return blur_px_; }
  // Linear interpolation in a table of 1/256 px; the error is below 2e-5 of the step at blur_px >= 0.3.
  double value(double x) const { return look_up(value_, x, 1); }
  double slope(double x) const { return look_up(slope_, x, 0); }  // d value / d x

  // The same without a table, for any blur, and the derivative by the blur.
  struct Exact {
    double value, slope, by_blur;
  };
  static Exact exact(double x, double blur_px);

 private:
  double look_up(const std::vector<float>& table, double x, double beyond) const {
    const double position = (x + reach_) * kPerPx;
    if (position <= 0) return 0;
    const auto i = static_cast<std::size_t>(position);
    if (i + 1 >= table.size()) return beyond;
    const double fraction = position - static_cast<double>(i);
    return (1 - fraction) * double{table[i]} + fraction * double{table[i + 1]};
  }
  static constexpr int kPerPx = 256;
  double blur_px_;
  double reach_;
  std::vector<float> value_, slope_;
};

}  // namespace tapersight
