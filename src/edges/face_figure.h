// How the wood's face varies beside its edge: fibres and rings run along it and hardly average out.
#pragma once
#include "edges/scan_lines.h"

namespace tapersight {

struct FaceFigure {
  double light = 0;           // standard deviation of the face's light at the scale of the edge's blur
  double correlation_px = 1;  // of an exponential correlation across the edge
  double coherent_lines = 1;  // so many neighbouring scan lines share it
  // Growth rings: standard deviation of the face's light about its mean, and the length of a Matern (3/2)
  // correlation across the edge.
  double rings = 0, rings_px = 1;
};

// From the mean profiles of 24 segments of the face's first `reach_px` behind the edge's blur: mean squares
// of differences over 2 px (a structure function: slow changes of tone do not count), set against those that
// a face of unit standard deviation has under the same blur. The correlation of neighbouring segments'
// profiles gives the length over which the figure stays the same. Noise, told by neighbouring lines, counts
// out.
FaceFigure measure_figure(const ScanLines& lines, const SidePath& path, double blur_px, double correlation_px,
                          int reach_px);

}  // namespace tapersight
