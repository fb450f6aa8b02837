#include "taper/combine_pictures.h"

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "numeric/distributions.h"
#include "numeric/student_t.h"

namespace tapersight {
namespace {

// Weighted mean of the pictures of one way round.
struct WayRound {
  int pictures = 0;
  double mean = 0;
  UncertaintyPart alone, instrument, strip;
  double chi_squared = 0;        // by the pictures' whole u
  double chi_squared_alone = 0;  //   by what is of each alone
  double u() const { return std::hypot(alone.u, instrument.u, strip.u); }
};

constexpr double kDoubted = 0.95, kImpossible = 1 - 1e-6;  // of chi-squared

bool agree(const WayRound& plain, const WayRound& turned) {
  const int degrees = std::max(0, plain.pictures - 1) + std::max(0, turned.pictures - 1);
  return degrees < 1 || plain.chi_squared + turned.chi_squared <= chi_squared_quantile(kImpossible, degrees);
}

// One strip seen both ways round shows opposite tapers: how far the two are from that.
double chi_squared_of_turning(const WayRound& plain, const WayRound& turned) {
  if (plain.pictures == 0 || turned.pictures == 0) return 0;
  return std::pow((plain.mean + turned.mean) / std::hypot(plain.u(), turned.u()), 2);
}

Failure not_turned(const WayRound& plain, const WayRound& turned) {
  constexpr double kIntervals = 2;  // standard uncertainties to an interval of 95 %
  const double times = std::abs(plain.mean + turned.mean) / (kIntervals * std::hypot(plain.u(), turned.u()));
  return {"not-turned",
          "Was the strip really turned end for end? Its taper did not turn round with it. If it was, the "
          "scanner or camera has an error of its own " +
              fixed(times, 0) + " times as large as the pictures leave room for.",
          "Turn the strip end for end, not over, and take the picture for --reversed again. Name pictures of "
          "one strip only."};
}

UncertaintyPart sum_of(const std::vector<UncertaintyPart>& parts) {
  const CombinedUncertainty sum = combine(parts);
  return {sum.u, sum.dof};
}

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
  std::vector<UncertaintyPart> alone;
  for (const ShownTaper& p : pictures) {
    if (p.reversed != reversed) continue;
    const double weight = 1 / (p.u * p.u) / weights;
    alone.push_back({weight * p.u_alone, p.dof});
    way.instrument.u += weight * p.u_instrument;
    way.strip.u += weight * std::sqrt(std::max(
                                0.0, p.u * p.u - p.u_alone * p.u_alone - p.u_instrument * p.u_instrument));
    way.strip.dof = std::min(way.strip.dof, p.dof);
    way.chi_squared += std::pow((p.taper - way.mean) / p.u, 2);
    way.chi_squared_alone += std::pow((p.taper - way.mean) / std::max(p.u_alone, 1e-3 * p.u), 2);
  }
  way.alone = sum_of(alone);
  return way;
}

UncertaintyPart times(double factor, const UncertaintyPart& part) {
  return {factor * part.u, part.dof};
}

}  // namespace

ShownTaper shown_taper(const StripMeasurement& strip, bool reversed) {
  ShownTaper shown{strip.taper, strip.u_taper, strip.dof, reversed};
  for (const BudgetRow& row : strip.budget) {
    shown.u_alone = std::hypot(shown.u_alone, row.u_alone);
    if (row.of_instrument) shown.u_instrument = std::hypot(shown.u_instrument, row.u);
  }
  return shown;
}

Result<CombinedTaper> combine_pictures(const std::vector<ShownTaper>& pictures) {
  if (pictures.empty())
    return Failure{"no-pictures", "There is no picture to combine.", "Name at least one picture."};
  const WayRound plain = mean_of(pictures, false), turned = mean_of(pictures, true);
  if (!agree(plain, turned))
    return Failure{"pictures-disagree", "The pictures do not show the same taper.",
                   "Name pictures of one strip only, and put those with the strip turned end for end after "
                   "--reversed. Measure each by itself to see which is off."};
  const double turning = chi_squared_of_turning(plain, turned);
  if (turning > chi_squared_quantile(kImpossible, 1)) return not_turned(plain, turned);
  CombinedTaper c;
  c.pictures = static_cast<int>(pictures.size());
  c.reversed = turned.pictures;
  c.each = pictures;
  const int dof = std::max(0, plain.pictures - 1) + std::max(0, turned.pictures - 1);
  if (dof > 0) {
    c.birge = std::sqrt((plain.chi_squared_alone + turned.chi_squared_alone) / dof);
    c.consistent = plain.chi_squared + turned.chi_squared <= chi_squared_quantile(kDoubted, dof);
  }
  const double widen = std::max(1.0, c.birge);
  c.reversal = plain.pictures > 0 && turned.pictures > 0;
  if (c.reversal) {
    c.taper = (plain.mean - turned.mean) / 2;
    c.instrument = (plain.mean + turned.mean) / 2;
    c.of_pictures = sum_of({times(widen / 2, plain.alone), times(widen / 2, turned.alone)});
    c.of_instrument = sum_of({times(0.5, plain.instrument), times(0.5, turned.instrument)});
    c.of_strip = {(plain.strip.u + turned.strip.u) / 2, std::min(plain.strip.dof, turned.strip.dof)};
    c.u_instrument = c.of_pictures.u;
    c.reversal_doubtful = turning > chi_squared_quantile(kDoubted, 1);
    if (c.reversal_doubtful) c.of_reversal = {std::abs(c.instrument), kInfiniteDof};
  } else {
    const WayRound& only = plain.pictures > 0 ? plain : turned;
    c.taper = plain.pictures > 0 ? only.mean : -only.mean;
    c.of_pictures = times(widen, only.alone);
    c.of_instrument = only.instrument;
    c.of_strip = only.strip;
  }
  const UncertaintyPart sum = sum_of({c.of_pictures, c.of_instrument, c.of_strip, c.of_reversal});
  c.u = sum.u;
  c.dof = sum.dof;
  return c;
}

}  // namespace tapersight
