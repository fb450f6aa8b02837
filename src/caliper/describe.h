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

// One plain sentence: can this caliper be used for the taper, and why (not).
std::string verdict_sentence(const CaliperJudgement& judgement, Units units);

// What to do next, one sentence each; reversal is offered when caliper and picture disagree. May be empty.
std::vector<std::string> advice_sentences(const CaliperJudgement& judgement, Units units);

// Each reading that was left out, with the likely slip.
std::vector<std::string> suspect_sentences(const std::vector<SuspectReading>& suspects, Units units);

// Verdict, suspects, widths, checks, both tapers, advice: lines for a screen, without line ends.
std::vector<std::string> describe_judgement(const CaliperJudgement& judgement, Units units);

// `tolerance` as it was typed: "To decide 2 thou over 12 in with this caliper take 6 readings an end on a
// strip of at least 9 in." and the table behind it; the strip at hand when its length is known (> 0).
std::vector<std::string> describe_plan(const Plan& plan, std::string_view tolerance, double strip_length_mm,
                                       Units units);

// Table of the analysis of variance, the components and what they mean.
std::vector<std::string> describe_study(const GaugeStudy& study, Units units);

}  // namespace tapersight
