// What the sheet shows besides its fiducials (print/draw_sheet.h), for pictures: the channel's hairline, the
// check bars, the wedges and, as grey dashes, the words.
#pragma once
#include <vector>

#include "synth/coverage.h"
#include "target/sheet_layout.h"

namespace tapersight {

struct SheetExtras {
  std::vector<Outline> hairline;  // sheet mm; printed in kHairlineInk of full ink
  std::vector<Outline> black;     // sheet mm
};

inline constexpr double kHairlineInk = 0.7;  // part of the paper's light that a grey of code 0.6 takes away

SheetExtras sheet_extras(const SheetLayout& layout);

}  // namespace tapersight
