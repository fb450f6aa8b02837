// What a person reads first: how the fence stands, the move, how sure that is, what was measured.
#pragma once
#include <string>
#include <vector>

#include "assess/measurement_report.h"

namespace tapersight {

// In the order in which a teacher would see to them, the calmest first.
enum class Standing {
  kSquare,       // within the tolerance, with its whole uncertainty
  kUndecided,    // the tolerance's limit, or zero where none was given, lies within the uncertainty
  kBowed,        // an edge is not straight: one angle does not describe the cut
  kAdjust,       // out of square beyond the tolerance, or beyond zero where none was given
  kNotMeasured,  // the picture was refused: cut or scan again
};
Standing standing_of(const MeasurementReport& report);
Standing standing_of(const WidthsReport& report);

struct StandingTerms {
  bool ring = false;  // of a ring it says "true" for "square"
  bool tolerance_given = true;
};
// "Square", "Too close to call", "Bowed", "Not square" (without a tolerance "Out of square"), "Not measured".
std::string standing_words(Standing standing, const StandingTerms& terms = {});

struct Answer {
  Standing standing = Standing::kNotMeasured;
  std::string verdict;  // "Not square": standing_words
  std::string error;    // behind it: "26.0 thou out over a 12 in cut, 2 thou allowed."
  std::string move;     // what to do about it, a sentence or two
  std::string how_sure;
  std::string measured;            // from what, and which end was the fence end
  std::vector<std::string> notes;  // what to mind, gravest first
  std::string caution;             // empty when there is nothing to move or to cut
};
// Only for a report whose measurement holds a value.
Answer answer_of(const MeasurementReport& report);
Answer answer_of(const WidthsReport& report);

// "the end near the bottom of the picture".
std::string fence_end_words(const MeasurementReport& report);

// How the chosen means make the move, in a few words: "use the .010 leaf, 0.2 thou over".
std::string means_phrase(const Adjustment& adjustment, Units units);

}  // namespace tapersight
