// The reflectance of a strip's face: growth rings, fibres, streaks, or a photograph; saw marks, burns.
#pragma once
#include <cstdint>
#include <vector>

#include "synth/light_image.h"
#include "synth/scan_scene.h"

namespace tapersight {

class WoodTexture {
 public:
  WoodTexture(const StripScene& strip, std::uint64_t seed);

  // Mean reflectance over `footprint_mm` across the strip, at (v, u) of the strip frame, mm.
  double reflectance(double v_mm, double u_mm, double footprint_mm) const;

  // Whether the face is a photograph; then this is its light there, drift, saw marks and burns included.
  bool photographed() const { return face_.photo != nullptr; }
  Tone photographed_light(double v_mm, double u_mm, double footprint_mm, int channels) const;

 private:
  double drift(double u_mm) const;
  double marked(double tone, double v_mm, double u_mm) const;
  double grain(std::size_t profile, double q_mm, double footprint_mm) const;

  WoodScene wood_;
  FaceScene face_;
  double width_, length_;
  double q_low_ = 0;                       // where the profiles start
  std::vector<std::vector<double>> sums_;  // running sums of the grain profiles along q
  std::vector<double> wave_, saw_;         // by u
};

}  // namespace tapersight
