// From a piece to a strip's outline. Only for this folder.
#pragma once
#include "base/result.h"
#include "edges/channel_pieces.h"
#include "edges/find_strip.h"
#include "model/strip.h"

namespace tapersight {

// The smallest rectangle around it.
StripOutline box_of(const Piece& piece, const RegionView& view, const StripSearch& search);

// Robust straight lines through the extreme contour points of each millimetre along the piece; good to 0.3
// mm. Failures: "not-a-strip", "edge-not-straight", "two-strips" (an end is stepped).
Result<StripOutline> outline_of(const Piece& piece, const RegionView& view, const StripSearch& search);

}  // namespace tapersight
