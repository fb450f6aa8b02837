// The map from the picture to the sheet, with its covariance.
#pragma once
#include <Eigen/Core>
#include <string>
#include <vector>

namespace tapersight {

// Maps picture points (px, pixel frame of imaging/picture.h) to sheet points (mm, sheet frame of
// target/sheet_layout.h). Linear in its coefficients:
//     sheet = coefficients^T * basis(picture)            (coefficients: one row a basis function, columns x
//     and y)
// The basis is 1, then P_1..P_p(u'), then P_1..P_q(v') with Legendre polynomials P_k and u', v' the pixel
// coordinates scaled to about -1..1. A flatbed scanner is of this form: its lens bends the sensor axis u
// whatever the carriage does, its carriage is uneven along v whatever the sensor does; skew, different scales
// and the sheet's rotation are in the first-order terms.
struct PlaneMap {
  int order_u = 1;  // p >= 1
  int order_v = 1;  // q >= 1
  Eigen::Vector2d centre_px = Eigen::Vector2d::Zero();
  Eigen::Vector2d scale_px = Eigen::Vector2d::Ones();  // u' = (u - centre) / scale
  Eigen::MatrixX2d coefficients;                       // (1 + p + q) x 2, mm
  Eigen::MatrixXd unit_covariance;  // (1 + p + q)^2; times sigma_mm^2: covariance of a column
  double sigma_mm = 0;              // standard deviation of one fiducial's x or y, left out

  std::string name() const;  // "affine", "separable-3-5"
  Eigen::VectorXd basis(const Eigen::Vector2d& picture) const;
  // Standard uncertainty of a weighted sum of mapped points' x (or of their y, or along any direction): from
  // the covariance of the coefficients, mm.
  double uncertainty_of(const std::vector<Eigen::Vector2d>& pictures,
                        const std::vector<double>& weights) const;
  Eigen::Vector2d sheet_from_picture(const Eigen::Vector2d& picture) const;
  Eigen::Matrix2d derivative(const Eigen::Vector2d& picture) const;  // d sheet / d picture, mm per px
  // The picture point that maps to `sheet`, by Newton's method from the first-order part.
  Eigen::Vector2d picture_from_sheet(const Eigen::Vector2d& sheet) const;
};

}  // namespace tapersight
