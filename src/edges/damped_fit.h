// Least squares by Levenberg and Marquardt's damping of the normal equations' diagonal.
#pragma once
#include <algorithm>
#include <optional>
#include <utility>

namespace tapersight {

template <typename Parameters, typename Linearised>
struct DampedFit {
  Parameters parameters;
  Linearised last;  // at the parameters
};

// linearise(parameters): the problem there, with its `cost`. step(linearised, parameters, damping): the next
// parameters, the diagonal being multiplied by 1 + damping; nothing when there are none. Ends when a step
// gains less than `least_gain` of the cost.
template <typename Parameters, typename Linearise, typename Step>
auto damped_fit(Parameters p, int most_passes, double least_gain, Linearise&& linearise, Step&& step) {
  auto now = linearise(p);
  double damping = 1e-3;
  for (int pass = 0; pass < most_passes && damping < 1e6; ++pass) {
    const std::optional<Parameters> next = step(now, p, damping);
    if (!next) break;
    auto there = linearise(*next);
    if (there.cost < now.cost) {
      const bool done = now.cost - there.cost < least_gain * now.cost;
      p = *next;
      now = std::move(there);
      damping = std::max(1e-6, damping / 5);
      if (done) break;
    } else {
      damping *= 6;
    }
  }
  return DampedFit<Parameters, decltype(now)>{std::move(p), std::move(now)};
}

}  // namespace tapersight
