#include "synth/cast_shadow.h"

#include <algorithm>
#include <cmath>

#include "synth/light_image.h"
#include "synth/strip_shape.h"

namespace tapersight {
namespace {

constexpr double kRoomFadeFrom = 4, kRoomFadeTo = 7;  // thicknesses from the wall

constexpr int kShares = 24;
constexpr double kAnyRun = 1e9;

// The inverse of smooth_step, by bisection.
double inverse_smooth_step(double value) {
  double low = 0;
  double high = 1;
  for (int i = 0; i < 50; ++i) {
    const double middle = (low + high) / 2;
    (smooth_step(middle) < value ? low : high) = middle;
  }
  return (low + high) / 2;
}

}  // namespace

CastShadow::CastShadow(const LightScene& light, const PhotoStripScene& strip,
                       const Eigen::Affine2d& bench_from_strip)
    : light_(light),
      strip_(strip),
      strip_from_bench_(bench_from_strip.inverse()),
      run_(strip_from_bench_.linear() * light.shadow_run) {
  for (int i = 0; i < kShares; ++i)
    shares_of_ru_.push_back(run_.y() + light.lamp_size * (2 * inverse_smooth_step((i + 0.5) / kShares) - 1));
  const double lamp = light.direct > 0 ? run_.norm() + 2 * light.lamp_size : 0;
  reach_ = strip.thickness_mm * std::max(lamp, light.occlusion > 0 ? kRoomFadeTo : 0.0);
}

// A ray from the sheet is moved by (rv, ru) per height; rv and ru are spread over the lamp independently,
// each with smooth_step as its distribution. For each of some shares of ru the heights at which the ray is
// between the strip's ends are known, and with them the rv that hit wood: their share is exact.
double CastShadow::lamp_hidden(const Eigen::Vector2d& vu) const {
  const double edge = straight_edge(strip_, StripSide::kRight, vu.y());
  const double half = strip_.length_mm / 2;
  const double beyond_v = std::abs(vu.x()) - edge;
  const double beyond_u = std::abs(vu.y()) - half;
  const double reach = strip_.thickness_mm * light_.lamp_size;
  const Eigen::Vector2d longest = strip_.thickness_mm * run_.cwiseAbs();
  if (beyond_v > longest.x() + reach || beyond_u > longest.y() + reach) return 0;
  const double size = std::max(light_.lamp_size, 1e-6);
  const auto share_below = [&](double rv) { return smooth_step(0.5 + (rv - run_.x()) / (2 * size)); };
  double hidden = 0;
  for (const double ru : shares_of_ru_) {
    const double a = ru == 0 ? 0 : (vu.y() - std::copysign(half, ru)) / ru;
    const double b = ru == 0 ? strip_.thickness_mm : (vu.y() + std::copysign(half, ru)) / ru;
    const double from = std::max(a, 0.0);
    const double to = std::min(b, strip_.thickness_mm);
    if (!(from < to) || (ru == 0 && beyond_u > 0)) continue;
    const auto bound = [&](double past, bool outside, double open_end) {
      if (outside) return past / to;
      return from > 0 ? past / from : open_end;
    };
    const double low = bound(vu.x() - edge, vu.x() >= edge, -kAnyRun);
    const double high = bound(vu.x() + edge, vu.x() <= -edge, kAnyRun);
    hidden += std::max(0.0, share_below(high) - share_below(low));
  }
  return hidden / kShares;
}

// Even sky over a plane at the foot of a long wall: (1 - cos e) / 2 of it is hidden, e the wall's elevation.
double CastShadow::room_hidden(const Eigen::Vector2d& vu) const {
  const double dv = std::max(0.0, std::abs(vu.x()) - straight_edge(strip_, StripSide::kRight, vu.y()));
  const double du = std::max(0.0, std::abs(vu.y()) - strip_.length_mm / 2);
  const double far = std::hypot(dv, du) / strip_.thickness_mm;
  const double hidden = (1 - far / std::sqrt(1 + far * far)) / 2;
  return hidden * smooth_step((kRoomFadeTo - far) / (kRoomFadeTo - kRoomFadeFrom));
}

double CastShadow::light_at(const Eigen::Vector2d& bench_mm) const {
  Eigen::Vector2d vu = strip_from_bench_ * bench_mm;
  const double edge = straight_edge(strip_, StripSide::kRight, vu.y());
  const double half = strip_.length_mm / 2;
  if (std::abs(vu.x()) < edge && std::abs(vu.y()) < half) {
    // Roughness leaves some sheet free inside the straight outline: it has the light just outside of it.
    if (edge - std::abs(vu.x()) < half - std::abs(vu.y()))
      vu.x() = std::copysign(edge, vu.x());
    else
      vu.y() = std::copysign(half, vu.y());
  }
  const double lamp = light_.direct > 0 ? 1 - lamp_hidden(vu) : 1;
  const double room = 1 - light_.occlusion * room_hidden(vu);
  return light_.direct * lamp + (1 - light_.direct) * room;
}

LightScene second_lamp(const LightScene& light) {
  LightScene second = light;
  second.shadow_run = light.second_run;
  second.lamp_size = light.second_size;
  return second;
}

double wall_light(const LightScene& light, const Eigen::Vector2d& outward, double paper_tone) {
  const double first = std::max(0.0, -outward.dot(light.shadow_run));
  const double second = std::max(0.0, -outward.dot(light.second_run));
  const double lamp = light.direct * (first + light.second_share * (second - first));
  return lamp + (1 - light.direct) * 0.5 * (1 + paper_tone);
}

}  // namespace tapersight
