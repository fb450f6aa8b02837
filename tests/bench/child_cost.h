// Time and memory of a piece of work, each run in a process of its own.
#pragma once
#include <cmath>
#include <functional>

namespace tapersight::testing {

// What a piece of work took in a process of its own, which starts small.
struct Cost {
  double seconds = 0;  // of the work alone
  double peak_mb = 0;
  double taper = NAN;  // what the work returned
};

Cost in_child(const std::function<double()>& work);

// The fastest of `runs`.
Cost best_of(int runs, const std::function<double()>& work);

}  // namespace tapersight::testing
