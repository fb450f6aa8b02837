// Coverage factors from Student's t (JCGM 100:2008, annex G.3 and table G.2).
#pragma once
#include <limits>
#include <vector>

namespace tapersight {

inline constexpr double kCoverage = 0.95;  // of every expanded uncertainty
inline constexpr double kInfiniteDof = std::numeric_limits<double>::infinity();

// t_p(dof): half the width, in standard uncertainties, of the two-sided interval that covers `coverage`
// (0 < coverage < 1) when the standard uncertainty has `dof` degrees of freedom (> 0, may be infinite;
// fractions are taken as they are).
double t_factor(double coverage, double dof);

// One independent part of a combined standard uncertainty.
struct UncertaintyPart {
  double u = 0;               // standard uncertainty, already times its sensitivity coefficient
  double dof = kInfiniteDof;  // degrees of freedom of u
};

struct CombinedUncertainty {
  double u = 0;
  double dof = kInfiniteDof;  // effective, by the Welch-Satterthwaite formula (JCGM 100:2008, G.2b)
};

CombinedUncertainty combine(const std::vector<UncertaintyPart>& parts);

}  // namespace tapersight
