// A line along the side of a strip that stands up from the sheet, as a camera sees it.
#pragma once
#include <Eigen/Core>
#include <optional>
#include <vector>

#include "edges/scan_lines.h"
#include "model/strip.h"

namespace tapersight {

// The tone slopes on both sides of the line (a shadow's soft border, the wood's figure), by other amounts
// from segment to segment, and a second line may run beside it, everywhere as far away on the sheet: a
// strip's top and bottom arris. With xi px inward of the line, S a blurred step (imaging/blurred_step.h), e^2
// its variance and F = xi S + e^2 S' (the blurred ramp):
//     light = ground + ground_slope (xi - F) + step S                       + face_slope F      one line
//     light = ground + ground_slope (xi - F) + step S + inner_step S(xi - gap) + face_slope F(xi - gap)
struct EdgeLevels {
  double ground = 0, ground_slope = 0, step = 0, inner_step = 0, face_slope = 0;
};

struct RaisedEdge {
  double offset_px = 0;  // of the (outer) line, inward of the path at its middle
  double lean_px = 0;    // further inward at the last line than at the middle
  double blur_px = 1;
  double gap_px = 0;               // at the middle, to the second line inward; 0: there is none
  double gap_grows = 0;            // gap = gap_px * (1 + gap_grows * along)
  double step = 0;                 // light, of the stronger line, inward; median of the segments
  double wander_px = 0;            // rms of the segments' own places about the line, outliers left out
  double from = -1, to = 1;        // along the path: where the segments agree with the line
  double u_lean_px = 0;            // of the lean, from that scatter and its correlation
  std::vector<EdgeLevels> levels;  // by segment
  bool inner_is_stronger() const;
  double place_px() const { return offset_px + (inner_is_stronger() ? gap_px : 0); }  // of the stronger line
  double second_px() const { return inner_is_stronger() ? -gap_px : gap_px; }         // inward of it
  double second_step() const;   // rms of the segments, light; 0 with one line
  double ground_slope() const;  // the same, light per px
  double ground() const;        // light; median of the segments
  double before() const;        // the same, just outside the stronger line
  double gap_at(double along) const { return gap_px * (1 + gap_grows * along); }
};

struct RaisedEdgeOptions {
  double blur_px = 1;       // of the sheet's own edges, across
  double reach_px = 5;      // how far off the path the line may lie
  double gap_grows = 0;     // relative change of the picture's scale from the middle to the last line
  bool second_line = true;  // look for one
  // One line that is softer than this is no edge: then two that explain it a little better are believed.
  double most_blur_px = 1e9;
};

// The most that the blur of a sharp edge can seem to be, px: sawn edges are rough.
double most_sharp_blur_px(double sheet_blur_px, double px_per_mm);

// Least squares over the mean profiles of up to 48 segments, their levels projected out (Golub and Pereyra,
// 1973, variable projection). The second line is believed when it takes away 40 % of what is left over (15 %
// beyond most_blur_px). Nothing: no line there.
std::optional<RaisedEdge> fit_raised_edge(const ScanLines& lines, const SidePath& path,
                                          const RaisedEdgeOptions& options);

}  // namespace tapersight
