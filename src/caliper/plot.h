// Both instruments' intervals as a picture: the widths at both ends, and the difference that the taper comes
// from.
#pragma once
#include <string>

#include "base/units.h"
#include "caliper/judge.h"

namespace tapersight {

// A whole SVG document (1.1, no scripts, no outside references), the same bytes for the same input. Caliper,
// picture and combined value differ in mark and line as well as in colour, and carry their numbers as text.
// Widths of the picture appear when the judgement has them.
std::string judgement_svg(const CaliperJudgement& judgement, Units units);

}  // namespace tapersight
