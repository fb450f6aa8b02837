#include "report/text.h"

#include <vector>

#include "base/text.h"
#include "fence/describe.h"
#include "fence/steps.h"
#include "report/caliper_report.h"
#include "report/lines.h"
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
      "Width at the far end: " + length_with_uncertainty(s.far_end_width_mm, U_mm, report.units) +
          " (the two widths share most of this uncertainty; the taper does not suffer from it)."};
}

std::vector<std::string> move_words(const std::optional<FenceMove>& move, const SledSetup& setup,
                                    Units units) {
  if (move) return describe_move(*move, setup, units);
  return {"Give --pivot left|right and --pivot-distance to be told the move at the adjusting screw."};
}

// From the error to what to do about it: the same for a picture and for a caliper's readings.
void put_advice(std::string& out, const FenceError& fence, const std::optional<FenceMove>& move,
                const ShopWishes& wishes, const ShopAdvice& advice, const SledSetup& setup, Units units,
                MeasuredFrom from) {
  if (advice.ring) put_all(out, "The mitre", describe_ring(*advice.ring, *wishes.ring));
  put_all(out, "The fence's error", describe_error(fence, setup, units));
  if (advice.decision)
    put_all(out, "Within the tolerance?",
            describe_decision(*advice.decision, *wishes.tolerance, longest_strip_mm(from), units, from));
  if (advice.record)
    put_all(out, "The record of " + wishes.record->sled, record_words(*advice.record, units));
  if (!advice.is_square()) put_all(out, "The move", move_words(move, setup, units));
  put_numbered(out, "What to do, in order", advice.steps);
  if (advice.is_square()) put_all(out, "If you want it nearer still", move_words(move, setup, units));
}

std::vector<std::string> cautions_unless_in(const ShopAdvice& advice) {
  return advice.adjustment ? std::vector<std::string>() : adjusting_cautions();
}

std::vector<std::string> warning_texts(const std::vector<Warning>& warnings) {
  std::vector<std::string> texts;
  texts.reserve(warnings.size());
  for (const Warning& warning : warnings) texts.push_back(warning.text);
  return texts;
}

std::string readings_text(const WidthsReport& report) {
  const auto length = [&](double mm) { return plain_length_text(mm, report.units); };
  const std::string each = " apart; each reading taken as good to ";
  const std::string why = " (standard uncertainty of one caliper reading on sawn wood).";
  if (const auto& gap = report.gap)
    return "The gap: " + length(gap->outside_mm) + " at the outside, " + length(gap->inside_mm) +
           " at the inside, " + length(gap->apart_mm) + each + length(gap->outside_u_mm) + why;
  const TwoWidths& w = report.widths;
  return "Fence end " + length(w.fence_end_mm) + ", far end " + length(w.far_end_mm) + ", " +
         length(w.apart_mm) + each + length(w.fence_end_u_mm) + why;
}

}  // namespace

std::string measurement_text(const MeasurementReport& report) {
  std::string out = "Measured\n";
  std::vector<std::string> measured = measured_things(report);
  measured.push_back("Set-up: " + setup_words(report.setup, report.wishes.ring));
  for (const std::string& line : measured) put(out, "  ", line);
  put_advice(out, *report.fence, report.move, report.wishes, report.advice, report.setup, report.units,
             measured_from(report));
  put_all(out, "The strip", strip_widths(report));
  if (report.caliper) out += "\n" + caliper_section(*report.caliper, report.units);
  put_all(out, "Mind", warning_texts(report.measurement->warnings));
  put_all(out, "Before you touch the fence", cautions_unless_in(report.advice));
  return out;
}

std::string correction_text(const WidthsReport& report) {
  std::string out = report.gap ? "From the closing gap\n" : "From two widths\n";
  std::vector<std::string> typed{readings_text(report)};
  typed.push_back("Set-up: " + setup_words(report.setup, report.wishes.ring));
  for (const std::string& line : typed) put(out, "  ", line);
  put_advice(out, report.fence, report.move, report.wishes, report.advice, report.setup, report.units,
             measured_from(report));
  put_all(out, "Before you touch the fence", cautions_unless_in(report.advice));
  return out;
}

std::string guide_text(const SledSetup& setup, Units units) {
  std::string out;
  for (const std::string& line : guide(setup, units)) {
    const std::size_t digits = std::min(line.find_first_not_of("0123456789"), line.size());
    const bool is_step = digits > 0 && line.compare(digits, 2, ". ") == 0;
    const std::size_t text = is_step ? digits + 2 : 0;
    put(out, line.substr(0, text), line.substr(text));
  }
  return out;
}

std::string failure_text(const Failure& failure) {
  std::string out;
  put(out, "tapersight: ", failure.text);
  put(out, "            ", failure.remedy);
  return out;
}

}  // namespace tapersight
