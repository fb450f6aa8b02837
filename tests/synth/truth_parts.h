// What the truths of scans and of photos share.
#pragma once
#include <Eigen/Core>
#include <cstdint>
#include <nlohmann/json_fwd.hpp>

#include "synth/scan_scene.h"

namespace tapersight {

// Both ends of a straight cut, where it meets the strip's end cuts.
struct EdgeLine {
  Eigen::Vector2d fence_end, far_end;
};

struct SaddleTruth {
  Eigen::Vector2d at_px;
  bool visible = true;  // in the picture, not covered
};

template <typename Function>
EdgeLine mapped(const EdgeLine& line, const Function& map) {
  return {map(line.fence_end), map(line.far_end)};
}

// The straight cut of one side, points (v, u) of the strip frame.
EdgeLine cut_line(const StripScene& strip, StripSide side);

// The tool's definition of taper for two lines given by their ends.
double taper_between(const EdgeLine& left, const EdgeLine& right);

nlohmann::json point_json(const Eigen::Vector2d& p);
nlohmann::json line_json(const EdgeLine& line);
nlohmann::json edge_json(const EdgeScene& edge);

}  // namespace tapersight
