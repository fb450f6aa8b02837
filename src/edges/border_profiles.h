// Mean light across a strip's side, by whole px, in segments along it: what candidate lines are told from.
// Only for this folder.
#pragma once
#include <algorithm>
#include <cmath>
#include <vector>

#include "edges/line_chains.h"
#include "edges/scan_lines.h"

namespace tapersight {

struct BorderProfiles {
  static constexpr int kSegments = 32;
  int outward_px = 0;   // the profiles' first bin lies this far outside the side's path
  int size = 0;         // bins
  double scale_px = 1;  // standard deviation of the derivative's smoothing
  std::vector<SegmentProfile> segments;
  // The middle of a segment, -1 .. +1 along the side.
  static double along(int segment) { return (2.0 * segment + 1) / kSegments - 1; }
  // What a line's slope must stand out from, light per px: the quartile of all slopes.
  double slope_noise() const;
  // The furthest bin, px inward of the path.
  int innermost_px() const { return size - 1 - outward_px; }
};

BorderProfiles border_profiles(const ScanLines& lines, const SidePath& path, double outward_px,
                               double inward_px, double scale_px);

// Mean light from `from(s)` to `to(s)`, px inward of the path, over all segments s; 0 where that is nothing.
template <typename From, typename To>
double mean_light(const BorderProfiles& p, From&& from, To&& to) {
  double sum = 0;
  int count = 0;
  for (std::size_t s = 0; s < p.segments.size(); ++s)
    for (int i = std::max(0, static_cast<int>(std::ceil(from(s) + p.outward_px)));
         i <= std::min(p.size - 1, static_cast<int>(std::floor(to(s) + p.outward_px))); ++i, ++count)
      sum += p.segments[s].light[static_cast<std::size_t>(i)];
  return count > 0 ? sum / count : 0;
}

}  // namespace tapersight
