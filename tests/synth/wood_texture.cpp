#include "synth/wood_texture.h"

#include <algorithm>
#include <cmath>

#include "base/rng.h"
#include "synth/face_photo.h"
#include "synth/roughness.h"

namespace tapersight {
namespace {

constexpr double kGrainStepMm = 0.01;
constexpr double kAlongStepMm = 0.05;
constexpr double kSpareMm = 12;  // along u, so that splinters and saw arcs find a value

// Light early wood darkening towards the ring's end, as the rings of a softwood or an oak do.
std::vector<double> ring_profile(const WoodScene& wood, std::size_t count, Rng rng) {
  std::vector<double> profile;
  double ring = 0;
  double at = 0;
  while (profile.size() < count) {
    if (at >= ring) {
      at = 0;
      ring = wood.ring_mm * rng.uniform(0.55, 1.45);
    }
    const double phase = at / ring;
    profile.push_back(0.35 - 1.3 * phase * phase * phase);
    at += kGrainStepMm;
  }
  return profile;
}

void darken_lines(const WoodScene& wood, double q_low, double width_mm, Rng rng,
                  std::vector<double>& profile) {
  for (int i = 0; i < wood.dark_lines; ++i) {
    const double at = width_mm * rng.uniform(-0.45, 0.45) - q_low;
    const double half = rng.uniform(0.08, 0.3);
    const double depth = wood.dark_line_contrast * rng.uniform(0.7, 1.0);
    for (std::size_t k = 0; k < profile.size(); ++k)
      if (std::abs(static_cast<double>(k) * kGrainStepMm - at) < half) profile[k] *= 1 - depth;
  }
}

double looked_up(const std::vector<double>& table, double index) {
  const double last = static_cast<double>(table.size() - 1);
  const double clamped = std::clamp(index, 0.0, last);
  const auto i = static_cast<std::size_t>(std::min(clamped, last - 1));
  return table[i] + (clamped - static_cast<double>(i)) * (table[i + 1] - table[i]);
}

}  // namespace

WoodTexture::WoodTexture(const StripScene& strip, std::uint64_t seed)
    : wood_(strip.wood), face_(strip.face), width_(strip.width_mm), length_(strip.length_mm) {
  const auto along = static_cast<std::size_t>((length_ + 2 * kSpareMm) / kAlongStepMm) + 2;
  Rng rng(stream_seed(seed, "slow"));
  const double period[] = {rng.uniform(60, 140), rng.uniform(25, 60)};
  const double phase[] = {rng.uniform(0, 2 * M_PI), rng.uniform(0, 2 * M_PI)};
  const auto strength = rough_profile({0.5, 8, true}, kAlongStepMm, along, stream_seed(seed, "saw"));
  const auto wander = rough_profile({0.6, 10, true}, kAlongStepMm, along, stream_seed(seed, "feed"));
  for (std::size_t k = 0; k < along; ++k) {
    const double u = static_cast<double>(k) * kAlongStepMm;
    wave_.push_back(wood_.grain_wave_mm * (std::sin(2 * M_PI * u / period[0] + phase[0]) +
                                           0.3 * std::sin(2 * M_PI * u / period[1] + phase[1])) +
                    wood_.grain_slope * (u - kSpareMm - length_ / 2));
    saw_.push_back(wood_.saw_contrast * (1 + strength[k]) *
                   std::sin(2 * M_PI * u / wood_.saw_period_mm + wander[k]));
  }
  const double reach = width_ / 2 + 2 * wood_.grain_wave_mm + std::abs(wood_.grain_slope) * length_ / 2 + 3 +
                       std::abs(strip.taper) * length_ / 4;
  q_low_ = -reach;
  const auto across = static_cast<std::size_t>(2 * reach / kGrainStepMm) + 2;
  const auto rings = ring_profile(wood_, across, Rng(stream_seed(seed, "rings")));
  const auto profiles = static_cast<int>(length_ / wood_.fibre_length_mm) + 3;
  for (int p = 0; p < profiles; ++p) {
    const auto fibre = rough_profile({0.45, wood_.fibre_mm, false}, kGrainStepMm, across,
                                     stream_seed(seed, "fibre") + static_cast<std::uint64_t>(p));
    std::vector<double> profile;
    for (std::size_t k = 0; k < across; ++k)
      profile.push_back(std::max(0.05, 1 + wood_.grain_contrast * (rings[k] + fibre[k])));
    darken_lines(wood_, q_low_, width_, Rng(stream_seed(seed, "streaks")), profile);
    std::vector<double> sums = {0};
    for (double value : profile) sums.push_back(sums.back() + value);
    sums_.push_back(std::move(sums));
  }
}

double WoodTexture::grain(std::size_t profile, double q_mm, double footprint_mm) const {
  const double from = (q_mm - footprint_mm / 2 - q_low_) / kGrainStepMm;
  const double steps = std::max(footprint_mm / kGrainStepMm, 1e-3);
  return (looked_up(sums_[profile], from + steps) - looked_up(sums_[profile], from)) / steps;
}

double WoodTexture::drift(double u_mm) const {
  return 1 + wood_.tone_drift * u_mm / length_;
}

double WoodTexture::reflectance(double v_mm, double u_mm, double footprint_mm) const {
  const double along = u_mm + length_ / 2;
  double tone = wood_.tone * drift(u_mm);
  const double index = (along + kSpareMm) / kAlongStepMm;
  if (wood_.grain_contrast > 0 || wood_.dark_lines > 0) {
    const double q = v_mm + looked_up(wave_, index);
    const double place =
        std::clamp(along / wood_.fibre_length_mm, 0.0, static_cast<double>(sums_.size()) - 1.001);
    const auto p = static_cast<std::size_t>(place);
    const double t = place - static_cast<double>(p);
    tone *= (1 - t) * grain(p, q, footprint_mm) + t * grain(p + 1, q, footprint_mm);
  }
  return marked(tone, v_mm, u_mm);
}

Tone WoodTexture::photographed_light(double v_mm, double u_mm, double footprint_mm, int channels) const {
  Tone light = face_light(face_, v_mm, u_mm, footprint_mm, channels);
  const auto factor = static_cast<float>(marked(drift(u_mm), v_mm, u_mm));
  for (float& channel : light) channel *= factor;
  return light;
}

// `tone` with the saw's marks and the burns.
double WoodTexture::marked(double tone, double v_mm, double u_mm) const {
  const double index = (u_mm + length_ / 2 + kSpareMm) / kAlongStepMm;
  if (wood_.saw_contrast > 0) tone *= 1 + looked_up(saw_, index + 0.004 * v_mm * v_mm / kAlongStepMm);
  for (const BurnMark& burn : wood_.burns) {
    const double from_edge = burn.edge == StripSide::kLeft ? v_mm + width_ / 2 : width_ / 2 - v_mm;
    const double n = (u_mm - burn.at_mm) / (0.35 * burn.length_mm);
    const double m = std::max(0.0, from_edge) / burn.depth_mm;
    tone *= 1 - burn.darkness * std::exp(-n * n - m * m);
  }
  return tone;
}

}  // namespace tapersight
