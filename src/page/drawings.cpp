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

Markup along_ticks(const ResidualPlace& place, double far_mm) {
  Markup ticks;
  const double step = round_step(place.axis.high_mm - place.axis.low_mm, 5);
  for (double mark = 0; mark <= place.axis.high_mm - far_mm; mark += step) {
    const double x = place.axis.at(far_mm + mark);
    ticks += stroke(x, place.bottom, x, place.bottom + 4, "axis");
    ticks += label(x, place.bottom + 17, "middle", fixed(mark, 0));
  }
  return ticks;
}

// --- the sled ----------------------------------------------------------------------------------------------

constexpr double kLeftEnd = 46, kRightEnd = 314, kBlade = 180, kTurnedDeg = 6;

struct SledPlace {
  double fence_y = 172;      // the fence's middle line when square
  double toward_board = -1;  // the direction in which the board lies, y down
  double pivot_x = kLeftEnd, end_x = kRightEnd;
  double turned_deg = 0;  // clockwise on the page, as SVG counts
};

SledPlace place_sled(const MeasurementReport& report) {
  SledPlace place;
  const SledSetup& setup = report.setup;
  if (setup.fence == FenceSide::kFar) place.fence_y = 78, place.toward_board = 1;
  if (setup.pivot == Side::kRight) std::swap(place.pivot_x, place.end_x);
  if (report.fence && report.fence->sense_is_known())
    place.turned_deg = report.fence->sense() == Sense::kCounterclockwise ? -kTurnedDeg : kTurnedDeg;
  return place;
}

// Board and strip with the fence that they lie on.
Markup fence_and_board(const SledPlace& place, const MeasurementReport& report) {
  constexpr double kThick = 14, kDeep = 74;
  const double falls = report.setup.strip_falls == Side::kRight ? 1 : -1;
  const double face = place.fence_y + place.toward_board * kThick / 2;
  const double top = place.toward_board < 0 ? face - kDeep : face;
  const auto box = [&](double from, double to, const char* look) {
    return svg::rect(std::min(from, to), top, std::abs(to - from), kDeep, look);
  };
  Markup drawn = box(kBlade - falls * 4, kBlade - falls * 92, "board");
  drawn += label(kBlade - falls * 48, top + kDeep / 2 + 4, "middle", "board");
  if (!report.wishes.ring) drawn += box(kBlade + falls * 4, kBlade + falls * 20, "strip");
  drawn += svg::rect(kLeftEnd - 14, place.fence_y - kThick / 2, kRightEnd - kLeftEnd + 28, kThick, "fence");
  return element("g",
                 {{"transform", "rotate(" + fixed(place.turned_deg, 1) + " " + fixed(place.pivot_x, 1) + " " +
                                    fixed(place.fence_y, 1) + ")"}},
                 drawn);
}

Markup move_arrow(const SledPlace& place, const MeasurementReport& report) {
  if (!report.advice.adjustment || place.turned_deg == 0) return {};
  const double toward = report.move->toward == Toward::kOperator ? 1 : -1;
  const double outward = place.end_x > place.pivot_x ? 1 : -1;
  const double x = place.end_x + outward * 24;
  const double from = place.fence_y - toward * 30, to = place.fence_y;
  return svg::path({{x, from}, {x, to - toward * 3}}, "move") +
         svg::path({{x - 7, to - toward * 11}, {x, to}, {x + 7, to - toward * 11}}, "move");
}

Markup pivot_and_distance(const SledPlace& place, const MeasurementReport& report) {
  Markup drawn = svg::circle(place.pivot_x, place.fence_y, 6, "pivot") +
                 svg::circle(place.pivot_x, place.fence_y, 1.6, "pivot-pin");
  const bool near = place.toward_board < 0;
  const double y = place.fence_y + (near ? 44 : -44);
  const double text_y = near ? y + 14 : y - 6;
  drawn += label(place.pivot_x, text_y, "middle", "pivot");
  if (!report.setup.pivot_distance_mm) return drawn;
  drawn += svg::path({{place.pivot_x, y - 5}, {place.pivot_x, y + 5}}, "measure");
  drawn += svg::path({{place.end_x, y - 5}, {place.end_x, y + 5}}, "measure");
  drawn += svg::path({{place.pivot_x, y}, {place.end_x, y}}, "measure");
  return drawn + label((place.pivot_x + place.end_x) / 2 + (place.end_x > place.pivot_x ? 44 : -44), text_y,
                       "middle", plain_length_text(*report.setup.pivot_distance_mm, report.units));
}

Markup operator_figure(double y) {
  return svg::circle(kBlade, y, 7, "person") +
         svg::path_data("M162 " + fixed(y + 24, 1) + "a18 15 0 0 1 36 0z", "person") +
         label(kBlade + 30, y + 18, "start", "you stand here");
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
                          along_ticks(place, strip.far_mm));
}

Markup sled_drawing(const MeasurementReport& report, const std::string& alt) {
  const SledPlace place = place_sled(report);
  Markup drawn = svg::rect(8, 8, kWidth - 16, 230, "base");
  drawn += svg::path({{kBlade, 14}, {kBlade, 232}}, "blade");
  drawn += label(kBlade + 6, place.toward_board < 0 ? 24.0 : 228.0, "start", "blade");
  drawn += fence_and_board(place, report);
  if (place.turned_deg != 0)
    drawn += svg::path(
        {{place.pivot_x, place.fence_y}, {place.end_x + (place.end_x - place.pivot_x) * 0.12, place.fence_y}},
        "square-line");
  drawn += pivot_and_distance(place, report);
  drawn += move_arrow(place, report);
  drawn += operator_figure(252);
  return svg::drawing(kWidth, 280, "sled", alt, drawn);
}

}  // namespace tapersight
