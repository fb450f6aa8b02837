// What the later stages know of the strip.
#pragma once
#include <Eigen/Core>
#include <vector>

namespace tapersight {

// The strip as found in a coarse view (good to about 0.3 mm). Sheet frame, mm.
struct StripOutline {
  Eigen::Vector2d centre_mm;
  Eigen::Vector2d along;  // unit vector from the far end to the fence end
  double far_mm = 0;      // the ends' positions along `along`, counted from the centre
  double fence_mm = 0;
  // The two long sides as straight lines: across = at + lean * position. Looking from the far end to the
  // fence end on the sheet as printed, "across" grows to the left; side 0 has the smaller value.
  double side_at_mm[2] = {0, 0};
  double side_lean[2] = {0, 0};
  // How much further than those ends each side shows (photos: one side's arris is nearer to the camera than
  // the other's).
  double more_far_mm[2] = {0, 0}, more_fence_mm[2] = {0, 0};

  Eigen::Vector2d across() const { return {along.y(), -along.x()}; }
  Eigen::Vector2d point(double position_mm, double across_mm) const {
    return centre_mm + position_mm * along + across_mm * across();
  }
  Eigen::Vector2d on_side(int side, double position_mm) const {
    return point(position_mm, side_at_mm[side] + side_lean[side] * position_mm);
  }
  double side_far_mm(int side) const { return far_mm - more_far_mm[side]; }
  double side_fence_mm(int side) const { return fence_mm + more_fence_mm[side]; }
  double length_mm() const { return fence_mm - far_mm; }
  double width_mm() const { return side_at_mm[1] - side_at_mm[0]; }
};

// One place on one long edge: a group of neighbouring scan lines fitted together.
struct EdgePoint {
  Eigen::Vector2d picture_px;
  double sigma_px = 0;  // from the noise around the fitted profile, across the edge
  double contrast = 0;  // light inside minus light outside
  bool valid = false;
  bool beyond = false;  // this side's ends: not looked for
};

// Both edges along the same scan lines: points[0][i] and points[1][i] share line i.
struct EdgeTrace {
  std::vector<double> line_px;  // the scan lines' coordinate
  std::vector<EdgePoint> points[2];
  int lines_per_point = 1;
  double blur_px[2] = {0, 0};  // of the edges, standard deviation across
  // What the wood's figure does to a place, standard deviation; the same on many neighbouring places.
  double figure_px[2] = {0, 0};
  // Photos: what the figure and a shadow's slope may move each edge, from end to end (standard uncertainty).
  double figure_over_all_px[2] = {0, 0};
};

}  // namespace tapersight
