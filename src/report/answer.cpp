#include "report/answer.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>

#include "base/text.h"
#include "caliper/describe.h"
#include "fence/describe.h"
#include "report/words.h"

namespace tapersight {
namespace {

// What both kinds of report have.
struct Parts {
  const FenceError& of_strip;
  const FenceError& fence;
  const std::optional<FenceMove>& move;
  const ShopWishes& wishes;
  const ShopAdvice& advice;
  const SledSetup& setup;
  Units units;
  MeasuredFrom from;
};

template <typename Report>
Parts parts_of(const Report& report, const FenceError& of_strip, const FenceError& fence) {
  return {of_strip,      fence,        report.move,  report.wishes,
          report.advice, report.setup, report.units, measured_from(report)};
}

Standing standing_of(const FenceError& fence, const ShopAdvice& advice) {
  if (advice.bowed) return Standing::kBowed;
  if (!advice.decision) return fence.sense_is_known() ? Standing::kAdjust : Standing::kUndecided;
  switch (advice.decision->verdict) {
    case Verdict::kSquare:
      return Standing::kSquare;
    case Verdict::kNotSquare:
      return Standing::kAdjust;
    case Verdict::kCannotBeTold:
      break;
  }
  return Standing::kUndecided;
}

std::string capital(std::string sentence) {
  if (!sentence.empty() && sentence[0] >= 'a' && sentence[0] <= 'z')
    sentence[0] = static_cast<char>(sentence[0] - 'a' + 'A');
  return sentence;
}

std::string error_words(const Parts& p) {
  const double cut_mm = p.setup.cut_length_mm;
  std::string words = fine_length_text(std::fabs(p.fence.theta) * cut_mm, p.fence.U * cut_mm, p.units) +
                      " out over a " + plain_length_text(cut_mm, p.units) + " cut";
  if (p.wishes.tolerance)
    words += ", " + allowed_text(*p.wishes.tolerance, cut_mm, p.units) + " allowed" +
             (p.wishes.tolerance->usual ? " (a usual figure)" : "");
  return words + ".";
}

std::string turn_words(const Parts& p) {
  return std::string("Turn the fence ") +
         (p.fence.sense() == Sense::kClockwise ? "counter-clockwise" : "clockwise") +
         ", seen from above. Give --pivot and --pivot-distance to get the move.";
}

// The move with the leaf or the turns that make it.
std::string whole_move(const Parts& p) {
  return move_phrase(*p.move, p.units) + ": " + means_phrase(*p.advice.adjustment, p.units) + ".";
}

std::string undecided_words(const Parts& p) {
  std::string words =
      p.advice.decision
          ? capital(settling_words(*p.advice.decision, longest_strip_mm(p.from), p.units, p.from))
          : "Cut another strip and measure it";
  if (!p.advice.ask_distance.empty()) return words.empty() ? p.advice.ask_distance : words + ".";
  if (!p.advice.adjustment)
    return words.empty() ? "Leave the fence alone. Which way it is out is a guess." : words + ".";
  return (words.empty() ? "Make this move and measure again. "
                        : words + ", or make this move and measure again. ") +
         whole_move(p);
}

std::string move_words(const Parts& p, Standing standing) {
  switch (standing) {
    case Standing::kSquare:
      return "Leave the fence alone.";
    case Standing::kUndecided:
      return undecided_words(p);
    case Standing::kBowed:
      return "Leave the fence alone for now. Check it with a straightedge, hold the board still, and cut a "
             "new "
             "strip.";
    case Standing::kAdjust:
    case Standing::kNotMeasured:
      break;
  }
  if (!p.advice.ask_distance.empty()) return p.advice.ask_distance;
  if (p.advice.adjustment) return whole_move(p);
  if (!p.move) return turn_words(p);
  return "Leave the fence alone: the move, " + fine_length_text(p.move->move_mm, p.move->U_mm, p.units) +
         ", is finer than what you have at hand.";
}

std::string sure_words(const Parts& p, bool with_move) {
  const double cut_mm = p.setup.cut_length_mm;
  std::string words =
      "Sure to " + fine_length_text(p.fence.U * cut_mm, p.fence.U * cut_mm, p.units) + " over the cut";
  if (with_move) words += " and " + fine_length_text(p.move->U_mm, p.move->U_mm, p.units) + " at the move";
  words += ", 19 times in 20";
  if (p.advice.strips > 1) words += " (mean of " + std::to_string(p.advice.strips) + " strips)";
  words += std::string(". This ") + (p.wishes.ring ? "ring" : "strip") + " alone is known to " +
           fine_length_text(p.of_strip.U * cut_mm, p.of_strip.U * cut_mm, p.units) + ".";
  if (with_move && p.advice.record)
    words += " " + trust_in_distance(p.advice.record->analysis.response, *p.setup.pivot_distance_mm, p.units);
  return words;
}

std::string caution_words(Standing standing, bool moving) {
  const std::string manual = " Your saw's manual and your shop's rules come first.";
  if (moving || standing == Standing::kAdjust) return "Unplug the saw." + manual;
  if (standing == Standing::kSquare) return {};
  return "Hands out of the blade's path; hold small pieces with a hold-down." + manual;
}

Answer answer_of(const Parts& p, Standing standing) {
  Answer answer;
  answer.standing = standing;
  answer.verdict = standing_words(standing, {p.wishes.ring.has_value(), p.wishes.tolerance.has_value()});
  answer.error = error_words(p);
  answer.move = move_words(p, standing);
  const bool moving = p.advice.adjustment.has_value();
  answer.how_sure = sure_words(p, moving);
  answer.caution = caution_words(standing, moving);
  return answer;
}

std::string bow_words(const StripMeasurement& strip, Units units) {
  const EdgeFit& worst =
      std::fabs(strip.edges[0].bow_mm) > std::fabs(strip.edges[1].bow_mm) ? strip.edges[0] : strip.edges[1];
  return std::string("an edge ") + (worst.bow_mm > 0 ? "stands out" : "is hollow") + " by " +
         fine_length_text(std::fabs(worst.bow_mm), units == Units::kInch ? kMmPerThou : 0.01, units) +
         " in its middle";
}

std::string off_words(double error_mm, Units units) {
  const double least_shown_mm = units == Units::kInch ? 0.05 * kMmPerThou : 0.0005;
  if (std::fabs(error_mm) < least_shown_mm) return {};
  return ", " + fixed(std::fabs(error_mm) / fine_unit_mm(units), units == Units::kInch ? 1 : 3) + " " +
         std::string(fine_unit_name(units)) + (error_mm > 0 ? " over" : " short");
}

std::string phrase(const StackPlan& made, Units units) {
  const FeelerStack& stack = made.plan.best;
  if (stack.spacers_mm.empty() && stack.leaves_mm.size() == 1)
    return "use the " + leaf_text(stack.leaves_mm.front(), units) + " leaf" +
           off_words(stack.error_mm, units);
  std::string pieces;
  for (const double spacer : stack.spacers_mm)
    pieces += (pieces.empty() ? "" : " + ") + leaf_text(spacer, units) + " spacer";
  for (const double leaf : stack.leaves_mm) pieces += (pieces.empty() ? "" : " + ") + leaf_text(leaf, units);
  return "stack " + pieces + off_words(stack.error_mm, units);
}

std::string phrase(const ScrewPlan& made, Units /*units*/) {
  const int whole = made.turns.whole_turns;
  return "turn the " + made.thread.text + " screw " +
         (whole > 0 ? std::to_string(whole) + (whole == 1 ? " turn and " : " turns and ") : std::string()) +
         std::to_string(made.turns.degrees) + " degrees";
}

std::string phrase(const ShimPlan& made, Units units) {
  std::string layers;
  for (const ShimLayer& layer : made.layers)
    layers += (layers.empty() ? "" : ", ") + std::to_string(layer.sheets) + " x " + layer.kind.name;
  return "use " + layers + off_words(made.error_mm, units);
}

std::string phrase(const IndicatorPlan& made, Units units) {
  return "until the dial has gone " +
         fine_length_text(made.reading.reading_mm, 0.1 * fine_unit_mm(units), units);
}

std::string fence_end_side(const MeasurementReport& report) {
  const PictureMeasurement& m = *report.measurement;
  const auto at = [&](double position_mm) {
    return m.map.picture_from_sheet(m.strip.centre_mm + position_mm * m.strip.along);
  };
  const Eigen::Vector2d way = at(m.strip.fence_mm) - at(m.strip.far_mm);
  const bool upright = std::abs(way.y()) >= std::abs(way.x());
  const char* side = upright ? (way.y() > 0 ? "bottom" : "top") : (way.x() > 0 ? "right" : "left");
  return std::string(side);
}

}  // namespace

std::string means_phrase(const Adjustment& adjustment, Units units) {
  return std::visit([&](const auto& made) { return phrase(made, units); }, adjustment.plan);
}

Standing standing_of(const MeasurementReport& report) {
  if (!report.measurement.ok() || !report.fence) return Standing::kNotMeasured;
  return standing_of(*report.fence, report.advice);
}

Standing standing_of(const WidthsReport& report) {
  return standing_of(report.fence, report.advice);
}

std::string standing_words(Standing standing, const StandingTerms& terms) {
  switch (standing) {
    case Standing::kSquare:
      return terms.ring ? "True" : "Square";
    case Standing::kUndecided:
      return "Too close to call";
    case Standing::kBowed:
      return "Bowed";
    case Standing::kAdjust:
      return (terms.tolerance_given ? "Not " : "Out of ") + std::string(terms.ring ? "true" : "square");
    case Standing::kNotMeasured:
      break;
  }
  return "Not measured";
}

std::string fence_end_words(const MeasurementReport& report) {
  return "the end near the " + fence_end_side(report) + " of the picture";
}

Answer answer_of(const MeasurementReport& report) {
  Answer answer = answer_of(parts_of(report, *report.of_strip, *report.fence), standing_of(report));
  const StripMeasurement& strip = report.measurement->strip;
  if (answer.standing == Standing::kBowed)
    answer.error = bow_words(strip, report.units) + ". One angle does not describe this cut.";
  answer.measured = "Measured: " + std::filesystem::path(report.picture.file).filename().string();
  if (!report.further.empty()) answer.measured += " and " + std::to_string(report.further.size()) + " more";
  answer.measured += ", strip " + length_text(strip.length_mm(), report.units, 2, 0) +
                     " long, fence end near the " + fence_end_side(report) +
                     (report.cut_corner == CutCorner::kFarEnd ? ", away from the cut corner." : ".");
  if (report.caliper) answer.notes.push_back(verdict_sentence(*report.caliper, report.units));
  for (const Warning& warning : report.measurement->warnings)
    if (warning.code == "edge-bowed" && answer.standing != Standing::kBowed)
      answer.notes.push_back(capital(bow_words(strip, report.units)) +
                             ". That is too little to change this answer.");
    else if (warning.code != "edge-bowed" && warning.code != "thickness-unknown")
      answer.notes.push_back(warning.text);
  return answer;
}

Answer answer_of(const WidthsReport& report) {
  Answer answer = answer_of(parts_of(report, report.of_strip, report.fence), standing_of(report));
  const auto length = [&](double mm) { return plain_length_text(mm, report.units); };
  if (const auto& gap = report.gap) {
    answer.measured = "From the gap you typed: " + length(gap->outside_mm) + " outside, " +
                      length(gap->inside_mm) + " inside, " + length(gap->apart_mm) + " apart.";
    return answer;
  }
  const TwoWidths& w = report.widths;
  answer.measured = "From the widths you typed: fence end " + length(w.fence_end_mm) + ", far end " +
                    length(w.far_end_mm) + ", " + length(w.apart_mm) + " apart.";
  return answer;
}

}  // namespace tapersight
