// Mean light across a side, in segments along it: what faint lines beside an edge are fitted to.
#pragma once
#include <vector>

#include "edges/scan_lines.h"

namespace tapersight {

struct ProfileSample {
  double x, light;  // means over a bin of half a pixel; x: px inward of the path
  double pixels;    // in the mean
};

struct ProfileSegment {
  double along;  // its middle, -1 .. +1
  std::vector<ProfileSample> samples;
};

// Scan lines that are looked at: those between the strip's torn ends.
int lines_between_torn_ends(const SidePath& path);

// `segments` of them, each from `outward` to `inward` px about the path; samples by x, bins without a pixel
// left out.
std::vector<ProfileSegment> side_profiles(const ScanLines& lines, const SidePath& path, int segments,
                                          double outward, double inward);

}  // namespace tapersight
