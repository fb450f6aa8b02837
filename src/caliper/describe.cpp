#include "caliper/describe.h"

#include <cmath>

#include "base/text.h"
#include "caliper/words.h"

namespace tapersight {
namespace {

using words::column;
using words::fine;
using words::fine_pm;

std::string normalised_error_text(const CaliperJudgement& judgement) {
  return "E_n = " + fixed(*judgement.normalised_error, 2);
}

// How the difference stands beside the picture's, as the end of a sentence.
std::string agreement_clause(const CaliperJudgement& judgement) {
  switch (judgement.agreement) {
    case Agreement::kAgrees:
      return "its difference agrees with the picture's (" + normalised_error_text(judgement) + ")";
    case Agreement::kAgreesWeakly:
      return "its difference is consistent with the picture's, but its own interval is " +
             fixed(judgement.taper.U_taper / judgement.U_picture, 1) +
             " times as wide, so that says little (" + normalised_error_text(judgement) + ")";
    case Agreement::kDisagrees:
      return "its difference and the picture's do not agree (" + normalised_error_text(judgement) +
             "), but with so much scatter that proves nothing";
    case Agreement::kNotCompared:
      break;
  }
  return "only a second instrument, such as a picture of the same strip, can tell whether its difference is "
         "right";
}

std::string wrong_difference_sentence(const CaliperJudgement& judgement, Units units) {
  const double apart =
      std::abs(judgement.taper.taper - judgement.picture->taper) * words::distance_mm(judgement);
  return "Do not use this caliper for the taper: its difference and the picture's are " + fine(apart, units) +
         " apart, more than both uncertainties allow (" + normalised_error_text(judgement) +
         "); one of the two is wrong, and more readings of the same kind will not say which.";
}

std::string scattered_sentence(const CaliperJudgement& judgement, Units units) {
  return "These readings do not repeat well enough yet: one reading scatters by " +
         fine(judgement.taper.repeatability.s_mm, units) + " (standard deviation), and " +
         fine(judgement.scatter_limit_mm, units) + " is the most that so few good readings should show; " +
         agreement_clause(judgement) + ".";
}

std::string usable_fault_sentence(const CaliperJudgement& judgement, Units units) {
  const bool zero = has_fault(judgement, CaliperFault::kZeroOff);
  const bool scale = has_fault(judgement, CaliperFault::kScaleOff);
  std::string what;
  if (zero)
    what = "its zero is off by " + fine(judgement.zero_mm.value, units) +
           ", the same at both ends, so the taper is not affected";
  if (scale)
    what += std::string(zero ? "; " : "") + "its scale is off by " + fixed(100 * judgement.scale.value, 2) +
            " %, which has been taken out";
  if (!zero && !scale) {
    const NullCheck& size = judgement.block_mm.found ? judgement.block_mm : judgement.size_mm;
    what = std::string(judgement.block_mm.found ? "the block reads " : "both widths read ") +
           fine(std::abs(size.value), units) + (size.value > 0 ? " too much" : " too little") +
           (judgement.block_mm.found ? "" : " beside the picture") +
           ", by its zero or its scale; a zero leaves the taper alone and a scale changes it by that "
           "fraction of "
           "itself";
  }
  return "This caliper can be used for the taper, not for the widths as they stand: " + what + "; " +
         agreement_clause(judgement) + ".";
}

std::vector<std::string> advice_sentences(const CaliperJudgement& judgement, Units units) {
  std::vector<std::string> advice;
  if (judgement.agreement == Agreement::kDisagrees)
    advice.push_back(
        "To settle it, turn the strip end for end on the same spot of the sheet, take a second picture and "
        "measure both: half their difference is the strip's taper, half their sum the picture's own error.");
  if (has_fault(judgement, CaliperFault::kScattered))
    advice.push_back(
        "Clean the jaws and the strip's edges, close the jaws with the same light pressure, square to the "
        "strip, at "
        "marked places, and take more readings.");
  if (has_fault(judgement, CaliperFault::kDifferenceWrong))
    advice.push_back(
        "Look for what differs between the ends: a splinter or dust under a jaw, a tilted jaw, the corner of "
        "the "
        "strip, readings from other places than the picture's.");
  if (has_fault(judgement, CaliperFault::kSizeOff) && !judgement.zero_mm.tested)
    advice.push_back(
        "Close the jaws and read them, then read a known block: that tells a zero from a scale.");
  if (judgement.size_mm.found && judgement.zero_mm.tested && judgement.scale.tested)
    advice.push_back(
        "The widths differ from the picture's by " + fine(judgement.size_mm.value, units) +
        " though zero and block are right: the sheet may not be printed at 100 %, or the strip's "
        "thickness was not allowed for. The taper does not depend on it.");
  if (!judgement.taper.ends_scatter_alike)
    advice.push_back("One end scatters more than the other: look at the strip's edges there.");
  if (judgement.taper.fence_end.readings < 3 || judgement.taper.far_end.readings < 3)
    advice.push_back(
        "With fewer than three readings at an end a mistyped one cannot be told from a good one.");
  if (judgement.no_taper_seen)
    advice.push_back(
        "Both intervals take in zero taper, so it is easy to agree. A strip with more taper is a better "
        "test.");
  return advice;
}

std::string suspect_sentence(const SuspectReading& suspect, Units units) {
  std::string line = "Left out: reading " + std::to_string(suspect.number) + " at the " +
                     place_name(suspect.place) + ", " + words::width(suspect.value_mm, units) +
                     ", where the others read about " + words::width(suspect.others_mm, units);
  if (!suspect.cause.empty()) line += "; " + suspect.cause;
  if (suspect.meant_mm && std::abs(*suspect.meant_mm - suspect.value_mm) > 1e-9)
    line += " (" + words::width(*suspect.meant_mm, units) + "?)";
  return line + ". Generalised ESD test, level " + fixed(100 * kSuspectLevel, 1) + " %.";
}

std::string width_row(const char* name, const WidthEstimate& width, const std::optional<double>& picture_mm,
                      Units units) {
  const double U = t_factor(kCaliperCoverage, width.dof) * width.u_mm;
  return column(name, 12) + column(std::to_string(width.readings), 10) +
         column(length_with_uncertainty(width.mean_mm, U, units), 26) +
         (picture_mm ? words::width(*picture_mm, units) : "-");
}

std::string check_row(const char* name, const NullCheck& check, const std::string& value, const char* found) {
  if (!check.tested) return column(name, 24) + "not measured";
  return column(name, 24) + column(value, 26) + (check.found ? found : "nothing found");
}

std::string taper_row(const char* name, double taper, double U, double k, double distance_mm, Units units) {
  return column(name, 12) + column(fine_pm(taper * distance_mm, U * distance_mm, units), 26) +
         column(units == Units::kInch ? per_inch_with_uncertainty(taper, U)
                                      : mm_per_m_with_uncertainty(taper, U),
                34) +
         "k = " + fixed(k, 2);
}

void add_widths(const CaliperJudgement& j, Units units, std::vector<std::string>& lines) {
  std::optional<double> fence, far;
  if (j.picture && j.picture->widths) {
    fence = j.picture->widths->fence_end_mm;
    far = j.picture->widths->far_end_mm;
  }
  lines.push_back(column("width", 12) + column("readings", 10) +
                  column(j.zero_corrected || j.scale_corrected ? "caliper, corrected" : "caliper", 26) +
                  "picture");
  lines.push_back(width_row("fence end", j.taper.fence_end, fence, units));
  lines.push_back(width_row("far end", j.taper.far_end, far, units));
}

void add_checks(const CaliperJudgement& j, Units units, std::vector<std::string>& lines) {
  const Repeatability& repeat = j.taper.repeatability;
  lines.push_back(column("repeatability", 24) +
                  column(fine(repeat.s_mm, units) + " (" + fixed(repeat.dof, 0) + " dof)", 26) + "95 %: " +
                  fine(repeat.interval_mm.low, units) + " to " + fine(repeat.interval_mm.high, units));
  lines.push_back(
      column("step, limit of error", 24) +
      column(fine(j.spec.resolution_mm, units) + ", +/- " + fine(j.spec.limit_of_error_mm, units), 26) +
      (j.spec.limit_is_usual
           ? std::string("usual for a ") + caliper_kind_name(j.spec.kind) + " one, from memory"
           : std::string("as given")));
  lines.push_back(
      check_row("zero (closed jaws)", j.zero_mm, fine_pm(j.zero_mm.value, j.zero_mm.U95, units), "off"));
  if (j.block_mm.tested) {
    lines.push_back(check_row("block, zero unknown", j.block_mm,
                              fine_pm(j.block_mm.value, j.block_mm.U95, units), "off"));
  } else {
    lines.push_back(check_row("scale (known block)", j.scale,
                              with_uncertainty(100 * j.scale.value, 100 * j.scale.U95, "%", 3), "off"));
  }
  if (j.size_mm.tested)
    lines.push_back(check_row("size beside the picture", j.size_mm,
                              fine_pm(j.size_mm.value, j.size_mm.U95, units), "differs"));
}

void add_tapers(const CaliperJudgement& j, Units units, std::vector<std::string>& lines) {
  const double distance = words::distance_mm(j);
  lines.push_back(column("taper", 12) + column("over " + length_text(distance, units), 26) +
                  column("slope", 34) + "about 95 %");
  lines.push_back(
      taper_row("caliper", j.taper.taper, j.taper.U_taper, j.taper.coverage_factor, distance, units));
  if (j.picture)
    lines.push_back(taper_row("picture", j.picture->taper, j.U_picture,
                              t_factor(kCaliperCoverage, j.picture->dof), distance, units));
  if (j.best)
    lines.push_back(taper_row("both", j.best->taper, j.best->U, t_factor(kCaliperCoverage, j.best->u.dof),
                              distance, units));
  lines.push_back("caliper's standard uncertainty: scatter " + fine(j.taper.u_scatter_mm, units) + ", step " +
                  fine(j.taper.u_resolution_mm, units) + ", limit of error " +
                  fine(j.taper.u_limit_mm, units));
  if (j.picture)
    lines.push_back("an error in the difference of " + fine(j.smallest_fault_seen_mm, units) +
                    " or more would show here, 19 times in 20");
}

}  // namespace

std::string verdict_sentence(const CaliperJudgement& judgement, Units units) {
  if (has_fault(judgement, CaliperFault::kDifferenceWrong))
    return wrong_difference_sentence(judgement, units);
  if (has_fault(judgement, CaliperFault::kScattered)) return scattered_sentence(judgement, units);
  if (!judgement.faults.empty()) return usable_fault_sentence(judgement, units);
  if (judgement.agreement == Agreement::kAgrees)
    return "You can trust this caliper for the taper: " + agreement_clause(judgement) + ".";
  return "No fault found in this caliper; " + agreement_clause(judgement) + ".";
}

CaliperWords describe_judgement(const CaliperJudgement& judgement, Units units) {
  CaliperWords words{{verdict_sentence(judgement, units)}, {}, advice_sentences(judgement, units)};
  for (const SuspectReading& suspect : judgement.screening.suspects)
    words.sentences.push_back(suspect_sentence(suspect, units));
  add_widths(judgement, units, words.table);
  words.table.emplace_back();
  add_tapers(judgement, units, words.table);
  words.table.emplace_back();
  add_checks(judgement, units, words.table);
  return words;
}

}  // namespace tapersight
