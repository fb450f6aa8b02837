#include "page/drawings.h"

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "page/svg.h"
#include "report/residual_plot.h"

namespace tapersight {
namespace {

using svg::label;
using svg::stroke;

constexpr double kWidth = 360;

// --- intervals ---------------------------------------------------------------------------------------------

struct IntervalPlace {
  double left = 0, right = 1, half_span = 1;
  double at(double value) const {
    const double part = std::clamp(value / half_span, -1.0, 1.0);
    return (left + right) / 2 + part * (right - left) / 2;
  }
};

Markup tolerance_band(const IntervalView& view, const IntervalPlace& place, double top, double bottom) {
  if (!view.tolerance) return {};
  const double low = place.at(-*view.tolerance), high = place.at(*view.tolerance);
  return svg::rect(low, top, high - low, bottom - top, "band") + stroke(low, top, low, bottom, "limit") +
         stroke(high, top, high, bottom, "limit");
}

// Points down at the value, from above the bar: a short bar stays visible.
Markup pointer(double x, double y, double size) {
  return svg::path_data("M" + fixed(x, 1) + " " + fixed(y, 1) + "l" + fixed(-size, 1) + " " +
                            fixed(-1.4 * size, 1) + "h" + fixed(2 * size, 1) + "z",
                        "value");
}

// Two arrow heads at the end of the scale behind which the whole interval lies.
Markup beyond_mark(const IntervalView& view, const IntervalPlace& place, double y, double half) {
  const double way = view.value > 0 ? 1 : -1;
  Markup heads;
  for (const double back : {0.0, 7.0}) {
    const double tip = place.at(way * view.half_span) - way * back;
    heads += svg::path({{tip - 6 * way, y - half}, {tip, y}, {tip - 6 * way, y + half}}, "interval");
  }
  return heads;
}

// Whiskers where the interval ends, arrow heads where the scale does.
Markup interval_bar(const IntervalView& view, const IntervalPlace& place, double y, double half) {
  if (std::abs(view.value) - view.U > view.half_span) return beyond_mark(view, place, y, half);
  const double low = place.at(view.value - view.U), high = place.at(view.value + view.U);
  Markup bar = stroke(low, y, high, y, "interval");
  const auto end = [&](double x, bool cut, double way) {
    return cut ? svg::path({{x - 6 * way, y - half}, {x, y}, {x - 6 * way, y + half}}, "interval")
               : stroke(x, y - half, x, y + half, "interval");
  };
  bar += end(low, view.value - view.U < -view.half_span, -1);
  bar += end(high, view.value + view.U > view.half_span, 1);
  if (std::abs(view.value) <= view.half_span) bar += pointer(place.at(view.value), y - half - 2, half * 0.8);
  return bar;
}

Markup scale_ticks(const IntervalPlace& place, double y) {
  Markup ticks = stroke(place.left, y, place.right, y, "axis");
  const double step = round_step(2 * place.half_span, 6);
  const double last = std::floor(place.half_span / step + 1e-9);
  for (double i = -last; i <= last; ++i) {
    const double x = place.at(i * step);
    ticks += stroke(x, y, x, y + 5, "axis");
    ticks += label(x, y + 18, "middle", (i > 0 ? "+" : "") + fixed(i * step, decimals_of(step)));
  }
  return ticks;
}

// --- residuals ---------------------------------------------------------------------------------------------

struct ResidualPlace {
  AlongAxis axis;
  double top = 0, bottom = 1, range_mm = 1, upward = 1;
  double y(double residual_mm) const {
    const double part = std::clamp(residual_mm / range_mm, -1.0, 1.0);
    return (top + bottom) / 2 - upward * part * (bottom - top) / 2;
  }
};

Markup residual_grid(const ResidualPlace& place, Units units) {
  Markup grid = svg::rect(place.axis.left_px, place.top, place.axis.right_px - place.axis.left_px,
                          place.bottom - place.top, "plot");
  const double unit = fine_unit_mm(units);
  const double step = round_step(2 * place.range_mm / unit, 5);
  const double last = std::floor(place.range_mm / unit / step);
  for (double i = -last; i <= last; ++i) {
    const double y = place.y(i * step * unit);
    grid += stroke(place.axis.left_px, y, place.axis.right_px, y, i == 0 ? "axis" : "grid");
    grid +=
        label(place.axis.left_px - 5, y + 4, "end", (i > 0 ? "+" : "") + fixed(i * step, decimals_of(step)));
  }
  return grid;
}

// Dots as strokes without length: one short path for thousands of them.
Markup residual_points(const ResidualPlace& place, const EdgeFit& edge, int side) {
  std::string used, left_out;
  for (const EdgeResidual& r : edge.residuals) {
    const std::string at =
        "M" + fixed(place.axis.at(r.position_mm), 1) + " " + fixed(place.y(r.residual_mm), 1);
    if (r.used)
      used += at + "h0";
    else
      left_out += at + "m-2-2l4 4m-4 0l4-4";
  }
  Markup points = svg::path_data(used, side == 0 ? "dots left-edge" : "dots right-edge");
  if (!left_out.empty()) points += svg::path_data(left_out, "left-out");
  return points;
}

Markup along_ticks(const ResidualPlace& place, double far_mm, Units units) {
  Markup ticks;
  const double unit = units == Units::kInch ? kMmPerInch : 1;
  const double step = round_step((place.axis.high_mm - place.axis.low_mm) / unit, 5);
  for (double mark = 0; mark * unit <= place.axis.high_mm - far_mm; mark += step) {
    const double x = place.axis.at(far_mm + mark * unit);
    ticks += stroke(x, place.bottom, x, place.bottom + 4, "axis");
    ticks += label(x, place.bottom + 17, "middle", fixed(mark, 0));
  }
  return ticks;
}

}  // namespace

double half_span_for(double reach, std::optional<double> tolerance) {
  const double wanted = std::max({1.15 * reach, 1.5 * tolerance.value_or(0), 1e-6});
  const double step = round_step(2 * wanted, 10);
  return std::ceil(wanted / step) * step;
}

Markup interval_scale(const IntervalView& view, const ScaleWords& words) {
  constexpr double kAxisY = 74;
  const IntervalPlace place{18, kWidth - 18, view.half_span};
  Markup drawn = tolerance_band(view, place, 22, kAxisY);
  drawn += stroke(place.at(0), 22, place.at(0), kAxisY, "zero");
  drawn += label(place.at(0), 15, "middle", words.middle);
  drawn += label(place.left, 15, "start", "\u21bb clockwise");
  drawn += label(place.right, 15, "end", "counter-clockwise \u21ba");
  drawn += interval_bar(view, place, 56, 8);
  drawn += scale_ticks(place, kAxisY);
  drawn += label(kWidth / 2, kAxisY + 36, "middle", words.unit);
  return svg::drawing(kWidth, kAxisY + 42, "scale", words.alt, drawn);
}

Markup interval_mark(const IntervalView& view) {
  const IntervalPlace place{3, 117, view.half_span};
  Markup drawn = tolerance_band(view, place, 1, 23);
  drawn += stroke(place.at(0), 1, place.at(0), 23, "zero");
  drawn += interval_bar(view, place, 16, 5);
  return svg::drawing(120, 24, "mark", "", drawn);
}

Markup residual_drawing(const StripMeasurement& strip, int side, Units units, const std::string& alt) {
  const double margin = 0.02 * strip.length_mm();
  ResidualPlace place;
  place.axis = {strip.far_mm - margin, strip.fence_mm + margin, 34, kWidth - 4};
  place.top = 4;
  place.bottom = 96;
  place.range_mm = residual_range_mm(strip);
  place.upward = side == 1 ? 1 : -1;
  return svg::drawing(kWidth, 118, "residuals", alt,
                      residual_grid(place, units) + residual_points(place, strip.edges[side], side) +
                          along_ticks(place, strip.far_mm, units));
}

Markup right_lie_drawing(bool with_sheet, const std::string& alt) {
  constexpr double kPaperWidth = 130, kPaperHeight = 180, kLeft = 115, kTop = 6;
  constexpr double kSquare = 8;
  Markup drawn = svg::rect(kLeft, kTop, kPaperWidth, kPaperHeight, "base");
  for (const double x : {kLeft + 12, kLeft + kPaperWidth - 12 - 3 * kSquare})
    for (int row = 0; with_sheet && row < 19; ++row)
      for (int column = 0; column < 3; ++column)
        if ((row + column) % 2 == 0)
          drawn += svg::rect(x + column * kSquare, kTop + 14 + row * kSquare, kSquare, kSquare, "dark");
  const double middle = kLeft + kPaperWidth / 2;
  drawn +=
      svg::path_data("M" + fixed(middle - 8, 1) + " " + fixed(kTop + 22, 1) + "h10l6 6v136h-16z", "strip");
  drawn += label(middle, kTop + kPaperHeight - 4, "middle", with_sheet ? "FENCE END" : "fence end");
  drawn += label(middle, kTop + 14, "middle", "far end");
  return svg::drawing(kWidth, kTop + kPaperHeight + 8, "lie", alt, drawn);
}

}  // namespace tapersight
