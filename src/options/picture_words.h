// What is said of a picture: how it was taken, what lies in it, which line is the edge.
#pragma once
#include <optional>
#include <string>

#include "base/result.h"
#include "base/units.h"
#include "pipeline/measure_picture.h"

namespace tapersight {

// As typed; unset where nothing was typed.
struct PictureWords {
  std::optional<std::string> kind;  // "scan" or "photo"
  std::optional<std::string> thickness, take, bar_x, bar_y;
  bool without_target = false;                      // a scan without the printed sheet; the next are for it
  std::optional<std::string> fence_end_at, region;  //
  std::optional<double> scan_dpi;                   // 100..4800
};

// Failures: option-does-nothing (what has no meaning with the sheet, or without it), bad-kind, bad-thickness,
// bad-take, bad-picture-side, bad-region, those of parse_length and of set_bars.
Result<PictureOptions> picture_options(const PictureWords& words, Units units);

}  // namespace tapersight
