// The two long edges of a strip that stands up from the sheet, place by place, in a photo.
#pragma once
#include "edges/scan_lines.h"

namespace tapersight {

// As trace_edges, for edges beside which a narrow side wall may show: the profile is one blurred step, or two
// at a distance that is the same (in mm) all along the side, the second a fixed part of the first. Both
// arrises of a side are parallel and seen through the same magnification of their planes, so the distance is
// the same all along. Blur, distance and part are found once for each side, by least squares over groups
// spread along it; then each group's place and two levels.
//   blur_px    of the printed sheet's own edges, across the scan lines
EdgeTrace trace_arrises(const ScanLines& lines, const SidePath& side_0, const SidePath& side_1,
                        double blur_px);

}  // namespace tapersight
