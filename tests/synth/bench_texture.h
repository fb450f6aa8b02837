// The reflectance of the bench top: boards side by side.
#pragma once
#include <cstdint>

#include "synth/photo_scene.h"
#include "synth/wood_texture.h"

namespace tapersight {

class BenchTexture {
 public:
  BenchTexture(const BenchScene& bench, std::uint64_t seed);

  double reflectance(const Eigen::Vector2d& bench_mm, double footprint_mm) const;

 private:
  BenchScene bench_;
  WoodTexture board_;
  Eigen::Matrix2d turn_;
  std::uint64_t seed_;
};

}  // namespace tapersight
