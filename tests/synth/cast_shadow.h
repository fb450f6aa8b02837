// The light that a strip leaves on the sheet beside it: the lamp's shadow with its penumbra, and the room's
// light that the side walls take away.
#pragma once
#include <Eigen/Geometry>
#include <vector>

#include "synth/photo_scene.h"

namespace tapersight {

class CastShadow {
 public:
  CastShadow(const LightScene& light, const PhotoStripScene& strip, const Eigen::Affine2d& bench_from_strip);

  // Part of the full light that reaches the plane of the strip's bottom face at `bench_mm`, 0..1.
  double light_at(const Eigen::Vector2d& bench_mm) const;

  // How far beyond the strip's outline light_at can be below 1, mm.
  double reach_mm() const { return reach_; }

 private:
  double lamp_hidden(const Eigen::Vector2d& vu) const;
  double room_hidden(const Eigen::Vector2d& vu) const;

  LightScene light_;
  PhotoStripScene strip_;
  Eigen::Affine2d strip_from_bench_;
  Eigen::Vector2d run_;               // shadow_run in the strip frame
  std::vector<double> shares_of_ru_;  // its part along the strip, in shares of the lamp's light
  double reach_ = 0;
};

// The same light with all of the lamps' part from the second lamp: light is a mean of the two, weighted by
// `second_share`.
LightScene second_lamp(const LightScene& light);

// Light on a wall with this horizontal outward normal (bench frame) over that of a level surface: the lamp's
// part by the cosine law, half of the room's sky and the light that comes back from the paper.
double wall_light(const LightScene& light, const Eigen::Vector2d& outward, double paper_tone);

}  // namespace tapersight
