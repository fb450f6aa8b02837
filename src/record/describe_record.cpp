#include <algorithm>
#include <cmath>
#include <ctime>
#include <iomanip>
#include <locale>
#include <sstream>

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

// As it is typed: "20.5in".
std::string compact_length(double mm, Units units) {
  std::string text = length_text(mm, units, 1, 0);
  text.erase(std::remove(text.begin(), text.end(), ' '), text.end());
  return text;
}

double expanded(const MeasurementEntry& m) {
  return t_factor(kCoverage, m.dof) * m.u;
}

// The day and the minute as the person's clock shows them.
std::string local_text(const std::string& utc) {
  std::tm time{};
  std::istringstream stream(utc);
  stream.imbue(std::locale::classic());
  stream >> std::get_time(&time, "%Y-%m-%dT%H:%M:%SZ");
  if (stream.fail()) return utc;
  const std::time_t seconds = ::timegm(&time);
  std::tm local{};
  if (::localtime_r(&seconds, &local) == nullptr) return utc;
  char text[32];
  const std::size_t size = std::strftime(text, sizeof text, "%Y-%m-%d %H:%M", &local);
  return {text, size};
}

std::string step_sentence(const Step& step, Units units) {
  const std::string due = slope_text(step.intended, 0, units);
  const std::string seen = slope_text(step.observed, step.U_observed, units);
  const std::string both = " (" + due + " was due, " + seen + " was seen; plus is counter-clockwise)";
  switch (step.verdict) {
    case MoveVerdict::kAsExpected:
      return "The last move did what it should" + both + ".";
    case MoveVerdict::kDistanceOff:
      return "The last move turned the fence " + fixed(step.observed / step.intended, 2) +
             " times as far as it should" + both +
             ". The pivot distance is wrong, or something slipped. Measure that distance again.";
    case MoveVerdict::kDidNotMove:
      return "The fence did not turn" + both +
             ". The pivot or the clamp slipped, or nobody moved it. Check that all screws but the pivot's "
             "were "
             "loose. Lock it.";
    case MoveVerdict::kWrongWay:
      return "The fence went the wrong way" + both +
             ". Check which end was moved and to which side the strip fell before you move it again.";
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

Scale scale_of(const std::vector<RecordEntry>& entries, Units units,
               const std::optional<Tolerance>& tolerance) {
  double reach = tolerance ? 1.5 * slope_in(tolerance->angle, units) : 0;
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
  const Response& response = analysis.response;
  if (response.turn_per_mm) {
    const double distance_mm = 1 / *response.turn_per_mm;
    lines.push_back(
        (response.moves_used == 1 ? std::string("By one move")
                                  : "By " + std::to_string(response.moves_used) + " moves") +
        ", your pivot distance is " +
        length_with_uncertainty(distance_mm, 2 * response.u_turn_per_mm * distance_mm * distance_mm, units) +
        (response.moves_agree ? "." : ". The moves do not agree with each other: something slips."));
  }
  if (analysis.states.empty())
    lines.emplace_back("Nothing was measured yet. Cut a test strip and measure it.");
  if (analysis.moved_since)
    lines.emplace_back("The fence was moved since it was last measured. Cut a new strip and measure it.");
  if (analysis.stop_here)
    lines.push_back(
        "The error that is left, " +
        slope_text(std::fabs(analysis.states.back().fence.theta), analysis.states.back().fence.U, units) +
        ", is no larger than its uncertainty. Stop here. One more move would chase the noise.");
  else if (analysis.due == Due::kMove)
    lines.emplace_back("The fence can be made squarer. Make the next move, then measure again.");
  return lines;
}

std::string trust_in_distance(const Response& response, double typed_mm, Units units) {
  const NextDistance next = next_distance(response, typed_mm);
  if (next.ask) return {};
  const std::string with = "The move is worked out with " + length_text(next.distance_mm, units, 1, 0);
  if (next.seems_mm) return with + ": your pivot distance, or the last move, was not right.";
  if (response.moves_used > 0) return with + " to the pivot, as your moves so far show it.";
  return "Your pivot distance is trusted to 15 % until the record holds a move with a measurement after it.";
}

std::string ask_for_distance(const NextDistance& distance, double typed_mm, Units units) {
  return "Your pivot distance seems to be " +
         length_with_uncertainty(distance.seems_mm.value_or(typed_mm), distance.seems_U_mm, units) +
         ", not " + plain_length_text(typed_mm, units) +
         ". Measure from the middle of the pivot screw to where you move the fence. If you find nothing "
         "wrong, give --pivot-distance " +
         compact_length(distance.seems_mm.value_or(typed_mm), units) + ".";
}

std::string scatter_words(const CutScatter& scatter, Units units) {
  return "The next strip from the same fence differs by " +
         fixed(slope_in(scatter.sigma, units), units == Units::kInch ? 2 : 3) + " " + slope_unit(units) +
         " (standard deviation, " + scatter_source(scatter) + ").";
}

std::string scatter_source(const CutScatter& scatter) {
  return scatter.strips == 0 ? "a usual figure"
                             : "from " + std::to_string(scatter.strips) + " strips of the record";
}

std::string see_to_first(const RecordAnalysis& analysis) {
  if (analysis.steps.empty()) return {};
  switch (analysis.steps.back().verdict) {
    case MoveVerdict::kWrongWay:
      return "First find out why the last move turned the fence the wrong way. Which end was moved, and "
             "which way? "
             "To which side does the strip fall, and which end of it is the fence end? Go on only when you "
             "know.";
    case MoveVerdict::kDidNotMove:
      return "First find out why the last move did not turn the fence as it should. See that the pivot screw "
             "is snug "
             "and that the lock holds.";
    case MoveVerdict::kAsExpected:
    case MoveVerdict::kDistanceOff:
    case MoveVerdict::kCannotBeTold:
      break;
  }
  return {};
}

namespace {

std::string note_words(const std::string& note) {
  return note.empty() ? std::string() : "  " + note;
}

}  // namespace

std::vector<std::string> record_table(const std::vector<RecordEntry>& entries, Units units) {
  std::vector<std::string> lines;
  for (const RecordEntry& entry : entries) {
    if (const auto* m = std::get_if<MeasurementEntry>(&entry)) {
      lines.push_back(local_text(m->when) + "  measured  " + slope_text(m->theta, expanded(*m), units) +
                      "  (" + m->source + ")" + note_words(m->note));
      continue;
    }
    if (const auto* note = std::get_if<NoteEntry>(&entry)) {
      lines.push_back(local_text(note->when) + "  note      " + note->note);
      continue;
    }
    const auto& m = std::get<MoveEntry>(entry);
    const std::string way = m.toward == Toward::kOperator ? " toward you" : " away from you";
    lines.push_back(local_text(m.when) + "  moved     " + std::string(side_name(m.end)) + " end " +
                    fine_length_with_uncertainty(m.move_mm, 2 * m.u_mm, units) +
                    (m.toward == Toward::kNowhere ? std::string() : way) + "  (" + m.by + ")" +
                    note_words(m.note));
  }
  return lines;
}

std::string record_plot_svg(const std::vector<RecordEntry>& entries, std::string_view name, Units units,
                            const std::optional<Tolerance>& tolerance) {
  const double left = 70;
  const double step = 60;
  const double right = left + step * static_cast<double>(std::max<std::size_t>(entries.size(), 6) + 1);
  const Scale scale = scale_of(entries, units, tolerance);
  std::string svg = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 " + fixed(right + 20, 0) +
                    " 400\" font-family=\"sans-serif\" font-size=\"12\">\n<rect width=\"100%\" "
                    "height=\"100%\" fill=\"white\"/>\n";
  svg += text_svg(left, 18, "start", "Fence error of " + std::string(name));
  svg += text_svg(left, 34, "start",
                  std::string(slope_unit(units)) + ", counter-clockwise positive, with 95 % intervals");
  if (tolerance) {
    const double limit = slope_in(tolerance->angle, units);
    svg += "<rect x=\"" + fixed(left, 1) + "\" y=\"" + fixed(scale.at(limit), 1) + "\" width=\"" +
           fixed(right - left, 1) + "\" height=\"" + fixed(scale.at(-limit) - scale.at(limit), 1) +
           "\" fill=\"#d5e4dc\"/>\n";
    svg += text_svg(right - 4, scale.at(limit) - 4, "end", "within " + tolerance->text);
  }
  for (int i = -2; i <= 2; ++i) {
    const double value = scale.high * i / 2;
    svg += line_svg(left, scale.at(value), right, scale.at(value),
                    i == 0 ? "stroke=\"black\"" : "stroke=\"#ccc\"");
    svg += text_svg(left - 6, scale.at(value) + 4, "end", fixed(value, decimals_for(scale.high, 4)));
  }
  double x = left;
  for (const RecordEntry& entry : entries) {
    if (std::holds_alternative<NoteEntry>(entry)) continue;
    x += step;
    if (const auto* m = std::get_if<MeasurementEntry>(&entry)) {
      const double value = slope_in(m->theta, units);
      const double U = slope_in(expanded(*m), units);
      const double low = std::fmin(scale.at(value - U), scale.at(value) + 3),
                   high = std::fmax(0, scale.at(value + U));
      svg += line_svg(x, low, x, high, "stroke=\"black\" stroke-width=\"2\"");
      for (const double end : {low, high})
        svg += line_svg(x - 6, end, x + 6, end, "stroke=\"black\" stroke-width=\"2\"");
      svg += "<circle cx=\"" + fixed(x, 1) + "\" cy=\"" + fixed(scale.at(value), 1) + "\" r=\"4\"/>\n";
      svg += text_svg(x, 360, "middle", local_text(m->when).substr(5, 5));
      continue;
    }
    const auto& move = std::get<MoveEntry>(entry);
    svg += line_svg(x, scale.top, x, scale.bottom, "stroke=\"#777\" stroke-dasharray=\"4 4\"");
    // The way in which the move should turn the fence: up is counter-clockwise.
    const double up = move.intended_turn() > 0 ? -1 : 1, middle = (scale.top + scale.bottom) / 2;
    svg += line_svg(x, middle - up * 22, x, middle + up * 22, "stroke=\"#8a1c5b\" stroke-width=\"3\"");
    for (const double side : {-7.0, 7.0})
      svg +=
          line_svg(x + side, middle + up * 12, x, middle + up * 22, "stroke=\"#8a1c5b\" stroke-width=\"3\"");
    svg += text_svg(x, 376, "middle", "moved");
    svg += text_svg(x, 392, "middle", length_text(move.move_mm, units, 4, 3));
  }
  return svg + "</svg>\n";
}

}  // namespace tapersight
