#include "fence/fence_error.h"

#include <cmath>

#include "base/text.h"
#include "base/units.h"

namespace tapersight {
namespace {

bool is_uncertainty(double u) {
  return u >= 0 && std::isfinite(u);
}

Failure bad_uncertainty() {
  return {"bad-uncertainty", "An uncertainty must be zero or more, and its degrees of freedom above zero.",
          "Give how far off each reading may be, as a length."};
}

Failure implausible(double taper) {
  return {
      "taper-implausible",
      "A taper of " + fixed(taper, 3) + " would mean a fence that is degrees out of square.",
      "Check the readings and their units: a test strip tapers by less than " + fixed(kMaxTaper, 1) + "."};
}

}  // namespace

Result<Taper> taper_from_widths(const TwoWidths& w) {
  for (const double width : {w.fence_end_mm, w.far_end_mm})
    if (!(width > 0) || !std::isfinite(width))
      return Failure{"bad-width", "The strip's width must be above zero at both ends.",
                     "Measure the width near each end of the strip."};
  if (!(w.apart_mm > 0) || !std::isfinite(w.apart_mm))
    return Failure{"bad-distance", "The distance between the two places must be above zero.",
                   "Measure along the strip from one place to the other."};
  if (!is_uncertainty(w.fence_end_u_mm) || !is_uncertainty(w.far_end_u_mm) || !is_uncertainty(w.apart_u_mm) ||
      !(w.dof > 0))
    return bad_uncertainty();
  Taper taper;
  taper.value = (w.fence_end_mm - w.far_end_mm) / w.apart_mm;
  if (std::fabs(taper.value) > kMaxTaper) return implausible(taper.value);
  const CombinedUncertainty sum = combine({{std::hypot(w.fence_end_u_mm, w.far_end_u_mm) / w.apart_mm, w.dof},
                                           {taper.value * w.apart_u_mm / w.apart_mm, kInfiniteDof}});
  taper.u = sum.u;
  taper.dof = sum.dof;
  return taper;
}

std::string_view sense_name(Sense sense) {
  switch (sense) {
    case Sense::kCounterclockwise:
      return "counterclockwise";
    case Sense::kClockwise:
      return "clockwise";
    case Sense::kNone:
      break;
  }
  return "none";
}

Sense FenceError::sense() const {
  if (theta > 0) return Sense::kCounterclockwise;
  return theta < 0 ? Sense::kClockwise : Sense::kNone;
}

bool FenceError::sense_is_known() const {
  return std::fabs(theta) > U;
}

Result<FenceError> fence_error(const Taper& taper, const SledSetup& setup) {
  if (const auto failure = validate(setup)) return *failure;
  if (!is_uncertainty(taper.u) || !(taper.dof > 0)) return bad_uncertainty();
  if (!(std::fabs(taper.value) <= kMaxTaper)) return implausible(taper.value);
  FenceError error;
  error.turns = setup.turns;
  error.theta = taper_sign(setup) * taper.value / setup.turns;
  error.u = taper.u / setup.turns;
  error.dof = taper.dof;
  error.coverage_factor = t_factor(kCoverage, taper.dof);
  error.U = error.coverage_factor * error.u;
  return error;
}

std::string_view toward_name(Toward toward) {
  switch (toward) {
    case Toward::kOperator:
      return "operator";
    case Toward::kAwayFromOperator:
      return "away from the operator";
    case Toward::kNowhere:
      break;
  }
  return "nowhere";
}

Result<FenceMove> correction_move(const FenceError& error, const SledSetup& setup) {
  if (const auto failure = validate(setup)) return *failure;
  if (!setup.pivot_distance_mm)
    return Failure{"no-pivot-distance",
                   "The move needs the distance from the pivot to where the fence is adjusted.",
                   "Measure it along the fence and give it as the pivot distance."};
  const double distance_mm = *setup.pivot_distance_mm;
  const CombinedUncertainty sum =
      combine({{distance_mm * error.u, error.dof}, {error.theta * setup.pivot_distance_u_mm, kInfiniteDof}});
  FenceMove move;
  move.move_mm = distance_mm * std::fabs(error.theta);
  move.u_mm = sum.u;
  move.dof = sum.dof;
  move.coverage_factor = t_factor(kCoverage, sum.dof);
  move.U_mm = move.coverage_factor * move.u_mm;
  move.end = opposite(setup.pivot);
  move.direction_is_known = error.sense_is_known();
  // The fence turns clockwise (by -theta) when theta > 0: its right end then comes to the operator.
  if (error.theta != 0)
    move.toward =
        (error.theta > 0) == (setup.pivot == Side::kLeft) ? Toward::kOperator : Toward::kAwayFromOperator;
  return move;
}

}  // namespace tapersight
