#include "synth/truth_parts.h"

#include <cmath>
#include <nlohmann/json.hpp>

#include "synth/strip_shape.h"

namespace tapersight {

EdgeLine cut_line(const StripScene& strip, StripSide side) {
  const double half = strip.length_mm / 2;
  return {{straight_edge(strip, side, half), half}, {straight_edge(strip, side, -half), -half}};
}

double taper_between(const EdgeLine& left, const EdgeLine& right) {
  const Eigen::Vector2d l = left.fence_end - left.far_end;
  const Eigen::Vector2d r = right.fence_end - right.far_end;
  return 2 * std::tan(std::atan2(r.x() * l.y() - r.y() * l.x(), l.dot(r)) / 2);
}

nlohmann::json point_json(const Eigen::Vector2d& p) {
  return nlohmann::json::array({p.x(), p.y()});
}

nlohmann::json line_json(const EdgeLine& line) {
  return {{"fence_end", point_json(line.fence_end)}, {"far_end", point_json(line.far_end)}};
}

nlohmann::json edge_json(const EdgeScene& edge) {
  return {{"roughness_um", edge.roughness_um},
          {"correlation_mm", edge.correlation_mm},
          {"gaussian", edge.gaussian},
          {"bow_um", edge.bow_um},
          {"chips", edge.chips},
          {"chip_depth_mm", edge.chip_depth_mm}};
}

}  // namespace tapersight
