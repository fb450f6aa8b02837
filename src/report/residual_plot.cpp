#include "report/residual_plot.h"

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "report/overlay_style.h"
#include "report/words.h"

namespace tapersight {
namespace {

namespace style = overlay_style;

// Outward of the strip is up for the right edge, which the strip's panel shows on top, and down for the left.
double upward(int side) {
  return side == 1 ? 1 : -1;
}

void draw_scale(Canvas& canvas, const RectPx& area, int side, double range, int decimals, double step) {
  for (double value = -std::floor(range / step) * step; value <= range * 1.0001; value += step) {
    const double y = area.y + area.height / 2 * (1 - upward(side) * value / range);
    const bool zero = std::abs(value) < step / 2;
    canvas.line({{area.x, y}, {area.right(), y}}, zero ? style::kQuiet : style::kGrid, zero ? 2 : 1);
    TextStyle text{16, style::kInk, TextAlign::kRight};
    const std::string sign = value > step / 2 ? "+" : "";
    canvas.text({area.x - 8, y + 6}, sign + fixed(zero ? 0 : value, decimals), text);
  }
}

// The bow that was fitted together with the line, about the line.
void draw_bow(Canvas& canvas, const RectPx& area, const AlongAxis& axis, const EdgeFit& edge, int side,
              double range_mm) {
  double low = 1e300, high = -1e300;
  for (const EdgeResidual& r : edge.residuals)
    if (r.used) low = std::min(low, r.position_mm), high = std::max(high, r.position_mm);
  if (!(high > low)) return;
  std::vector<PointPx> points;
  for (int i = 0; i <= 60; ++i) {
    const double x = -1 + i / 30.0;
    const double value = -upward(side) * edge.bow_mm / 1.5 * (1.5 * x * x - 0.5);
    points.push_back(
        {axis.at(low + (x + 1) / 2 * (high - low)), area.y + area.height / 2 * (1 - value / range_mm)});
  }
  canvas.line(points, style::kInk, 2.2, true);
}

}  // namespace

double round_step(double span, int ticks) {
  const double raw = span / ticks;
  const double power = std::pow(10, std::floor(std::log10(raw)));
  for (const double factor : {1.0, 2.0, 5.0})
    if (raw <= factor * power * 1.0001) return factor * power;
  return 10 * power;
}

int decimals_of(double step) {
  return std::clamp(static_cast<int>(std::ceil(-std::log10(step) - 1e-9)), 0, 6);
}

double residual_range_mm(const StripMeasurement& strip) {
  std::vector<double> sizes;
  for (const EdgeFit& edge : strip.edges)
    for (const EdgeResidual& r : edge.residuals)
      if (r.used) sizes.push_back(std::abs(r.residual_mm));
  if (sizes.empty()) return 0.01;
  const auto at = sizes.begin() + static_cast<std::ptrdiff_t>(0.999 * static_cast<double>(sizes.size() - 1));
  std::nth_element(sizes.begin(), at, sizes.end());
  return std::max(1.25 * *at, 0.005);
}

void draw_residuals(Canvas& canvas, const RectPx& area, const AlongAxis& axis, const EdgeFit& edge, int side,
                    double range_mm, Units units) {
  canvas.fill(area, style::kPanel);
  const double unit = fine_unit_mm(units);
  const double step = round_step(2 * range_mm / unit, 10);
  draw_scale(canvas, area, side, range_mm / unit, decimals_of(step), step);
  canvas.clip({area.x - 6, area.y, area.width + 12, area.height});
  for (const bool used : {true, false})
    for (const EdgeResidual& r : edge.residuals) {
      if (r.used != used) continue;
      const double shown = upward(side) * std::clamp(r.residual_mm / range_mm, -1.0, 1.0);
      const PointPx at{axis.at(r.position_mm), area.y + area.height / 2 - shown * (area.height / 2 - 7)};
      if (used)
        canvas.dot(at, 2.2, style::kEdge[side]);
      else
        canvas.cross(at, 4.5, style::kLeftOut, 1.6);
    }
  draw_bow(canvas, area, axis, edge, side, range_mm);
  canvas.unclip();
  canvas.frame(area, style::kQuiet, 1.2);
  canvas.text({area.x - 66, area.y + area.height / 2},
              typeset("outward of the line, " + std::string(fine_unit_name(units))),
              {16, style::kInk, TextAlign::kCentre, false, -kPi / 2});
}

void draw_along_axis(Canvas& canvas, const AlongAxis& axis, double y_px, double far_mm, Units units) {
  const double unit = units == Units::kInch ? kMmPerInch : 1;
  const double step = round_step((axis.high_mm - axis.low_mm) / unit, 11);
  for (double mark = 0; mark * unit <= axis.high_mm - far_mm; mark += step) {
    const double x = axis.at(far_mm + mark * unit);
    canvas.line({{x, y_px}, {x, y_px + 7}}, style::kQuiet, 1.2);
    canvas.text({x, y_px + 25}, fixed(mark, 0), {16, style::kInk, TextAlign::kCentre});
  }
  canvas.text({(axis.left_px + axis.right_px) / 2, y_px + 50},
              "along the strip from its far end, " + std::string(units_name(units)),
              {17, style::kInk, TextAlign::kCentre});
}

}  // namespace tapersight
