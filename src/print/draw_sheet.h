// The printable sheet: one drawing for PDF, SVG and PNG.
#pragma once
#include <string>

#include "base/result.h"
#include "target/sheet_layout.h"

namespace tapersight {

enum class SheetFormat { kPdf, kSvg, kPng };

// What a photo's strip lies on: the blank paper, or the channel printed black, for wood about as light as
// paper.
enum class ChannelGround { kOpen, kDark };

// The file's bytes, exactly to scale; the same bytes for the same arguments.
//   dpi  only for PNG: pixels per inch, 50..2400; written into the file
// Failure "sheet-not-drawn" when the drawing library fails.
Result<std::string> draw_sheet(const SheetLayout& layout, SheetFormat format, double dpi,
                               ChannelGround ground = ChannelGround::kOpen);

}  // namespace tapersight
