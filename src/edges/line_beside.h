// A second line close outside the strip's edge: the side wall's other border, or a hard narrow shadow's.
#pragma once
#include <optional>

#include "edges/place_fit.h"
#include "edges/scan_lines.h"

namespace tapersight {

// It runs almost beside the edge: what lies between them may widen or narrow along the strip, and end.
struct FoundLineBeside {
  double edge_px = 0;       // the edge itself, inward of the path at its middle
  double edge_lean_px = 0;  // further inward at the last line than at the middle
  double edge_bow_px = 0;   // times (3 t^2 - 1) / 2 further inward, t from -1 to +1 along the path
  double part = 0;          // of the whole step, taken by the other line; the edge has the rest
  double gap_px = 0;        // from the edge outward to the other line, at the middle
  double gap_lean_px = 0;   // further outward at the last line than at the middle
  double blur_px = 1;       // of the other line
  double u_lean_px = 0;     // what not knowing the other line exactly adds to the edge's lean

  // Around a place along the path (-1 .. +1), the path being on the edge.
  LineBeside at(double along) const { return {part, gap_px + gap_lean_px * along, blur_px}; }
};

// Least squares of one and of two blurred steps to the mean profiles of 24 segments (a segment's levels free,
// eliminated by variable projection; the edge straight or evenly bowed, the other line straight beside it).
// Nothing is returned where one step does as well. blur_px: of a sharp edge in this picture; reach_px: how
// far outward and inward to look. A far border of the side wall is less sharp than the printed sheet, so a
// path that lies on it is seen to be on the wrong line.
std::optional<FoundLineBeside> find_line_beside(const ScanLines& lines, const SidePath& path, double blur_px,
                                                double reach_px);

}  // namespace tapersight
