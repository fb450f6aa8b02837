// The exact place of a chessboard saddle point in a picture.
#pragma once
#include <Eigen/Core>
#include <opencv2/core.hpp>
#include <optional>

namespace tapersight {

// What is known before the fit.
struct SaddleGuess {
  Eigen::Vector2d at_px;   // within about half the window's radius
  double angle_1 = 0;      // directions (rad, atan2(dv, du)) of the two border lines through the point:
  double angle_2 = 0;      //   line 1 along the sheet's x, line 2 along its y
  bool dark_first = true;  // the quadrant at minus line 1, minus line 2 is dark
  double blur_px = 1;
  int radius_px = 10;  // of the round window
};

struct SaddleFit {
  Eigen::Vector2d at_px;
  double angle_1 = 0, angle_2 = 0;
  double blur_px = 0;   // Gaussian blur (pixel included), standard deviation
  double contrast = 0;  // light of white minus light of black, 0..1
  double residual = 0;  // rms over the window, as a part of the contrast
};

// Least squares (Levenberg-Marquardt, analytic derivatives) of a blurred chessboard corner in linear light:
//     I = mean - contrast/2 * erf(d1 / (sqrt2 b)) * erf(d2 / (sqrt2 b)),     d1, d2: distances from two lines
// Nothing when the window leaves the picture, the fit walks off or the fit does not look like a saddle.
// The point is symmetric under half a turn, so blur, exposure and ink spread do not displace it.
std::optional<SaddleFit> fit_saddle(const cv::Mat& grey, const SaddleGuess& guess);

}  // namespace tapersight
