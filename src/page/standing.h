// How a bench stands after one picture.
#pragma once
#include <string>

#include "page/html.h"
#include "report/measurement_report.h"

namespace tapersight {

// In the order in which a teacher would see to them, the calmest first.
enum class Standing {
  kSquare,       // within the tolerance, with its whole uncertainty
  kUndecided,    // the tolerance's limit, or zero where none was given, lies within the uncertainty
  kAdjust,       // out of square beyond the tolerance, or beyond zero where none was given
  kNotMeasured,  // the picture was refused: cut or scan again
};

Standing standing_of(const MeasurementReport& report);

struct StandingTerms {
  bool ring = false;  // of a ring it says "true" for "square"
  bool tolerance_given = true;
};
// "Square", "Cannot be told yet", "Not square" (without a tolerance "Out of square"), "Not measured".
std::string standing_words(Standing standing, const StandingTerms& terms = {});

// A sign that differs in shape, drawn in the colour of the text around it; silent for a screen reader.
Markup standing_sign(Standing standing);

// Its stable name for style sheets and scripts: "square", "undecided", "adjust", "not-measured".
const char* standing_name(Standing standing);

// The one sentence that a person needs first, without a full stop: move the fence, leave it, or measure
// again.
std::string what_to_do(const MeasurementReport& report);

}  // namespace tapersight
