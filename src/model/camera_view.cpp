#include "model/camera_view.h"

#include <Eigen/Geometry>
#include <Eigen/LU>

namespace tapersight {

Eigen::Vector2d CameraView::sheet_from_picture(const Eigen::Vector2d& picture) const {
  const Eigen::Vector2d q = (picture - principal_px) / radius_px;
  const double r2 = q.squaredNorm();
  const Eigen::Vector3d s = homography * (q * (1 + r2 * (k1 + r2 * k2))).homogeneous();
  return s.hnormalized();
}

Eigen::Matrix2d CameraView::derivative(const Eigen::Vector2d& picture) const {
  const Eigen::Vector2d q = (picture - principal_px) / radius_px;
  const double r2 = q.squaredNorm();
  const Eigen::Matrix2d ideal_by_q =
      (1 + r2 * (k1 + r2 * k2)) * Eigen::Matrix2d::Identity() + (2 * k1 + 4 * k2 * r2) * q * q.transpose();
  const Eigen::Vector3d s = homography * (q * (1 + r2 * (k1 + r2 * k2))).homogeneous();
  const Eigen::Vector2d sheet = s.hnormalized();
  const Eigen::Matrix2d sheet_by_ideal =
      (homography.topLeftCorner<2, 2>() - sheet * homography.bottomLeftCorner<1, 2>()) / s.z();
  return sheet_by_ideal * ideal_by_q / radius_px;
}

std::string CameraView::name() const {
  int free = 0;
  for (Eigen::Index k = 0; k < covariance.rows(); ++k) free += covariance(k, k) > 0;
  return "camera-" + std::to_string(free);
}

Eigen::Vector2d CameraView::picture_from_sheet(const Eigen::Vector2d& sheet) const {
  // Without distortion the inverse is exact; Newton's steps from there converge for any usable lens.
  const Eigen::Vector2d q = (homography.inverse() * sheet.homogeneous()).hnormalized();
  Eigen::Vector2d picture = principal_px + radius_px * q;
  for (int i = 0; i < 20; ++i) {
    const Eigen::Vector2d step = derivative(picture).inverse() * (sheet - sheet_from_picture(picture));
    if (!step.allFinite()) return principal_px;
    picture += step;
    if (step.squaredNorm() < 1e-18) break;
  }
  return picture;
}

void CameraView::stretch(double x, double y) {
  homography.row(0) *= x;
  homography.row(1) *= y;
  if (covariance.size() == 0) return;
  Eigen::VectorXd factor = Eigen::VectorXd::Ones(kParameters);
  factor.head<3>().setConstant(x);
  factor.segment<3>(3).setConstant(y);
  covariance = factor.asDiagonal() * covariance * factor.asDiagonal();
}

Eigen::VectorXd CameraView::parameters() const {
  Eigen::VectorXd p(kParameters);
  p << homography(0, 0), homography(0, 1), homography(0, 2), homography(1, 0), homography(1, 1),
      homography(1, 2), homography(2, 0), homography(2, 1), k1, k2, principal_px.x(), principal_px.y();
  return p;
}

CameraView CameraView::with(const Eigen::VectorXd& p) const {
  CameraView view = *this;
  view.homography << p[0], p[1], p[2], p[3], p[4], p[5], p[6], p[7], 1;
  view.k1 = p[8];
  view.k2 = p[9];
  view.principal_px = p.tail<2>();
  return view;
}

Eigen::Matrix<double, 2, CameraView::kParameters> CameraView::by_parameters(
    const Eigen::Vector2d& picture) const {
  const Eigen::Vector2d q = (picture - principal_px) / radius_px;
  const double r2 = q.squaredNorm();
  const Eigen::Vector2d ideal = q * (1 + r2 * (k1 + r2 * k2));
  const Eigen::Vector3d s = homography * ideal.homogeneous();
  const Eigen::Vector2d sheet = s.hnormalized();
  const Eigen::Matrix2d sheet_by_ideal =
      (homography.topLeftCorner<2, 2>() - sheet * homography.bottomLeftCorner<1, 2>()) / s.z();
  Eigen::Matrix<double, 2, kParameters> j = Eigen::Matrix<double, 2, kParameters>::Zero();
  const Eigen::RowVector3d over = ideal.homogeneous().transpose() / s.z();
  j.block<1, 3>(0, 0) = over;
  j.block<1, 3>(1, 3) = over;
  j.block<2, 2>(0, 6) = -sheet * over.head<2>();
  j.col(8) = sheet_by_ideal * q * r2;
  j.col(9) = sheet_by_ideal * q * r2 * r2;
  j.rightCols<2>() = -derivative(picture);
  return j;
}

}  // namespace tapersight
