#include "numeric/t_mixture.h"

#include <algorithm>
#include <cmath>

#include "numeric/distributions.h"
#include "numeric/student_t.h"

namespace tapersight {
namespace {

constexpr double kInner = 0.6827, kOuter = 0.95;

// Possibilities within 15 % of each other as one.
std::vector<PossibleU> gathered(std::vector<PossibleU> possible) {
  constexpr double kAlike = 1.15;
  std::sort(possible.begin(), possible.end(),
            [](const PossibleU& a, const PossibleU& b) { return a.u < b.u; });
  std::vector<PossibleU> few;
  double lowest = 0;
  for (const PossibleU& p : possible) {
    if (few.empty() || p.u > kAlike * lowest) {
      few.push_back({0, 0});
      lowest = p.u;
    }
    PossibleU& last = few.back();
    last.u = (last.u * last.probability + p.u * p.probability) / (last.probability + p.probability);
    last.probability += p.probability;
  }
  return few;
}

// Half the width of what holds `coverage` of the mixture.
double half_width(const std::vector<PossibleU>& few, double coverage, double dof) {
  const double factor = t_factor(coverage, dof);
  double low = factor * few.front().u, high = factor * few.back().u;
  while (high > 1.01 * low) {
    const double middle = std::sqrt(low * high);
    double outside = 0;
    for (const PossibleU& p : few) outside += p.probability * t_two_sided_p(middle / p.u, dof);
    (outside > 1 - coverage ? low : high) = middle;
  }
  return std::sqrt(low * high);
}

}  // namespace

StatedU stated_uncertainty(const std::vector<PossibleU>& possible, double dof) {
  const std::vector<PossibleU> few = gathered(possible);
  if (few.size() == 1) return {few.front().u, dof};
  const double inner = half_width(few, kInner, dof), outer = half_width(few, kOuter, dof);
  double low = 1, high = dof;
  while (high > 1.02 * low) {
    const double middle = std::sqrt(low * high);
    (t_factor(kOuter, middle) / t_factor(kInner, middle) > outer / inner ? low : high) = middle;
  }
  return {outer / t_factor(kOuter, high), high};
}

}  // namespace tapersight
