// How a bench stands after one picture.
#pragma once
#include <string>

#include "page/html.h"
#include "report/answer.h"

namespace tapersight {

// A sign that differs in shape, drawn in the colour of the text around it; silent for a screen reader.
Markup standing_sign(Standing standing);

// Its stable name for style sheets and scripts: "square", "undecided", "bowed", "adjust", "not-measured".
const char* standing_name(Standing standing);

// The one sentence that a person needs first, without a full stop: move the fence, leave it, or measure
// again.
std::string what_to_do(const MeasurementReport& report);

}  // namespace tapersight
