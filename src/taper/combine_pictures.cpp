#include "taper/combine_pictures.h"

#include <algorithm>
#include <cmath>

#include "numeric/distributions.h"
#include "numeric/student_t.h"

namespace tapersight {
namespace {

struct WayRound {
  int pictures = 0;
  double mean = 0, u = 0, dof = 0;
  double chi_squared = 0;
};

WayRound mean_of(const std::vector<ShownTaper>& pictures, bool reversed) {
  WayRound way;
  double weights = 0;
  for (const ShownTaper& p : pictures) {
    if (p.reversed != reversed) continue;
    ++way.pictures;
    weights += 1 / (p.u * p.u);
    way.mean += p.taper / (p.u * p.u);
  }
  if (way.pictures == 0) return way;
  way.mean /= weights;
  std::vector<UncertaintyPart> parts;
  for (const ShownTaper& p : pictures) {
    if (p.reversed != reversed) continue;
    way.chi_squared += std::pow((p.taper - way.mean) / p.u, 2);
    parts.push_back({1 / (p.u * weights), p.dof});
  }
  const CombinedUncertainty sum = combine(parts);
  way.u = sum.u;
  way.dof = sum.dof;
  return way;
}

}  // namespace

Result<CombinedTaper> combine_pictures(const std::vector<ShownTaper>& pictures) {
  if (pictures.empty())
    return Failure{"no-pictures", "There is no picture to combine.", "Name at least one picture."};
  const WayRound plain = mean_of(pictures, false), turned = mean_of(pictures, true);
  CombinedTaper c;
  c.pictures = static_cast<int>(pictures.size());
  c.reversed = turned.pictures;
  const int dof = std::max(0, plain.pictures - 1) + std::max(0, turned.pictures - 1);
  double widen = 1;
  if (dof > 0) {
    const double chi_squared = plain.chi_squared + turned.chi_squared;
    c.birge = std::sqrt(chi_squared / dof);
    c.consistent = chi_squared <= chi_squared_quantile(0.95, dof);
    widen = std::max(1.0, c.birge);
  }
  c.reversal = plain.pictures > 0 && turned.pictures > 0;
  if (c.reversal) {
    const CombinedUncertainty half = combine({{plain.u / 2, plain.dof}, {turned.u / 2, turned.dof}});
    c.taper = (plain.mean - turned.mean) / 2;
    c.instrument = (plain.mean + turned.mean) / 2;
    c.u = c.u_instrument = widen * half.u;
    c.dof = half.dof;
  } else {
    const WayRound& only = plain.pictures > 0 ? plain : turned;
    c.taper = plain.pictures > 0 ? only.mean : -only.mean;
    c.u = widen * only.u;
    c.dof = only.dof;
  }
  return c;
}

}  // namespace tapersight
