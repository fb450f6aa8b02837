// Small formatting shared by the caliper's texts.
#pragma once
#include <string>
#include <string_view>

#include "base/units.h"

namespace tapersight {
struct CaliperJudgement;
}

namespace tapersight::words {

// "1.30 thou" or "33.0 um": a small length to about two digits, without an uncertainty of its own.
std::string fine(double mm, Units units);
// "65.00 +/- 2.51 thou" at two digits of the uncertainty.
std::string fine_pm(double mm, double U_mm, Units units);
// A reading: "0.5710 in" or "14.50 mm".
std::string width(double mm, Units units);
// `text` filled up with spaces to `size` characters, at least one.
std::string column(std::string_view text, std::size_t size);
// 9.13 in -> 9.5 in, 231 mm -> 235 mm: up to the next half inch or 5 mm.
std::string strip_length(double mm, Units units);
// Distance along the strip between the two places of the caliper, mm.
double distance_mm(const CaliperJudgement& judgement);

}  // namespace tapersight::words
