// How the places along one side of a strip are to be fitted. Only for this folder.
#pragma once
#include <algorithm>
#include <vector>

#include "edges/group_fit.h"
#include "edges/place_fit.h"
#include "edges/scan_lines.h"
#include "edges/trace_edges.h"

namespace tapersight {

// The edge's shape and the estimator made for it, on a piece of a side.
struct SidePiece {
  EdgeShape shape;
  PlaceEstimator estimator;
};

struct SidePlan {
  std::vector<SidePiece> pieces;  // one, or many even ones from the first line to the last
  double line_sigma_px = 10;
  double figure_px = 0, figure_over_all_px = 0;  // see EdgeTrace

  const SidePiece& at(double along) const {
    const auto n = static_cast<double>(pieces.size());
    return pieces[static_cast<std::size_t>(std::clamp((along + 1) / 2 * n, 0.0, n - 1))];
  }
};

// What disturbs the edge is learned from the picture: its noise, the face's figure, the ground. `blur`: the
// edge's, px.
SidePlan plan_side(const ScanLines& lines, const SidePath& path, double blur, const TraceOptions& options,
                   int side);

}  // namespace tapersight
