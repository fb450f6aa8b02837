#include "synth/cast_shadow.h"

#include <algorithm>
#include <cmath>

#include "synth/light_image.h"
#include "synth/strip_shape.h"

namespace tapersight {
namespace {

constexpr double kRoomFadeFrom = 4, kRoomFadeTo = 7;  // thicknesses from the wall

// A side of the strip's footprint: points with dot(outward, p) > offset lie before it.
struct Side {
  Eigen::Vector2d outward;
  double offset;
  double half_along;
};

}  // namespace

CastShadow::CastShadow(const LightScene& light, const PhotoStripScene& strip,
                       const Eigen::Affine2d& bench_from_strip)
    : light_(light),
      strip_(strip),
      strip_from_bench_(bench_from_strip.inverse()),
      run_(strip_from_bench_.linear() * light.shadow_run) {
  const double lamp = light.direct > 0 ? run_.norm() + 2 * light.lamp_size : 0;
  reach_ = strip.thickness_mm * std::max(lamp, light.occlusion > 0 ? kRoomFadeTo : 0.0);
}

// Before a long wall of height t, `before` away, those parts of the lamp are hidden whose run across the wall
// is above before / t. Where the wall ends, its upright arris decides, softened by the lamp's size seen from
// there.
double CastShadow::lamp_hidden(const Eigen::Vector2d& vu) const {
  const double half = strip_.length_mm / 2;
  const double edge = straight_edge(strip_, StripSide::kRight, vu.y());
  const Side sides[] = {
      {{-1, 0}, edge, half}, {{1, 0}, edge, half}, {{0, -1}, half, edge}, {{0, 1}, half, edge}};
  const double size = std::max(light_.lamp_size, 1e-4);
  double hidden = 0;
  for (const Side& side : sides) {
    const double speed = side.outward.dot(run_);
    const double before = side.outward.dot(vu) - side.offset;
    if (before < 0) continue;
    const double across = smooth_step(0.5 + (speed - before / strip_.thickness_mm) / (2 * size));
    if (across == 0) continue;
    const double height = std::min(before / std::max(speed, size / 2), strip_.thickness_mm);
    const Eigen::Vector2d along(side.outward.y(), -side.outward.x());
    const double beside = std::abs(along.dot(vu - height * run_)) - side.half_along;
    hidden += across * smooth_step(0.5 - beside / (2 * height * size + 0.1));  // rays enter by one face only
  }
  return std::min(hidden, 1.0);
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

double wall_light(const LightScene& light, const Eigen::Vector2d& outward, double paper_tone) {
  const double lamp = light.direct * std::max(0.0, -outward.dot(light.shadow_run));
  return lamp + (1 - light.direct) * 0.5 * (1 + paper_tone);
}

}  // namespace tapersight
