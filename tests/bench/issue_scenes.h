// Random scans for the accuracy tables, and the best that any estimator could reach on them.
#pragma once
#include <cstdint>
#include <string>
#include <vector>

#include "synth/scan_scene.h"

namespace tapersight::testing {

enum class Edges {
  kSmooth,  // 1..5 um rms, correlation length 0.5 mm
  kRough,   // 5..30 um rms, correlation length 0.3..2 mm, exponential or Gaussian
};

struct SceneOptions {
  bool small = false;         // 300 dpi, the picture cut to the blocks and the channel
  bool across = false;        // the sheet lies a quarter turn off, the strip along the sensor
  double print_ratio_sd = 0;  // standard deviation of the print's scale across over its scale along
};

// Pose, print, scanner, wood, ground, shadow, side wall, chips and bow at random; taper -0.01..0.01.
ScanScene issue_scene(std::uint64_t seed, Edges edges, const SceneOptions& options = {});

// Variance of the best linear unbiased estimate of the slope of a straight line through a rough edge,
// (mm/mm)^2. white_mm3: variance of white noise on the places times their distance; above zero where the
// covariance is Gaussian, whose matrix has no inverse otherwise.
double best_slope_variance(const EdgeScene& edge, double length_mm, double white_mm3);

// The same of the taper, which knows the covariance of the roughness and
// sees the edges every 0.1 mm, chips and all else left aside (white noise of 0.3 um keeps the Gaussian
// covariance invertible).
double best_taper_variance(const StripScene& strip);

struct Trial {
  double error = 0;  // of the taper, against the straight cut
  double u = 0;      // stated standard uncertainty
  double dof = 0;
  double best_variance = 0;
  bool doubled = false;  // measured with the warning that another line runs into an edge
  std::string refused;   // the code, when it was
};

Trial run_trial(const ScanScene& scene);

struct Summary {
  int measured = 0, refused = 0;
  double median_thou = 0, p95_thou = 0, worst_thou = 0, rms_thou = 0;  // of the errors over 7.5 in
  double covered = 0;      // part of the errors inside the stated 95 % interval
  double mean_u_thou = 0;  // rms of the stated standard uncertainties
  double over_best = 0;    // rms error over the rms of the best estimate's
};

Summary summarise(const std::vector<Trial>& trials);

}  // namespace tapersight::testing
