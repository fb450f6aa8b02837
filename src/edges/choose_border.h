// Which of the lines along a strip's side is the strip's edge?
#pragma once
#include <vector>

#include "base/result.h"
#include "edges/scan_lines.h"

namespace tapersight {

// A line along the side at which the light changes, however it bows and wavers. Offsets count inward from the
// side's path, px across.
struct BorderCandidate {
  double offset_px = 0;          // at the middle of the side, of the straight line through it
  double lean_px = 0;            // further inward at the last line than at the middle
  double slope = 0;              // light per px that most of the segments reach, with its sign
  double step = 0;               // light inside minus light outside
  double blur_px = 0;            // standard deviation, across, with what roughness adds
  double uneven_px = 0;          // rms of the segments' places about their neighbours' mean
  double straight_px = 0;        // rms of the segments' places about the straight line
  double consistent = 0;         // part of the segments that show it
  std::vector<double> curve_px;  // its offset in each segment, evenly from the first line to the last
};

struct BorderOptions {
  double px_per_mm = 12;
  double target_blur_px = 1;  // of the printed sheet's own edges
  double outward_mm = 2;      // how far from the path to look
  double inward_mm = 6;
};

// "edge-not-found": no line along the side that could be measured.
Failure edge_not_found();

// From the mean profiles of segments of the side, each put on the line's own place in it, so that a bowed or
// wavering edge is as sharp as a straight one. The ground is smooth, so the first sharp line from outside is
// the strip's, unless a band of even tone lies there whose inner border is as sharp, as even and clearly
// stronger than anything within the strip: then the band is the side wall or a hard shadow, and its inner
// border is the edge that lies on the glass. A shadow's soft border is never taken. Failures:
// "edge-not-found" (no sharp line from end to end), "too-blurred".
Result<BorderCandidate> choose_border(const ScanLines& lines, const SidePath& path,
                                      const BorderOptions& options);

// The lines that could be the edge as well as the chosen one (what is asked of them: rival_lines.h), from
// outside to inside, seen along half of the side at least.
std::vector<BorderCandidate> find_rivals(const ScanLines& lines, const SidePath& path,
                                         const BorderCandidate& edge, const BorderOptions& options);

}  // namespace tapersight
