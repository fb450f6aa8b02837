// The plot of one edge's residuals along the strip.
#pragma once
#include "base/units.h"
#include "report/canvas.h"
#include "taper/measure_strip.h"

namespace tapersight {

// Where positions along the strip stand on the page, shared by all plots: left far end, right fence end.
struct AlongAxis {
  double low_mm = 0, high_mm = 1;    // positions at the axis' ends
  double left_px = 0, right_px = 1;  // their places
  double at(double position_mm) const {
    return left_px + (position_mm - low_mm) / (high_mm - low_mm) * (right_px - left_px);
  }
};

// A scale with round numbers: step 1, 2 or 5 times a power of ten, so that about `ticks` of them fill `span`.
double round_step(double span, int ticks);
int decimals_of(double step);  // that its multiples need

// Half the height of the residual plots in mm, the same for both edges: nearly all used residuals fit in.
double residual_range_mm(const StripMeasurement& strip);

// Residuals outward of the fitted line against the position, as the edge would look enlarged across: outward
// is up for side 1 and down for side 0. `range_mm` at the rims; residuals beyond them are drawn on them.
void draw_residuals(Canvas& canvas, const RectPx& area, const AlongAxis& axis, const EdgeFit& edge, int side,
                    double range_mm, Units units);

// The distance from the far end under the lowest plot, at `y_px`, in the units asked for.
void draw_along_axis(Canvas& canvas, const AlongAxis& axis, double y_px, double far_mm, Units units);

}  // namespace tapersight
