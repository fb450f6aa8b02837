// The ink of a printed sheet as rectangles.
#pragma once
#include <vector>

#include "target/sheet_layout.h"

namespace tapersight {

// A rectangle of the sheet that adds (+1) or takes away (-1) ink.
struct InkRect {
  RectMm at_mm;
  double weight = 1;
};

// The fiducials of `layout` (as SheetLayout::fiducial_ink_at has them) with every outline of ink moved
// outwards by `spread_mm`, inwards when negative. Rectangles of weight 1 do not overlap each other.
std::vector<InkRect> fiducial_ink(const SheetLayout& layout, double spread_mm);

}  // namespace tapersight
