// How near the traced edges come to the least possible variance, and whether their intervals tell the truth.
#pragma once
#include <cstdint>
#include <vector>

#include "bench/edge_patch.h"

namespace tapersight::testing {

struct LimitCell {
  double blur_px = 1, noise_levels = 1;
  double roughness_um = 0, correlation_mm = 0.5;
  bool gaussian = false;
};

struct LimitResult {
  int measured = 0, failed = 0;
  int covered = 0;           // by the stated 95 % interval
  double mean_square = 0;    // of the taper's error about the truth
  double bound = 0;          // mean variance that the best possible estimate has
  double mean_u_square = 0;  // of the stated standard uncertainties
  double efficiency() const { return bound / mean_square; }
  double coverage() const { return static_cast<double>(covered) / measured; }
};

// `trials` noise realisations, shared among pictures of random tilt (3 degrees at most), taper and phase: 4
// pictures of smooth edges, one a trial of rough ones. The bound of smooth edges is Cramer-Rao's, that of
// rough ones the variance of the best linear unbiased estimate that knows the covariance of roughness and
// noise; both over the stretch that the taper is taken from, which leaves 2 mm out at each end.
LimitResult run_cell(const LimitCell& cell, int trials, std::uint64_t seed);

}  // namespace tapersight::testing
