// Dense linear algebra that several stages need, for matrices of any size. It is compiled here once: Eigen's
// templates take seconds of compiling wherever they are used.
#pragma once
#include <Eigen/Core>
#include <memory>

namespace tapersight {

// Least squares by column-pivoted Householder QR of a matrix A with as many rows as columns, or more.
class PivotedQr {
 public:
  // A pivot below `rank_tolerance` times the largest counts as none; below 0: Eigen's usual one.
  explicit PivotedQr(const Eigen::MatrixXd& a, double rank_tolerance = -1);
  ~PivotedQr();
  PivotedQr(const PivotedQr&) = delete;
  PivotedQr& operator=(const PivotedQr&) = delete;
  Eigen::Index rank() const;
  Eigen::MatrixXd solve(const Eigen::MatrixXd& b) const;  // X of the least |A X - B|, column by column
  Eigen::MatrixXd root_of_inverse_gram() const;           // Q with Q Q' = (A'A)^-1, where A has full rank

 private:
  struct Parts;
  std::unique_ptr<Parts> parts_;
};

Eigen::MatrixXd gram(const Eigen::MatrixXd& a);                               // A'A
Eigen::MatrixXd product(const Eigen::MatrixXd& a, const Eigen::MatrixXd& b);  // A B
Eigen::MatrixXd inverse(const Eigen::MatrixXd& a);                            // by LU with partial pivoting

// X of A X = B for symmetric A, by Cholesky's decomposition with pivots (L D L').
Eigen::MatrixXd solve_symmetric(const Eigen::MatrixXd& a, const Eigen::MatrixXd& b);
// The same for the size that the edges' fits solve again and again, without asking for memory.
Eigen::Vector4d solve_symmetric_4(const Eigen::Matrix4d& a, const Eigen::Vector4d& b);

}  // namespace tapersight
