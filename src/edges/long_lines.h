// Long straight lines along the channel at which the tone changes: edges, arrises, borders of shadows.
#pragma once
#include <vector>

#include "edges/region_view.h"

namespace tapersight {

// across = at + lean * along, in the view's own frame: across counts to the right and along downwards from
// the view's top left corner, mm.
struct LongLine {
  double at_mm = 0, lean = 0;
  double from_mm = 0, to_mm = 0;  // along: where the change shows
  double change = 0;              // mean slope of the tone, code values per mm, growing to the right
  double place(double along_mm) const { return at_mm + lean * along_mm; }
  double length_mm() const { return to_mm - from_mm; }
};

// Every line that leans by at most 0.13 and shows over at least `least_length_mm`, the most telling of those
// that lie within 0.8 mm of each other; from left to right.
std::vector<LongLine> find_long_lines(const RegionView& view, double least_length_mm);

}  // namespace tapersight
