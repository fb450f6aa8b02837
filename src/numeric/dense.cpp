#include "numeric/dense.h"

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <Eigen/QR>

namespace tapersight {

using Eigen::MatrixXd;

struct PivotedQr::Parts {
  Eigen::ColPivHouseholderQR<MatrixXd> qr;
};

PivotedQr::PivotedQr(const MatrixXd& a, double rank_tolerance)
    : parts_(new Parts{Eigen::ColPivHouseholderQR<MatrixXd>(a)}) {
  if (rank_tolerance >= 0) parts_->qr.setThreshold(rank_tolerance);
}

PivotedQr::~PivotedQr() = default;

Eigen::Index PivotedQr::rank() const {
  return parts_->qr.rank();
}

MatrixXd PivotedQr::solve(const MatrixXd& b) const {
  return parts_->qr.solve(b);
}

MatrixXd PivotedQr::root_of_inverse_gram() const {
  const Eigen::Index p = parts_->qr.cols();
  const MatrixXd r_inverse =
      parts_->qr.matrixQR().topRows(p).triangularView<Eigen::Upper>().solve(MatrixXd::Identity(p, p));
  return parts_->qr.colsPermutation() * r_inverse;
}

MatrixXd gram(const MatrixXd& a) {
  return a.transpose() * a;
}

MatrixXd product(const MatrixXd& a, const MatrixXd& b) {
  return a * b;
}

MatrixXd inverse(const MatrixXd& a) {
  return a.inverse();
}

MatrixXd solve_symmetric(const MatrixXd& a, const MatrixXd& b) {
  return a.ldlt().solve(b);
}

Eigen::Vector4d solve_symmetric_4(const Eigen::Matrix4d& a, const Eigen::Vector4d& b) {
  return a.ldlt().solve(b);
}

}  // namespace tapersight
