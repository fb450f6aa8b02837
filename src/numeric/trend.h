// A straight trend (and a bow) in a series whose errors are correlated along it, with honest uncertainties.
#pragma once
#include <vector>

namespace tapersight {

struct TrendSample {
  double at = 0;     // position along the edge, mm
  double value = 0;  // mm
};

struct Trend {
  // value = level + slope * (at - middle) + curve * P2((at - middle) / half),  P2(x) = (3x^2 - 1) / 2
  double middle = 0, half = 0;  // mm
  double level = 0, slope = 0, curve = 0;
  double u_level = 0, u_slope = 0, u_curve = 0;  // standard uncertainties from the residuals
  double dof = 0;                                // degrees of freedom of u_slope
  double curve_dof = 0;                          //   and of u_curve
  double rms = 0;                                // of the residuals, mm
  double correlation_mm = 0;                     // correlation length of the residuals' short part (0: white)
  double slow_share = 0;      // of what is slow in the residuals' lowest cosines, 0..1: 1/f, waver, a kink
  double length_power = 1.5;  // u_slope falls as (length)^-this: 1.5 where nothing is slow
  double at(double position) const;  // of the straight part
  // How far the middle stands out over the chord between the ends: -3/2 curve.
  double bow() const { return -1.5 * curve; }
  double u_bow() const { return 1.5 * u_curve; }
};

// Ordinary least squares, and the uncertainty from the spectrum of the residuals near frequency zero.
//
// The residuals of a sawn edge are correlated over millimetres, so sigma / sqrt(n) is far too small. The
// residuals are projected on cosines j = 3, 4, ... along the edge (1 and 2 are all but the trend and the bow
// themselves); each squared coefficient is an independent estimate of the spectrum at frequency j / (2 L),
// and the mean of J of them has J degrees of freedom, whatever the shape of the correlation: the
// equal-weighted cosine estimator (Muller 2007, J. Econometrics 141:1331; Lazarus, Lewis, Stock and Watson
// 2018, J. Bus. Econ. Stat. 36:541). Deviations: before the mean is taken, each coefficient is divided by the
// shape of the spectrum, and the shape is carried on to the frequency of the slope itself, 1 / (2 L), where
// no residual is left. Which shape that is stays in doubt (trend_spectrum.h: Matern, white, 1/f and the
// like), so every shape that is believed states its own uncertainty, and what holds 95 % of all of them is
// stated: a spectrum that rises towards the lowest cosines costs degrees of freedom, an even one next to
// none.
//
// `samples` in increasing order of position, at least 60 of them over at least 20 times their spacing; gaps
// are fine.
Trend fit_trend(const std::vector<TrendSample>& samples);

}  // namespace tapersight
