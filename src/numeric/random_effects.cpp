#include "numeric/random_effects.h"

#include <cmath>

#include "numeric/descriptive.h"

namespace tapersight {

double excess_variance(const std::vector<double>& results, const std::vector<double>& u) {
  double own = 0;
  for (const double one : u) own += one * one / static_cast<double>(u.size());
  return sum_of_squares(results) / static_cast<double>(results.size() - 1) - own;
}

RandomEffectsMean random_effects_mean(const std::vector<double>& results, const std::vector<double>& u,
                                      double between) {
  RandomEffectsMean out;
  double sum = 0;
  for (const double one : u) {
    out.shares.push_back(1 / (one * one + between));
    sum += out.shares.back();
  }
  for (std::size_t i = 0; i < results.size(); ++i) {
    out.shares[i] /= sum;
    out.mean += out.shares[i] * results[i];
  }
  out.u = 1 / std::sqrt(sum);
  if (results.size() < 2) return out;
  double misfit = 0;
  for (std::size_t i = 0; i < results.size(); ++i)
    misfit += out.shares[i] * sum * (results[i] - out.mean) * (results[i] - out.mean);
  out.birge = std::sqrt(misfit / static_cast<double>(results.size() - 1));
  return out;
}

}  // namespace tapersight
