// The judgement of a caliper in shop words: a verdict sentence first, then the table.
#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/units.h"
#include "caliper/gauge_study.h"
#include "caliper/judge.h"
#include "caliper/plan.h"

namespace tapersight {

// Sentences, to be wrapped by whoever prints them, and rows of a table, which are not.
struct CaliperWords {
  std::vector<std::string> sentences;  // the verdict first
  std::vector<std::string> table;      // rows without indentation; an empty one parts two tables
  std::vector<std::string> advice;     // what to do next; may be empty
};

// One plain sentence: can this caliper be used for the taper, and why (not).
std::string verdict_sentence(const CaliperJudgement& judgement, Units units);

// Verdict and each reading that was left out, with its likely slip; widths, both tapers and the checks; what
// to do: reversal is offered when caliper and picture disagree.
CaliperWords describe_judgement(const CaliperJudgement& judgement, Units units);

// "To decide 2 thou over 12 in with this caliper take 6 readings an end on a strip of at least 9 in." and the
// table behind it; the strip at hand when its length is known (> 0). `tolerance` as it was typed.
CaliperWords describe_plan(const Plan& plan, std::string_view tolerance, double strip_length_mm, Units units);

// How well one reading repeats, suspect readings, the analysis of variance and its components.
CaliperWords describe_study(const GaugeStudy& study, Units units);

}  // namespace tapersight
