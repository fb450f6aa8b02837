#include <algorithm>
#include <cmath>

#include "base/markup.h"
#include "base/text.h"
#include "record/response.h"

namespace tapersight {
namespace {

constexpr double kThouPerFoot = 12000;  // of a slope: 1 rad is 12,000 thou over 12 in

double slope_in(double rad, Units units) {
  return units == Units::kInch ? rad * kThouPerFoot : rad * 1000;
}
const char* slope_unit(Units units) {
  return units == Units::kInch ? "thou over 12 in" : "mm/m";
}
std::string slope_text(double rad, double U, Units units) {
  return with_uncertainty(slope_in(rad, units), slope_in(U, units), slope_unit(units),
                          units == Units::kInch ? 2 : 4);
}

double expanded(const MeasurementEntry& m) {
  return t_factor(kCoverage, m.dof) * m.u;
}

std::string step_sentence(const Step& step, Units units) {
  const std::string due = slope_text(step.intended, 0, units);
  const std::string seen = slope_text(step.observed, step.U_observed, units);
  const std::string both = " (" + due + " was due, " + seen + " was seen; counter-clockwise is positive)";
  switch (step.verdict) {
    case MoveVerdict::kAsExpected:
      return "The last move did what it should" + both + ".";
    case MoveVerdict::kDistanceOff:
      return "The last move turned the fence by " + fixed(step.observed / step.intended, 2) +
             " of what the pivot distance says" + both +
             ": measure that distance again. The next move takes it into account.";
    case MoveVerdict::kDidNotMove:
      return "The fence did not turn" + both +
             ": the pivot or the clamp slipped, or it was not moved. Check that all screws but the pivot "
             "were loose, and lock it.";
    case MoveVerdict::kWrongWay:
      return "The fence went the wrong way" + both +
             ": check which end was moved and which side the strip fell to before moving again.";
    case MoveVerdict::kSlipped:
      return "The fence did not answer as it should" + both +
             ": something slipped. Check the pivot screw and the lock before moving again.";
    case MoveVerdict::kCannotBeTold:
      break;
  }
  return "The last move is smaller than the measurements can see" + both + ".";
}

struct Scale {
  double low = 0, high = 0;    // values
  double top = 0, bottom = 0;  // places
  double at(double value) const { return bottom + (value - low) / (high - low) * (top - bottom); }
};

Scale scale_of(const std::vector<RecordEntry>& entries, Units units) {
  double reach = 0;
  for (const RecordEntry& entry : entries)
    if (const auto* m = std::get_if<MeasurementEntry>(&entry))
      reach = std::max(reach, slope_in(std::fabs(m->theta) + expanded(*m), units));
  // A round number above the largest interval's end.
  const double decade = reach > 0 ? std::pow(10, std::floor(std::log10(reach))) : 1;
  double limit = decade;
  for (const double step : {1.0, 2.0, 5.0, 10.0}) {
    limit = step * decade;
    if (limit >= reach) break;
  }
  return {-limit, limit, 50, 340};
}

std::string line_svg(double x1, double y1, double x2, double y2, std::string_view look) {
  return "<line x1=\"" + fixed(x1, 1) + "\" y1=\"" + fixed(y1, 1) + "\" x2=\"" + fixed(x2, 1) + "\" y2=\"" +
         fixed(y2, 1) + "\" " + std::string(look) + "/>\n";
}
std::string text_svg(double x, double y, std::string_view anchor, const std::string& words) {
  return "<text x=\"" + fixed(x, 1) + "\" y=\"" + fixed(y, 1) + "\" text-anchor=\"" + std::string(anchor) +
         "\">" + html_escape(words) + "</text>\n";
}

}  // namespace

std::vector<std::string> describe_analysis(const RecordAnalysis& analysis, Units units) {
  std::vector<std::string> lines;
  if (!analysis.steps.empty()) lines.push_back(step_sentence(analysis.steps.back(), units));
  if (analysis.response.measured_gain)
    lines.push_back("From " + std::to_string(analysis.response.moves_used) +
                    (analysis.response.moves_used == 1 ? " move" : " moves") + " the fence turns " +
                    with_uncertainty(*analysis.response.measured_gain, 2 * analysis.response.measured_u,
                                     "times what the typed pivot distance says", 3) +
                    " (k = 2).");
  if (analysis.states.empty())
    lines.emplace_back("Nothing was measured yet: cut a test strip and measure it.");
  if (analysis.moved_since)
    lines.emplace_back("The fence was moved since it was last measured: cut a new strip and measure it.");
  if (analysis.stop_here)
    lines.push_back("The error that is left, " +
                    slope_text(std::fabs(analysis.states.back().theta), analysis.states.back().U, units) +
                    ", is not larger than its uncertainty: stop here. A further move would follow the "
                    "measurement's noise.");
  else if (analysis.due == Due::kMove)
    lines.emplace_back("The fence can be made squarer: make the next move, then measure again.");
  return lines;
}

std::string see_to_first(const RecordAnalysis& analysis) {
  if (analysis.steps.empty()) return {};
  switch (analysis.steps.back().verdict) {
    case MoveVerdict::kWrongWay:
      return "First find out why the last move turned the fence the wrong way: which end was moved, which "
             "way, "
             "which side the strip falls to, and which end of it is the fence end. Go on only when you know.";
    case MoveVerdict::kDidNotMove:
    case MoveVerdict::kSlipped:
      return "First find out why the last move did not turn the fence as it should: see that the pivot screw "
             "is snug and that the lock holds.";
    case MoveVerdict::kAsExpected:
    case MoveVerdict::kDistanceOff:
    case MoveVerdict::kCannotBeTold:
      break;
  }
  return {};
}

std::vector<std::string> record_table(const std::vector<RecordEntry>& entries, Units units) {
  std::vector<std::string> lines;
  for (const RecordEntry& entry : entries) {
    if (const auto* m = std::get_if<MeasurementEntry>(&entry)) {
      lines.push_back(m->when + "  measured  " + slope_text(m->theta, expanded(*m), units) + "  (" +
                      m->source + ")");
      continue;
    }
    const auto& m = std::get<MoveEntry>(entry);
    const std::string way =
        m.toward == Toward::kOperator ? " toward the operator" : " away from the operator";
    lines.push_back(m.when + "  moved     " + std::string(side_name(m.end)) + " end " +
                    length_with_uncertainty(m.move_mm, 2 * m.u_mm, units) +
                    (m.toward == Toward::kNowhere ? std::string() : way) + "  (" + m.by + ")");
  }
  return lines;
}

std::string record_plot_svg(const std::vector<RecordEntry>& entries, std::string_view name, Units units) {
  const double left = 70;
  const double step = 60;
  const double right = left + step * static_cast<double>(std::max<std::size_t>(entries.size(), 6) + 1);
  const Scale scale = scale_of(entries, units);
  std::string svg = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 " + fixed(right + 20, 0) +
                    " 400\" font-family=\"sans-serif\" font-size=\"12\">\n<rect width=\"100%\" "
                    "height=\"100%\" fill=\"white\"/>\n";
  svg += text_svg(left, 18, "start", "Fence error of " + std::string(name));
  svg += text_svg(left, 34, "start",
                  std::string(slope_unit(units)) + ", counter-clockwise positive, with 95 % intervals");
  for (int i = -2; i <= 2; ++i) {
    const double value = scale.high * i / 2;
    svg += line_svg(left, scale.at(value), right, scale.at(value),
                    i == 0 ? "stroke=\"black\"" : "stroke=\"#ccc\"");
    svg += text_svg(left - 6, scale.at(value) + 4, "end", fixed(value, decimals_for(scale.high, 4)));
  }
  double x = left;
  for (const RecordEntry& entry : entries) {
    x += step;
    if (const auto* m = std::get_if<MeasurementEntry>(&entry)) {
      const double value = slope_in(m->theta, units);
      const double U = slope_in(expanded(*m), units);
      svg += line_svg(x, scale.at(value - U), x, scale.at(value + U), "stroke=\"black\" stroke-width=\"2\"");
      svg += "<circle cx=\"" + fixed(x, 1) + "\" cy=\"" + fixed(scale.at(value), 1) + "\" r=\"4\"/>\n";
      svg += text_svg(x, 360, "middle", m->when.substr(5, 5));
      continue;
    }
    const auto& move = std::get<MoveEntry>(entry);
    svg += line_svg(x, scale.top, x, scale.bottom, "stroke=\"#777\" stroke-dasharray=\"4 4\"");
    svg += text_svg(x, 376, "middle", "moved");
    svg += text_svg(x, 392, "middle", length_text(move.move_mm, units, 4, 3));
  }
  return svg + "</svg>\n";
}

}  // namespace tapersight
