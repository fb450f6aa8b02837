#include "fence/cut_scatter.h"

#include "base/units.h"

namespace tapersight {

CutScatter usual_cut_scatter() {
  return {0.4 * kMmPerThou / kMmPerFoot, 4, 0};
}

FenceError judged_by_one_cut(const FenceError& of_strip, const CutScatter& scatter) {
  FenceError fence = of_strip;
  const CombinedUncertainty sum = combine({{of_strip.u, of_strip.dof}, {scatter.sigma, scatter.dof}});
  fence.u = sum.u;
  fence.dof = sum.dof;
  fence.coverage_factor = t_factor(kCoverage, fence.dof);
  fence.U = fence.coverage_factor * fence.u;
  return fence;
}

}  // namespace tapersight
