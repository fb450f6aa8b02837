// The four tables of bench_limits.
#pragma once
#include <cstdint>

namespace tapersight::testing {

struct LimitsOptions {
  bool quick = false;
  int seeds = 40;  // scans of each kind of edge in the comparison
};

void compare_with_others(const LimitsOptions& options);  // A
void compare_with_bound(const LimitsOptions& options);   // B
void hunt_bias(const LimitsOptions& options);            // C
void measure_cost(const LimitsOptions& options);         // D

}  // namespace tapersight::testing
