#include "bench/edge_bound.h"

#include <Eigen/Dense>
#include <cmath>

#include "imaging/blurred_step.h"
#include "synth/sensor.h"

namespace tapersight::testing {

EdgeBound edge_bound(const EdgeView& view) {
  using Vector5 = Eigen::Matrix<double, 5, 1>;
  Eigen::Matrix<double, 5, 5> information = Eigen::Matrix<double, 5, 5>::Zero();
  const double variance = view.noise_levels * view.noise_levels + (view.rounded ? 1.0 / 12 : 0);
  const double step = view.face - view.ground;
  double place_alone = 0;
  for (int row = 0; row < view.rows; ++row) {
    const double t = row - (view.rows - 1) / 2.0;
    const double at = view.place_phase + view.lean * t;
    const int middle = static_cast<int>(std::lround(at));
    for (int u = middle - view.window_px; u <= middle + view.window_px; ++u) {
      const BlurredStep::Exact e = BlurredStep::exact(u - at, view.blur_px);
      const double light = view.ground + step * e.value;
      constexpr double kSmall = 1e-5;
      const double gain =
          (code_of_light(view.encoding, light + kSmall) - code_of_light(view.encoding, light - kSmall)) /
          (2 * kSmall);
      Vector5 d;
      d << 1 - e.value, e.value, step * e.by_blur, -step * e.slope, -step * e.slope * t;
      d *= gain;
      information += d * d.transpose() / variance;
      place_alone += d[3] * d[3] / variance / view.rows;
    }
  }
  const Vector5 scale = information.diagonal().cwiseSqrt().cwiseInverse();
  const Eigen::Matrix<double, 5, 5> inverse =
      scale.asDiagonal() * (scale.asDiagonal() * information * scale.asDiagonal()).inverse().eval() *
      scale.asDiagonal();
  return {1 / std::sqrt(place_alone), std::sqrt(inverse(3, 3)), std::sqrt(inverse(4, 4))};
}

}  // namespace tapersight::testing
