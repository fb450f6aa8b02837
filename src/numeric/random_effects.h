// Several results of one quantity that scatter by more than their uncertainties say: each is of a member that
// differs from the quantity by a little of its own.
#pragma once
#include <vector>

namespace tapersight {

// The variance of the members about the quantity: the results' sample variance less the mean of their u^2.
// The method of moments with equal weights, Cochran's (R. DerSimonian and R. Kacker, Contemporary Clinical
// Trials 28, 2007, 105-114, from memory). May come out negative. At least two results, as many u >= 0.
double excess_variance(const std::vector<double>& results, const std::vector<double>& u);

struct RandomEffectsMean {
  double mean = 0;
  double u = 0;                // standard uncertainty
  std::vector<double> shares;  // of each result in the mean; sum 1
  double birge = 1;            // sqrt(chi-squared / (n - 1)) about the mean; 1 for one result
};

// Mean with the weights 1 / (u^2 + between) (R. DerSimonian and N. Laird, Controlled Clinical Trials 7, 1986,
// 177-188, from memory). `between` > 0 where a u is 0. u is not widened by the Birge ratio (R. T. Birge,
// Phys. Rev. 40, 1932, 207-227, from memory); who wants that multiplies. At least one result.
RandomEffectsMean random_effects_mean(const std::vector<double>& results, const std::vector<double>& u,
                                      double between);

}  // namespace tapersight
