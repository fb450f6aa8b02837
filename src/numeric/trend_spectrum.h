// What the spectrum of an edge's residuals may be near frequency zero, where no residual tells of it. Only
// for trend.cpp.
#pragma once
#include <vector>

namespace tapersight {

// Up to a factor: a short part, Matern's spectrum (1 + w^2 / power)^-power with w = 2 pi f c (power 1:
// exponential correlation of length c; near a Gaussian at 4), white noise, and a slow part that falls as
// (1 + (f longest)^2)^(-exponent / 2): 1/f roughness, a blade that wanders, a waver of some cm, a kink.
struct SpectrumShape {
  double correlation_mm = 0;  // c; 0: the short part is white as well
  int power = 1;
  double white = 0;     // over the short part, both at frequency zero
  double slow = 0;      // the slow part at frequency zero, over short part and white together
  double exponent = 1;  //
  double longest_mm = 1;

  double steady_at(double frequency) const;  // short part and white, 1 at zero; frequency in 1/mm
  double at(double frequency) const;
};

struct BelievedShape {
  SpectrumShape shape;
  double probability = 0;  // sum 1 over all
  double slow_share = 0;   // of the slow part in the lowest cosines, 0..1
};

inline constexpr int kFirstCosine = 3;  // 1 and 2 are all but trend and bow themselves

// Bayes' theorem over a grid of shapes, with Whittle's likelihood (P. Whittle, 1953, from memory) of the
// residuals' squared cosine coefficients; the level is profiled out. `power[j]`: of the cosine of frequency j
// / (2 length), from kFirstCosine on; at least 8 of them. The best shape without a slow part is always among
// them, however improbable.
std::vector<BelievedShape> believed_shapes(const std::vector<double>& power, double length_mm);

}  // namespace tapersight
