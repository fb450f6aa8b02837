#include "synth/roughness.h"

#include <algorithm>
#include <cmath>
#include <opencv2/core.hpp>

#include "base/rng.h"

namespace tapersight {
namespace {

std::vector<double> exponential_profile(double rms, double phi, std::size_t count, Rng& rng) {
  std::vector<double> profile(count);
  double value = rms * rng.normal();
  const double innovation = rms * std::sqrt(1 - phi * phi);
  for (double& sample : profile) {
    sample = value;
    value = phi * value + innovation * rng.normal();
  }
  return profile;
}

std::vector<double> gaussian_profile(double rms, double smoothing_steps, std::size_t count, Rng& rng) {
  const int reach = static_cast<int>(std::ceil(5 * smoothing_steps));
  std::vector<double> kernel;
  double power = 0;
  for (int k = -reach; k <= reach; ++k) {
    kernel.push_back(reach == 0 ? 1 : std::exp(-0.5 * k * k / (smoothing_steps * smoothing_steps)));
    power += kernel.back() * kernel.back();
  }
  std::vector<double> white(count + kernel.size());
  for (double& sample : white) sample = rng.normal();
  std::vector<double> profile(count);
  for (std::size_t i = 0; i < count; ++i) {
    double sum = 0;
    for (std::size_t k = 0; k < kernel.size(); ++k) sum += kernel[k] * white[i + k];
    profile[i] = rms * sum / std::sqrt(power);
  }
  return profile;
}

}  // namespace

std::vector<double> rough_profile(const RoughnessModel& model, double step_mm, std::size_t count,
                                  std::uint64_t seed) {
  if (!(model.rms > 0)) return std::vector<double>(count, 0.0);
  Rng rng(seed);
  const double c = std::max(model.correlation_mm, 1e-6);
  return model.gaussian ? gaussian_profile(model.rms, c / 2 / step_mm, count, rng)
                        : exponential_profile(model.rms, std::exp(-step_mm / c), count, rng);
}

std::vector<double> fractal_profile(const FractalModel& model, double step_mm, std::size_t count,
                                    std::uint64_t seed) {
  if (!(model.rms > 0)) return std::vector<double>(count, 0.0);
  // The transform is periodic: twice as long as needed and ten times the longest wave, both ends are
  // strangers.
  const double least = std::max(2.0 * static_cast<double>(count), 10 * model.longest_mm / step_mm);
  const int size = 1 << static_cast<int>(std::ceil(std::log2(least)));
  Rng rng(seed);
  cv::Mat spectrum(1, size, CV_64F, cv::Scalar(0));  // packed: the mean, then real and imaginary parts
  auto* packed = spectrum.ptr<double>();
  double power = 0;
  for (int k = 1; k < size / 2; ++k) {
    const double f = k / (size * step_mm);
    const double strength = std::pow(f * f + 1 / (model.longest_mm * model.longest_mm), -model.exponent / 4);
    packed[2 * k - 1] = strength * rng.normal();
    packed[2 * k] = strength * rng.normal();
    power += 4 * strength * strength;
  }
  cv::Mat profile;
  cv::dft(spectrum, profile, cv::DFT_INVERSE | cv::DFT_REAL_OUTPUT);
  const double scale = model.rms / std::sqrt(power);
  std::vector<double> samples(profile.ptr<double>(), profile.ptr<double>() + count);
  for (double& sample : samples) sample *= scale;
  return samples;
}

std::uint64_t stream_seed(std::uint64_t scene_seed, std::string_view what) {
  std::uint64_t hash = 0xcbf29ce484222325ULL ^ (scene_seed * 0x9e3779b97f4a7c15ULL);  // FNV-1a
  for (const char c : what) hash = (hash ^ static_cast<unsigned char>(c)) * 0x100000001b3ULL;
  return hash;
}

}  // namespace tapersight
