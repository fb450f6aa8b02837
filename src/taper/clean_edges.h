// Two traced edges in the strip's own frame, without what is no part of a sawn edge. Only for this folder.
#pragma once
#include <Eigen/Core>
#include <optional>
#include <vector>

#include "taper/measure_strip.h"

namespace tapersight {

// A place of an edge, mm in the strip's frame.
struct LocalPoint {
  double position = 0;
  double across = 0;
  bool valid = false;   // the profile fit succeeded
  bool beyond = false;  // or was not asked for
  bool used = false;    // and it belongs to the edge
};

struct Frame {
  Eigen::Vector2d centre, along;
  Eigen::Vector2d across() const { return {along.y(), -along.x()}; }
};

// The used stretch of an edge, positions along the strip, mm.
struct Stretch {
  double far = 0, fence = 0;
  double length() const { return fence - far; }
};

// A straight line with a bow, through an edge's places.
struct Curve {
  double middle = 0, half = 1;
  Eigen::Vector3d c = Eigen::Vector3d::Zero();  // level, slope * half, bow term
  double at(double position) const {
    const double x = (position - middle) / half;
    return c[0] + c[1] * x + c[2] * (1.5 * x * x - 0.5);
  }
  double lean() const { return c[1] / half; }
};

struct CleanedEdges {
  Frame frame;                       // turned until the strip's middle line lies along it
  std::vector<LocalPoint> local[2];  // as traced, place by place
  Stretch used[2];
  double length() const { return (used[0].length() + used[1].length()) / 2; }
};

// Leaves out chips and splinters with their surroundings, and the torn part of an end. Of a scan both edges
// are used over the same stretch.
CleanedEdges clean_edges(const EdgeTrace& trace, const SheetMap& map, const StripOutline& outline,
                         const StripFitOptions& options);

// Least squares through the used places.
Curve fit_curve(const std::vector<LocalPoint>& points, const Stretch& stretch);

// Places that could have been used, had their fits succeeded.
int places_inside(const CleanedEdges& edges, int side);

// "strip-too-short", "edge-not-found", "edge-too-ragged", "edge-not-straight".
std::optional<Failure> unfit(const CleanedEdges& edges, const StripFitOptions& options);

Failure edge_too_ragged();

}  // namespace tapersight
