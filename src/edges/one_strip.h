// Is what lies between two lines of a photo's channel one strip? Only for this folder.
#pragma once
#include <optional>
#include <vector>

#include "base/result.h"
#include "edges/region_view.h"
#include "edges/sharp_lines.h"

namespace tapersight {

// `telling`: lines that can be a strip's, from left to right. Do two of them run along the middle, as the
// inner sides of two strips do? "two-strips".
std::optional<Failure> two_side_by_side(const std::vector<SharpLine>& telling);

// How far inside an edge the other arris of its side may lie: a wall is in view on the side that faces the
// camera, and on the other there is none.
struct WallReach {
  double left_mm = 0, right_mm = 0;
  bool holds(double from_left_mm, double from_right_mm) const {
    return from_left_mm <= left_mm || from_right_mm <= right_mm;
  }
};

// `left`, `right`: the edges chosen from `telling`. "two-strips", when a line between or outside them can
// only be another thing's; "something-else", when the edges may be those of black paper under a light strip.
std::optional<Failure> not_one_strip(const std::vector<SharpLine>& lines,
                                     const std::vector<SharpLine>& telling, const SharpLine& left,
                                     const SharpLine& right, const WallReach& reach);

// Does a straight band run along the inside, darker or lighter than the wood beside it all along? The gap
// between two strips does, or the wall of one of them. The wood's own lines wind by more than they are wide.
// From `from_mm` to `to_mm` along the view. "two-strips".
std::optional<Failure> band_inside(const RegionView& view, const LongLine& left, const LongLine& right,
                                   double from_mm, double to_mm);

}  // namespace tapersight
