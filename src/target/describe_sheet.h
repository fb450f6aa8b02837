// The sheet's layout in words for other programs.
#pragma once
#include <string>

#include "target/sheet_layout.h"

namespace tapersight {

// As JSON text: page_mm, channel_mm, fence_end, saddles, markers, check bars; mm, origin top left,
// y down. Ends with a line feed.
std::string describe_sheet(const SheetLayout& layout);

}  // namespace tapersight
