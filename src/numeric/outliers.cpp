#include "numeric/outliers.h"

#include <algorithm>
#include <cmath>

#include "numeric/descriptive.h"
#include "numeric/distributions.h"
#include "numeric/student_t.h"

namespace tapersight {
namespace {

struct Group {
  std::vector<double> values;         // still in
  std::vector<std::size_t> original;  // their places in the caller's group
  std::size_t may_lose = 0;
};

struct Candidate {
  std::size_t group = 0;
  std::size_t at = 0;
  double deviate = 0;  // |x - mean| / sqrt(1 - 1/n): comparable between groups of different size
  double size = 0;     // |x - mean|
};

std::vector<Group> prepared(const std::vector<std::vector<double>>& groups, const OutlierOptions& options) {
  std::vector<Group> result;
  for (const auto& values : groups) {
    Group group;
    group.values = values;
    for (std::size_t i = 0; i < values.size(); ++i) group.original.push_back(i);
    if (values.size() >= options.smallest_group && !values.empty()) group.may_lose = (values.size() - 1) / 2;
    result.push_back(std::move(group));
  }
  return result;
}

// The reading that lies farthest out, or none (size 0) when every reading sits on its group's mean.
Candidate worst_of(const std::vector<Group>& groups) {
  Candidate worst;
  for (std::size_t g = 0; g < groups.size(); ++g) {
    const auto& values = groups[g].values;
    if (groups[g].may_lose == 0) continue;
    const double centre = mean(values);
    const double shrink = std::sqrt(1 - 1 / static_cast<double>(values.size()));
    for (std::size_t i = 0; i < values.size(); ++i) {
      const double size = std::abs(values[i] - centre);
      if (size / shrink > worst.deviate) worst = {g, i, size / shrink, size};
    }
  }
  return worst;
}

struct Pool {
  double sum_of_squares = 0;
  double dof = 0;         // of all the groups together
  double candidates = 0;  // readings that might be accused
};

Pool pool_of(const std::vector<Group>& groups) {
  Pool pool;
  for (const Group& group : groups) {
    if (group.values.empty()) continue;
    pool.sum_of_squares += sum_of_squares(group.values);
    pool.dof += static_cast<double>(group.values.size() - 1);
    if (group.may_lose > 0) pool.candidates += static_cast<double>(group.values.size());
  }
  return pool;
}

// The deviate's externally Studentised form is exactly Student's t when the readings are Gaussian.
OutlierStep judged(const Candidate& worst, const Pool& pool, const std::vector<Group>& groups,
                   const OutlierOptions& options) {
  const double rest_dof = pool.dof - 1;
  const double rest = std::max({0.0, pool.sum_of_squares - worst.deviate * worst.deviate,
                                rest_dof * options.floor_sd * options.floor_sd});
  OutlierStep step;
  step.group = worst.group;
  step.index = groups[worst.group].original[worst.at];
  step.deviate = worst.size / std::sqrt(pool.sum_of_squares / pool.dof);
  const double t_limit = t_factor(1 - options.level / pool.candidates, rest_dof);
  const double shrink = worst.size / worst.deviate;
  step.critical = shrink * t_limit * std::sqrt(pool.dof / (rest_dof + t_limit * t_limit));
  const double t = rest > 0 ? worst.deviate / std::sqrt(rest / rest_dof) : kInfiniteDof;
  step.p = std::min(1.0, pool.candidates * t_two_sided_p(t, rest_dof));
  return step;
}

}  // namespace

OutlierResult find_outliers(const std::vector<std::vector<double>>& input, const OutlierOptions& options) {
  std::vector<Group> groups = prepared(input, options);
  OutlierResult result;
  while (options.max_outliers == 0 || result.steps.size() < options.max_outliers) {
    const Candidate worst = worst_of(groups);
    const Pool pool = pool_of(groups);
    if (!(worst.size > 0) || pool.dof < 2) break;
    result.steps.push_back(judged(worst, pool, groups, options));
    if (result.steps.back().p < options.level) result.outliers = result.steps.size();
    Group& group = groups[worst.group];
    group.values.erase(group.values.begin() + static_cast<std::ptrdiff_t>(worst.at));
    group.original.erase(group.original.begin() + static_cast<std::ptrdiff_t>(worst.at));
    --group.may_lose;
  }
  return result;
}

}  // namespace tapersight
