#include "model/camera_view.h"

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

Eigen::MatrixXd CameraView::by_parameters(const Eigen::Vector2d& picture) const {
  const Eigen::Vector2d q = (picture - principal_px) / radius_px;
  const double r2 = q.squaredNorm();
  const Eigen::Vector2d ideal = q * (1 + r2 * (k1 + r2 * k2));
  const Eigen::Vector3d s = homography * ideal.homogeneous();
  const Eigen::Vector2d sheet = s.hnormalized();
  const Eigen::Matrix2d sheet_by_ideal =
      (homography.topLeftCorner<2, 2>() - sheet * homography.bottomLeftCorner<1, 2>()) / s.z();
  Eigen::MatrixXd j = Eigen::MatrixXd::Zero(2, kParameters);
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
