#include <cmath>

#include "base/text.h"
#include "caliper/describe.h"
#include "caliper/words.h"

namespace tapersight {
namespace {

using words::column;

// Squares are printed in thou^2 or in (0.001 mm)^2, in whole numbers.
double squared_unit_mm2(Units units) {
  const double unit = units == Units::kInch ? kMmPerThou : 0.001;
  return unit * unit;
}

std::string anova_line(const char* name, const AnovaRow& row, Units units) {
  const double unit = squared_unit_mm2(units);
  std::string line = column(name, 16) + column(fixed(row.dof, 0), 6) +
                     column(fixed(row.sum_of_squares / unit, 2), 16) +
                     column(fixed(row.mean_square / unit, 3), 16);
  if (row.f > 0)
    line += column(fixed(row.f, 2), 10) + (row.p < 0.001 ? std::string("<0.001") : fixed(row.p, 3));
  return std::string(trimmed(line));
}

std::string component_line(const char* name, double variance_mm2, double total_mm2, Units units) {
  const double share = total_mm2 > 0 ? 100 * variance_mm2 / total_mm2 : 0;
  return column(name, 30) + column(words::fine(std::sqrt(variance_mm2), units), 14) + fixed(share, 1) +
         " % of the variance";
}

std::string verdict(const GaugeStudy& study, Units units) {
  const DeviationInterval& s = study.repeatability_interval_mm;
  std::string text = "One reading repeats to " + words::fine(study.s_repeatability_mm, units) +
                     " (standard deviation; 95 %: " + words::fine(s.low, units) + " to " +
                     words::fine(s.high, units) + ", " + fixed(study.repeatability_dof, 0) +
                     " degrees of freedom)";
  if (study.people.size() > 1)
    text += "; between people it reproduces to " + words::fine(study.s_reproducibility_mm, units);
  return text + ".";
}

void add_table(const GaugeStudy& study, Units units, std::vector<std::string>& lines) {
  const std::string unit = units == Units::kInch ? "thou^2" : "(0.001 mm)^2";
  lines.push_back(column("source", 16) + column("dof", 6) + column("sum of squares", 16) +
                  column("mean square", 16) + column("F", 10) + "p   (" + unit + ")");
  lines.push_back(anova_line("places", study.place, units));
  if (study.person.dof > 0) {
    lines.push_back(anova_line("people", study.person, units));
    lines.push_back(anova_line("places x people", study.interaction, units));
  }
  lines.push_back(anova_line("repeats", study.repeatability, units));
  lines.push_back(anova_line("total", study.total, units));
}

void add_components(const GaugeStudy& study, Units units, std::vector<std::string>& lines) {
  const double total = study.var_repeatability + study.var_person + study.var_interaction + study.var_place;
  lines.push_back(component_line("repeatability", study.var_repeatability, total, units));
  if (study.person.dof > 0) {
    lines.push_back(component_line("people", study.var_person, total, units));
    if (study.interaction_pooled)
      lines.push_back("places x people: no sign of it (p = " + fixed(study.interaction.p, 3) +
                      "), counted as repeatability");
    else
      lines.push_back(component_line("places x people", study.var_interaction, total, units));
  }
  lines.push_back(component_line("true difference of the places", study.var_place, total, units));
}

}  // namespace

CaliperWords describe_study(const GaugeStudy& study, Units units) {
  CaliperWords words{{verdict(study, units)}, {}, {}};
  for (const StudySuspect& suspect : study.suspects)
    words.sentences.push_back("Look again at reading " + std::to_string(suspect.number) + " of " +
                              suspect.person + " at place " + suspect.place + ": " +
                              words::width(suspect.value_mm, units) + " beside about " +
                              words::width(suspect.others_mm, units) +
                              "; it is still in the figures here, correct it and run again.");
  add_table(study, units, words.table);
  words.table.emplace_back();
  add_components(study, units, words.table);
  return words;
}

}  // namespace tapersight
