#include "report/text.h"

#include <vector>

#include "base/text.h"
#include "fence/describe.h"
#include "fence/steps.h"
#include "report/answer.h"
#include "report/caliper_report.h"
#include "report/words.h"

namespace tapersight {
namespace {

std::vector<std::string> strip_widths(const MeasurementReport& report) {
  const StripMeasurement& s = report.measurement->strip;
  const double k = t_factor(kCoverage, s.dof);
  const double U_mm = k * s.u_width_mm;
  return {
      "Taper: " + taper_text(s.taper, k * s.u_taper, report.units) + " (" + coverage_text(k) + "), " +
          (s.taper >= 0 ? "wider at the fence end." : "narrower at the fence end."),
      "Width at the fence end: " + length_with_uncertainty(s.fence_end_width_mm, U_mm, report.units) + ".",
      "Width at the far end: " + length_with_uncertainty(s.far_end_width_mm, U_mm, report.units) + ".",
      "The widths share most of their uncertainty. The taper is not affected."};
}

std::vector<std::string> move_words(const std::optional<FenceMove>& move, const SledSetup& setup,
                                    Units units) {
  if (move) return describe_move(*move, setup, units);
  return {"Give --pivot left|right and --pivot-distance to get the move."};
}

// Red, amber and green only repeat what the words say.
Style style_of(Standing standing) {
  switch (standing) {
    case Standing::kSquare:
      return Style::kGood;
    case Standing::kUndecided:
    case Standing::kBowed:
      return Style::kOpen;
    case Standing::kAdjust:
    case Standing::kNotMeasured:
      break;
  }
  return Style::kBad;
}

// Set after wrapping, so that what a terminal does not show takes no room.
void highlight(std::string& text, const std::string& words, Style style, const Terminal& terminal) {
  const auto at = text.find(words);
  if (at != std::string::npos) text.replace(at, words.size(), styled(words, style, terminal));
}

// The first note, and how many more there are.
std::string note_words(const std::vector<std::string>& notes, bool details) {
  if (notes.size() < 2 || details) return "Note: " + notes.front();
  return "Note (of " + std::to_string(notes.size()) + "): " + notes.front();
}

std::string answer_text(const Answer& answer, const Terminal& terminal, bool details) {
  std::string text;
  put(text, "", answer.verdict + ": " + answer.error, terminal);
  put(text, "", answer.move, terminal);
  put(text, "", answer.how_sure, terminal);
  put(text, "", answer.measured, terminal);
  if (!answer.notes.empty()) put(text, "", note_words(answer.notes, details), terminal);
  const std::string more = details ? "" : answer.caution.empty() ? "More: --details" : " (--details)";
  if (!(answer.caution + more).empty()) put(text, "", answer.caution + more, terminal);
  highlight(text, answer.verdict, style_of(answer.standing), terminal);
  for (const char* way : {"away from you", "toward you", "Leave the fence alone"})
    highlight(text, way, Style::kBold, terminal);
  return text;
}

// From the error to what to do about it: the same for a picture and for a caliper's readings.
void put_advice(std::string& out, const FenceError& of_strip, const FenceError& fence,
                const std::optional<FenceMove>& move, const ShopWishes& wishes, const ShopAdvice& advice,
                const SledSetup& setup, Units units, MeasuredFrom from, const Terminal& terminal) {
  put_numbered(out, "What to do, in order", advice.steps, terminal);
  if (advice.ring) put_all(out, "The mitre", describe_ring(*advice.ring, *wishes.ring), terminal);
  std::vector<std::string> error = describe_error(fence, setup, units);
  for (std::string& line : cutting_words(of_strip, advice, setup, units)) error.push_back(std::move(line));
  put_all(out, "The fence's error", error, terminal);
  if (advice.decision && !advice.bowed)
    put_all(out, "Square enough?",
            describe_decision(*advice.decision, *wishes.tolerance, longest_strip_mm(from), units, from),
            terminal);
  put_all(out, advice.is_square() ? "If you want it closer still" : "The move",
          advice.ask_distance.empty() ? move_words(move, setup, units)
                                      : std::vector<std::string>{advice.ask_distance},
          terminal);
  if (advice.record)
    put_all(out, "The record of " + wishes.record->sled, record_words(*advice.record, units), terminal);
}

std::vector<std::string> warning_texts(const std::vector<Warning>& warnings) {
  std::vector<std::string> texts;
  texts.reserve(warnings.size());
  for (const Warning& warning : warnings) texts.push_back(warning.text);
  return texts;
}

std::string readings_text(const WidthsReport& report) {
  const double u_mm = report.gap ? report.gap->outside_u_mm : report.widths.fence_end_u_mm;
  return "Each reading is taken as good to " + plain_length_text(u_mm, report.units) +
         " (one caliper reading on sawn wood, standard uncertainty).";
}

}  // namespace

std::string measurement_text(const MeasurementReport& report, const Terminal& terminal, bool details) {
  std::string out = answer_text(answer_of(report), terminal, details);
  if (!details) return out;
  put_advice(out, *report.of_strip, *report.fence, report.move, report.wishes, report.advice, report.setup,
             report.units, measured_from(report), terminal);
  put_all(out, "The strip", strip_widths(report), terminal);
  if (report.caliper) out += "\n" + caliper_section(*report.caliper, report.units, terminal);
  std::vector<std::string> measured = measured_things(report);
  measured.push_back("Set-up: " + setup_words(report.setup, report.wishes.ring));
  put_all(out, "How it was measured", measured, terminal);
  put_all(out, "Note", warning_texts(report.measurement->warnings), terminal);
  return out;
}

std::string correction_text(const WidthsReport& report, const Terminal& terminal, bool details) {
  std::string out = answer_text(answer_of(report), terminal, details);
  if (!details) return out;
  put_advice(out, report.of_strip, report.fence, report.move, report.wishes, report.advice, report.setup,
             report.units, measured_from(report), terminal);
  put_all(out, "How it was measured",
          {readings_text(report), "Set-up: " + setup_words(report.setup, report.wishes.ring)}, terminal);
  return out;
}

std::string guide_text(const SledSetup& setup, Units units, const Terminal& terminal) {
  std::string out;
  for (const std::string& line : guide(setup, units)) {
    const std::size_t digits = std::min(line.find_first_not_of("0123456789"), line.size());
    const bool is_step = digits > 0 && line.compare(digits, 2, ". ") == 0;
    const std::size_t text = is_step ? digits + 2 : 0;
    put(out, line.substr(0, text), line.substr(text), terminal);
  }
  return out;
}

std::string failure_text(const Failure& failure, const Terminal& terminal) {
  std::string out;
  put(out, "tapersight: ", failure.text, terminal);
  put(out, "            ", failure.remedy, terminal);
  return out;
}

}  // namespace tapersight
