// The place of an edge on a scan line by generalised least squares: noise is white, the wood's figure is not.
#pragma once
#include <Eigen/Core>
#include <vector>

#include "imaging/blurred_step.h"

namespace tapersight {

// What lies beside the edge: a second line, `gap_px` outside the edge's path, that takes `part` of the whole
// step (a side wall, a hard shadow). part 0: nothing.
struct LineBeside {
  double part = 0;
  double gap_px = 0;
  double blur_px = 1;
};

// What disturbs a scan line, in parts of the edge's step.
struct Disturbance {
  double noise = 0.01;        // standard deviation of a pixel's noise half way up the step
  double ground = 100;        // the ground's light (negative where the face is the darker): noise is even in
                              //   code values, so in light it grows with the light (see noise_shape)
  double figure = 0.05;       // standard deviation of the face's own tone
  double figure_px = 1.5;     // and its correlation length across the edge (exponential)
  double coherent_lines = 1;  // so many neighbouring lines share the same figure
};

// Where the samples of a scan line lie: n of them, the first about `outward_px` outside the edge.
struct FitWindow {
  int outward_px = 4;
  int inward_px = 3;
  int samples() const { return outward_px + inward_px + 1; }
};

// The estimator's rows: ground, step and place from the residuals of a window's samples.
using PlaceOperator = Eigen::Matrix<double, 3, Eigen::Dynamic, Eigen::RowMajor>;

// How a pixel's noise depends on its light, 1 half way up the step; `value` 0 on the ground, 1 on the face. A
// scanner's noise is about even in code values (shot noise grows as the root of the light, and the sRGB curve
// is close to a root), so that in light it is the curve's slope: light^(1.4 / 2.4) (IEC 61966-2-1, its linear
// toe left aside).
double noise_shape(double ground, double value);

// The covariance of a window's light is V = (figure as the blur passes it) + noise^2 / coherent_lines, both
// in parts of the step; the best linear unbiased estimate of (ground, step, place) about the model is (J'
// V^-1 J)^-1 J' V^-1 (Aitken). The figure is the same on many lines and does not average out, so V counts the
// noise as it is after averaging over them.
class PlaceEstimator {
 public:
  PlaceEstimator(const BlurredStep& edge, FitWindow window, const Disturbance& disturbance,
                 const LineBeside& beside);
  const FitWindow& window() const { return window_; }
  // For samples at x0, x0 + 1, ... px inward of the edge, x0 within half a pixel of -outward_px. The place's
  // row is for a step of 1: divide by the step.
  const PlaceOperator& at(double x0) const { return operators_[phase_of(x0)]; }
  // noise_shape at those samples.
  const Eigen::VectorXd& noise_at(double x0) const { return noise_[phase_of(x0)]; }
  // Standard deviation of a line's place that the figure causes, px.
  double figure_px() const { return figure_px_; }
  // The same, of figure and noise / sqrt(coherent_lines) together.
  double place_sd_px() const { return place_sd_px_; }

 private:
  std::size_t phase_of(double x0) const;

  FitWindow window_;
  std::vector<PlaceOperator> operators_;  // by phase
  std::vector<Eigen::VectorXd> noise_;    // by phase
  double figure_px_ = 0;
  double place_sd_px_ = 0;
};

}  // namespace tapersight
