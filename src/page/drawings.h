// Drawings in a page, as inline SVG that takes its colours from the page's style and carries its meaning in
// words as well.
#pragma once
#include <optional>
#include <string>

#include "assess/measurement_report.h"
#include "page/html.h"

namespace tapersight {

// A value with its expanded uncertainty beside a tolerance about zero, all in one unit.
struct IntervalView {
  double value = 0, U = 0;
  std::optional<double> tolerance;
  double half_span = 1;  // the scale reaches from minus to plus this; what lies beyond is drawn at its end
};

// Half the scale for one value: a round number that holds interval and tolerance.
double half_span_for(double reach, std::optional<double> tolerance);

struct ScaleWords {
  std::string unit;    // of the scale's numbers
  std::string middle;  // what zero is: "square"
  std::string alt;     // says what is seen
};
// The scale with its numbers.
Markup interval_scale(const IntervalView& view, const ScaleWords& words);
// The same without numbers, for a row of a table that has them beside it; silent for a screen reader.
Markup interval_mark(const IntervalView& view);

// One edge's residuals along the strip, as the edge would look enlarged across: outward is up for the right
// edge (side 1) and down for the left.
Markup residual_drawing(const StripMeasurement& strip, int side, Units units, const std::string& alt);

// How a strip should lie to be measured: in the sheet's channel, or alone on the glass.
Markup right_lie_drawing(bool with_sheet, const std::string& alt);

}  // namespace tapersight
