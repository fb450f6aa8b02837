// The coded tag that says whose strip it is and which end is the fence end: one layout, drawn and found.
//
// Tag frame: millimetres, origin at the marker's middle, x right, y down, as printed. The strip lies beyond
// the top edge, where a pointer points at it.
#pragma once
#include <vector>

#include "target/sheet_layout.h"

namespace tapersight {

inline constexpr int kLeastBench = 1, kMostBench = 599;  // the codes left over by the sheets

inline constexpr double kTagMarkerMm = 9;  // modules of 1.3 mm: read at 150 dpi
inline constexpr RectMm kTagPaper{-6.5, -8.7, 13, 21.2};
inline constexpr double kTagPointerBase = -6.2, kTagPointerTip = -8.4, kTagPointerHalfWidth = 3;
inline constexpr double kTagDigitsBase = 11.5, kTagDigitsMm = 6.5;  // baseline and size of the number

inline int tag_marker(int bench) {
  return kFirstTagMarker + bench;
}

// The black of the marker of `bench`, 1..599.
std::vector<RectMm> tag_ink(int bench);

}  // namespace tapersight
