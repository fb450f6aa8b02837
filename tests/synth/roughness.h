// Stationary Gaussian random profiles, and the random streams of a scene.
#pragma once
#include <cstddef>
#include <cstdint>
#include <string_view>
#include <vector>

namespace tapersight {

struct RoughnessModel {
  double rms = 0;             // any length; the profile has the same unit
  double correlation_mm = 1;  // c
  bool gaussian = false;      // covariance rms^2 exp(-(d/c)^2) instead of rms^2 exp(-d/c)
};

// `count` samples, `step_mm` apart. Exponential: an exact first-order autoregression. Gaussian: white noise
// smoothed by a Gaussian of standard deviation c/2.
std::vector<double> rough_profile(const RoughnessModel& model, double step_mm, std::size_t count,
                                  std::uint64_t seed);

// Roughness without a length of its own.
struct FractalModel {
  double rms = 0;           // any length; the profile has the same unit
  double exponent = 1;      // spectrum falls as f^-exponent ...
  double longest_mm = 100;  // ... for waves shorter than this, and is even for longer ones
};

// A Gaussian profile with the spectrum (f^2 + 1 / longest^2)^(-exponent / 2), up to 1 / (2 step).
std::vector<double> fractal_profile(const FractalModel& model, double step_mm, std::size_t count,
                                    std::uint64_t seed);

// A seed of its own for every random thing of a scene, so that changing one leaves the others as they were.
std::uint64_t stream_seed(std::uint64_t scene_seed, std::string_view what);

}  // namespace tapersight
