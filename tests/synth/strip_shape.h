// The outline of a synthetic strip in its own frame: straight cuts, roughness, bow, chips, splinters, a
// break.
#pragma once
#include <Eigen/Core>
#include <cstdint>
#include <vector>

#include "synth/scan_scene.h"

namespace tapersight {

// One piece of a strip, points (v, u) in mm; all sides in the order stated.
struct StripPiece {
  std::vector<Eigen::Vector2d> left, right;         // from the far end to the fence end
  std::vector<Eigen::Vector2d> far_end, fence_end;  // from left to right
  std::vector<Eigen::Vector2d> outline() const;     // closed
};

struct StripShape {
  std::vector<StripPiece> pieces;          // one, or the far piece and the fence piece of a broken strip
  double left_slope = 0, right_slope = 0;  // dv/du of the least-squares lines through the edges as drawn
};

// Where the straight cut of an edge lies at u, mm.
double straight_edge(const StripScene& strip, StripSide side, double u_mm);

StripShape make_strip_shape(const StripScene& strip, std::uint64_t seed);

// The same with another seed for what is slow along the edges (waver, fractal roughness): a strip's other
// face shares it.
StripShape make_strip_shape(const StripScene& strip, std::uint64_t seed, std::uint64_t slow_seed);

// How far the lower face lies off the glass at u, mm.
double lift_at(const StripScene& strip, double u_mm);

// The tool's definition: width at fence end minus width at far end, by the distance, for edges of these
// slopes.
double taper_of_slopes(double left_slope, double right_slope);

}  // namespace tapersight
