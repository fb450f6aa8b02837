// A standard uncertainty that is itself in doubt: one of several, each with its probability.
#pragma once
#include <vector>

namespace tapersight {

struct PossibleU {
  double u = 0;            // > 0
  double probability = 0;  // > 0, sum 1
};

struct StatedU {
  double u = 0;
  double dof = 0;
};

// The scaled t that holds 68.27 % and 95 % between the same limits as the mixture of the possibilities, each
// a t with `dof` degrees of freedom (finite, > 1) and its own u. Where the possibilities agree it is they;
// where they do not, it has fewer degrees of freedom. At least one possibility. Limits are found to 1 %.
StatedU stated_uncertainty(const std::vector<PossibleU>& possible, double dof);

}  // namespace tapersight
