// A camera's view of a plane: perspective and radial lens distortion.
#pragma once
#include <Eigen/Core>
#include <string>

namespace tapersight {

// Takes picture points to the sheet's plane. With q = (picture - principal_px) / radius_px:
//     ideal = q * (1 + k1 |q|^2 + k2 |q|^4)                       undistorted, polynomial in the distorted
//     radius sheet ~ homography * (ideal, 1)                              mm, homography(2, 2) = 1
// (Hartley and Zisserman, Multiple View Geometry, 2nd edition, sections 4.1 and 7.4; the distortion is
// written from the picture to the ideal plane, so that no inversion is needed.)
struct CameraView {
  static constexpr int kParameters = 12;  // homography row by row without the last 1, k1, k2, principal point
  Eigen::Vector2d principal_px = Eigen::Vector2d::Zero();
  double radius_px = 1;  // half the picture's diagonal
  double k1 = 0, k2 = 0;
  Eigen::Matrix3d homography = Eigen::Matrix3d::Identity();
  Eigen::MatrixXd covariance;  // of the parameters in their order, zero for those held fixed
  double sigma_mm = 0;         // standard deviation of one fiducial's x or y, left out of the fit
  Eigen::Vector2d middle_px = Eigen::Vector2d::Zero();  // of the sheet's part that was fitted

  std::string name() const;  // "camera-8" with the number of free parameters

  Eigen::Vector2d sheet_from_picture(const Eigen::Vector2d& picture) const;
  Eigen::Matrix2d derivative(const Eigen::Vector2d& picture) const;  // d sheet / d picture, mm per px

  // The picture point that maps to `sheet`, by Newton's method; the principal point when there is none.
  Eigen::Vector2d picture_from_sheet(const Eigen::Vector2d& sheet) const;
  void stretch(double x, double y);  // sheet millimetres times x and y, covariance included

  Eigen::VectorXd parameters() const;
  CameraView with(const Eigen::VectorXd& parameters) const;
  // d sheet / d parameters, 2 x kParameters.
  Eigen::Matrix<double, 2, kParameters> by_parameters(const Eigen::Vector2d& picture) const;
};

}  // namespace tapersight
