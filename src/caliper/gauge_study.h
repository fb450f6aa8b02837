// A small gauge study: several places, one or more people, several repeats, every person at every place
// (crossed).
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "numeric/distributions.h"

namespace tapersight {

struct StudyReading {
  std::string place;
  std::string person;
  double value_mm = 0;
};

struct AnovaRow {
  double sum_of_squares = 0;  // mm^2
  double dof = 0;
  double mean_square = 0;  // mm^2; 0 without degrees of freedom
  double f = 0;            // 0 = no test
  double p = 1;
};

struct StudySuspect {
  std::string place, person;
  std::size_t number = 0;  // 1 = this person's first reading at this place
  double value_mm = 0;
  double others_mm = 0;  // median of the cell without it
};

struct GaugeStudy {
  std::vector<std::string> places, people;  // in the order of first appearance
  std::size_t repeats = 0;
  // Two-way analysis of variance with interaction, F against the interaction's mean square (random effects).
  AnovaRow place, person, interaction, repeatability, total;
  // True when the interaction's p exceeds the options' level: it then counts as repeatability.
  bool interaction_pooled = false;
  double repeatability_dof = 0;  // after pooling
  // Variance components, mm^2, never negative.
  double var_repeatability = 0, var_person = 0, var_interaction = 0, var_place = 0;
  double s_repeatability_mm = 0;                // s_r of ISO 5725-2
  double s_reproducibility_mm = 0;              // s_R: repeatability, people and interaction together
  DeviationInterval repeatability_interval_mm;  // 95 %
  std::vector<StudySuspect> suspects;  // outlying readings: named, but a crossed study cannot leave them out
};

struct GaugeStudyOptions {
  double pool_above_p = 0.25;    // usual practice of gauge studies
  double suspect_level = 0.004;  // of the outlier test (numeric/outliers.h)
  double floor_sd_mm = 0;        // scatter that the outlier test takes at least: half a step of the display
};

// Moments as in any text on crossed random-effects designs, for example D. C. Montgomery, "Design and
// Analysis of Experiments", chapter on random effects. One person: one-way analysis, no reproducibility.
// Failures: study-too-small (two places and two repeats are the least), study-not-crossed (names the gap).
Result<GaugeStudy> gauge_study(const std::vector<StudyReading>& readings,
                               const GaugeStudyOptions& options = {});

}  // namespace tapersight
