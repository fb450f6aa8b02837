// The printed sheet's check bars as measured with a rule: the same options for every measuring command.
#pragma once
#include <optional>
#include <string>

#include "base/units.h"
#include "pipeline/measure_picture.h"

namespace tapersight {

// Failures: those of parse_positive_length, "bar-implausible".
std::optional<Failure> set_bars(PictureOptions& options, const std::optional<std::string>& bar_x,
                                const std::optional<std::string>& bar_y, Units units);

}  // namespace tapersight
