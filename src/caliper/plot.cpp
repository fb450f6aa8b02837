#include "caliper/plot.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "base/markup.h"
#include "base/text.h"
#include "caliper/words.h"

namespace tapersight {
namespace {

enum class Mark { kCaliper, kPicture, kBoth };

struct Interval {
  Mark mark = Mark::kCaliper;
  double value = 0, U = 0;  // shown unit
  std::string text;         // value with its uncertainty and unit
};

struct Panel {
  std::string title;
  std::string unit;
  std::vector<Interval> intervals;
};

constexpr double kWidth = 760, kLeft = 120, kRight = 520;  // of the whole; of the scale within it
constexpr double kRow = 26, kPanelGap = 34, kTop = 56;

const char* mark_name(Mark mark) {
  return mark == Mark::kCaliper ? "caliper" : mark == Mark::kPicture ? "picture" : "both";
}

const char* mark_colour(Mark mark) {
  return mark == Mark::kCaliper ? "#1a5fa3" : mark == Mark::kPicture ? "#a8480f" : "#222222";
}

std::string number(double value) {
  return fixed(value, 2);
}

std::string text_at(double x, double y, const std::string& text, const std::string& extra = "") {
  return "<text x=\"" + number(x) + "\" y=\"" + number(y) + "\"" + extra + ">" + html_escape(text) +
         "</text>\n";
}

std::string line_at(double x1, double y1, double x2, double y2, const std::string& style) {
  return "<line x1=\"" + number(x1) + "\" y1=\"" + number(y1) + "\" x2=\"" + number(x2) + "\" y2=\"" +
         number(y2) + "\" " + style + "/>\n";
}

// 1, 2 or 5 times a power of ten, so that about five steps fill the span.
double nice_step(double span) {
  const double raw = span / 5;
  const double power = std::pow(10.0, std::floor(std::log10(raw)));
  for (const double factor : {1.0, 2.0, 5.0})
    if (raw <= factor * power) return factor * power;
  return 10 * power;
}

// The span of one panel: the value axis from `low` to `high` lies between kLeft and kRight.
struct Scale {
  double low = 0, high = 1;
  double x(double value) const { return kLeft + (value - low) / (high - low) * (kRight - kLeft); }
};

Scale scale_of(const Panel& panel) {
  Scale scale{panel.intervals[0].value, panel.intervals[0].value};
  for (const Interval& interval : panel.intervals) {
    scale.low = std::min(scale.low, interval.value - interval.U);
    scale.high = std::max(scale.high, interval.value + interval.U);
  }
  const double margin = std::max(0.08 * (scale.high - scale.low), 1e-9 * std::max(1.0, std::abs(scale.high)));
  return {scale.low - margin, scale.high + margin};
}

std::string draw_axis(const Panel& panel, const Scale& scale, double y) {
  std::string svg = line_at(kLeft, y, kRight, y, "stroke=\"#555555\"");
  const double step = nice_step(scale.high - scale.low);
  const int decimals = std::clamp(static_cast<int>(-std::floor(std::log10(step) + 1e-9)), 0, 6);
  for (double tick = std::ceil(scale.low / step) * step; tick <= scale.high; tick += step) {
    svg += line_at(scale.x(tick), y, scale.x(tick), y + 5, "stroke=\"#555555\"");
    svg += text_at(scale.x(tick), y + 18, fixed(tick, decimals), " text-anchor=\"middle\" font-size=\"11\"");
  }
  return svg + text_at(kRight + 12, y + 18, panel.unit, " font-size=\"11\"");
}

std::string draw_mark(Mark mark, double x, double y) {
  const std::string colour = mark_colour(mark);
  if (mark == Mark::kCaliper)
    return "<circle cx=\"" + number(x) + "\" cy=\"" + number(y) + "\" r=\"5\" fill=\"" + colour + "\"/>\n";
  if (mark == Mark::kPicture)
    return "<rect x=\"" + number(x - 5) + "\" y=\"" + number(y - 5) +
           "\" width=\"10\" height=\"10\" fill=\"white\" stroke=\"" + colour + "\" stroke-width=\"2\"/>\n";
  return "<path d=\"M" + number(x) + " " + number(y - 7) + " l7 7 l-7 7 l-7 -7 z\" fill=\"" + colour +
         "\"/>\n";
}

std::string draw_interval(const Interval& interval, const Scale& scale, double y) {
  const std::string colour = mark_colour(interval.mark);
  const double left = scale.x(interval.value - interval.U);
  const double right = scale.x(interval.value + interval.U);
  std::string style =
      "stroke=\"" + colour + "\" stroke-width=\"" + (interval.mark == Mark::kBoth ? "4" : "2") + "\"";
  if (interval.mark == Mark::kPicture) style += " stroke-dasharray=\"6 3\"";
  const std::string cap = "stroke=\"" + colour + "\" stroke-width=\"2\"";
  return text_at(kLeft - 14, y + 4, mark_name(interval.mark), " text-anchor=\"end\"") +
         line_at(left, y, right, y, style) + line_at(left, y - 6, left, y + 6, cap) +
         line_at(right, y - 6, right, y + 6, cap) + draw_mark(interval.mark, scale.x(interval.value), y) +
         text_at(kRight + 12, y + 4, interval.text);
}

double panel_height(const Panel& panel) {
  return 18 + kRow * static_cast<double>(panel.intervals.size()) + 22;
}

std::string draw_panel(const Panel& panel, double top) {
  std::string svg = text_at(20, top, panel.title, " font-weight=\"bold\"");
  const Scale scale = scale_of(panel);
  double y = top + 18;
  for (const Interval& interval : panel.intervals) {
    svg += draw_interval(interval, scale, y);
    y += kRow;
  }
  return svg + draw_axis(panel, scale, y - 8);
}

Interval width_interval(Mark mark, double mm, double U_mm, Units units) {
  const double unit = units == Units::kInch ? kMmPerInch : 1;
  return {mark, mm / unit, U_mm / unit, length_with_uncertainty(mm, U_mm, units)};
}

Interval difference_interval(Mark mark, double mm, double U_mm, Units units) {
  const double unit = fine_unit_mm(units);
  return {mark, mm / unit, U_mm / unit, fine_length_with_uncertainty(mm, U_mm, units)};
}

Panel width_panel(const CaliperJudgement& judgement, bool fence_end, Units units) {
  const WidthEstimate& width = fence_end ? judgement.taper.fence_end : judgement.taper.far_end;
  Panel panel{
      fence_end ? "Width at the fence end" : "Width at the far end", std::string(units_name(units)), {}};
  const double U = t_factor(kCaliperCoverage, width.dof) * width.u_mm;
  panel.intervals.push_back(width_interval(Mark::kCaliper, width.mean_mm, U, units));
  if (judgement.picture && judgement.picture->widths) {
    const PictureWidths& widths = *judgement.picture->widths;
    const double U_picture =
        t_factor(kCaliperCoverage, kInfiniteDof) * std::hypot(widths.u_each_mm, widths.u_common_mm);
    panel.intervals.push_back(width_interval(
        Mark::kPicture, fence_end ? widths.fence_end_mm : widths.far_end_mm, U_picture, units));
  }
  return panel;
}

Panel difference_panel(const CaliperJudgement& judgement, Units units) {
  const double distance = words::distance_mm(judgement);
  Panel panel{
      "Fence end less far end, over " + length_text(distance, units), std::string(fine_unit_name(units)), {}};
  const auto add = [&](Mark mark, double taper, double U) {
    panel.intervals.push_back(difference_interval(mark, taper * distance, U * distance, units));
  };
  add(Mark::kCaliper, judgement.taper.taper, judgement.taper.U_taper);
  if (judgement.picture) add(Mark::kPicture, judgement.picture->taper, judgement.U_picture);
  if (judgement.best) add(Mark::kBoth, judgement.best->taper, judgement.best->U);
  return panel;
}

}  // namespace

std::string judgement_svg(const CaliperJudgement& judgement, Units units) {
  const Panel panels[] = {width_panel(judgement, true, units), width_panel(judgement, false, units),
                          difference_panel(judgement, units)};
  std::string body;
  double y = kTop;
  for (const Panel& panel : panels) {
    body += draw_panel(panel, y);
    y += panel_height(panel) + kPanelGap;
  }
  const std::string title =
      judgement.picture ? "Caliper and picture, 95 % intervals" : "Caliper, 95 % intervals";
  const std::string height = number(y);
  return "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"" + number(kWidth) + "\" height=\"" + height +
         "\" viewBox=\"0 0 " + number(kWidth) + " " + height +
         "\" font-family=\"sans-serif\" font-size=\"13\" fill=\"#222222\">\n"
         "<title>" +
         title +
         "</title>\n"
         "<rect width=\"100%\" height=\"100%\" fill=\"white\"/>\n" +
         text_at(20, 26, title, " font-size=\"16\"") + body + "</svg>\n";
}

}  // namespace tapersight
