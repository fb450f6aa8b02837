// Which of a few readings do not belong to the others: the generalised extreme Studentised deviate test.
#pragma once
#include <cstddef>
#include <vector>

namespace tapersight {

struct OutlierOptions {
  double level = 0.01;  // chance that clean Gaussian readings are accused, over all of them together
  double floor_sd = 0;  // the scatter is never taken smaller (readings rounded to a step agree too well)
  std::size_t max_outliers = 0;  // most that may be accused altogether; 0 = fewer than half of each group
  std::size_t smallest_group =
      3;  // in a smaller group nobody can say which reading is wrong: none is accused
};

// One reading, taken out as the worst of those that were still in.
struct OutlierStep {
  std::size_t group = 0;
  std::size_t index = 0;  // within its group
  double deviate = 0;     // R: distance from its group's mean in pooled standard deviations, itself included
  double critical = 0;    // lambda: what R must exceed
  double p = 1;           // Bonferroni's bound on the probability of so large a deviate
};

struct OutlierResult {
  std::vector<OutlierStep> steps;  // in the order taken out
  std::size_t outliers = 0;        // the first so many steps are outliers
};

// Generalised ESD (B. Rosner, "Percentage points for a generalized ESD many-outlier procedure", Technometrics
// 25, 1983, 165-172; NIST/SEMATECH e-Handbook, 1.3.5.17.3). Groups may have different means but share one
// scatter, which is pooled over all of them, so that three readings an end are enough; with one group and no
// floor this is Rosner's test to the digit (with one step: Grubbs' test).
OutlierResult find_outliers(const std::vector<std::vector<double>>& groups,
                            const OutlierOptions& options = {});

}  // namespace tapersight
