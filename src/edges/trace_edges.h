// The strip's two long edges, place by place, to a small part of a pixel.
#pragma once
#include "base/deadline.h"
#include "edges/line_beside.h"
#include "edges/scan_lines.h"

namespace tapersight {

// Standard deviation, px: a sharpened edge may be steeper than any optics make it, and the places' fits would
// not settle on less.
inline constexpr double kLeastBlurPx = 0.4;

struct TraceOptions {
  double aim_sigma_px = 0.25;  // neighbouring scan lines are fitted together until a place is about this good
  int most_lines = 24;         //   but never more than these
  double blur_px[2] = {1, 1};  // start value for each side
  double px_per_mm = 12;
  FoundLineBeside beside[2];  // a second line close outside a side, if there is one
  // Of a strip that stands up from the sheet: blur_px is not learned anew, and what lies beside the edges
  // (edges/raised_edge.h) is allowed for.
  bool raised = false;
  double ground_slope[2] = {0, 0};        // standard deviation, light per px
  double second[2] = {0, 0};              // a second line's step, light; 0: there is none
  double second_px[2] = {0, 0};           //   px inward of the edge, at its middle
  double scale_grows[2] = {0, 0};         //   times 1 + this at the last line
  Deadline deadline = Deadline::never();  // places that it leaves no time for stay not valid
};

// For each group of scan lines between the ends: least squares of a blurred step (imaging/blurred_step.h) in
// linear light, with its place and both levels free and one blur for the whole edge, around the given paths.
// A group whose fit fails or leaves its window is kept as not valid.
EdgeTrace trace_edges(const ScanLines& lines, const SidePath& side_0, const SidePath& side_1,
                      const TraceOptions& options);

}  // namespace tapersight
