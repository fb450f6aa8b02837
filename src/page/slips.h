// A small page for each student of a class, to be cut apart: the name, the move, how it is made, a drawing.
#pragma once
#include <string>
#include <vector>

#include "page/class_sheet.h"
#include "page/sled_sketch.h"

namespace tapersight {

struct Slip {
  ClassRow row;
  std::optional<SledSketch> sketch;  // of a measured strip
};

// A whole HTML document; printed, the slips stand two beside each other with lines to cut along. The same
// bytes for the same input.
std::string slips_html(const ClassSheet& sheet, const std::vector<Slip>& slips);

}  // namespace tapersight
