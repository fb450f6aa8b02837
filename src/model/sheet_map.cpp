#include "model/sheet_map.h"

#include <algorithm>
#include <cmath>

namespace tapersight {
namespace {

double camera_uncertainty(const CameraView& view, const std::vector<Eigen::Vector2d>& pictures,
                          const std::vector<double>& weights, const Eigen::Vector2d& direction) {
  if (view.covariance.size() == 0) return 0;
  Eigen::RowVectorXd sensitivity = Eigen::RowVectorXd::Zero(CameraView::kParameters);
  for (std::size_t i = 0; i < pictures.size(); ++i)
    sensitivity += weights[i] * direction.transpose() * view.by_parameters(pictures[i]);
  return std::sqrt(std::max(0.0, (sensitivity * view.covariance * sensitivity.transpose()).value()));
}

}  // namespace

std::string SheetMap::name() const {
  return std::visit([](const auto& m) { return m.name(); }, map_);
}

Eigen::Vector2d SheetMap::sheet_from_picture(const Eigen::Vector2d& picture) const {
  return std::visit([&](const auto& m) { return m.sheet_from_picture(picture); }, map_);
}

Eigen::Matrix2d SheetMap::derivative(const Eigen::Vector2d& picture) const {
  return std::visit([&](const auto& m) { return m.derivative(picture); }, map_);
}

Eigen::Vector2d SheetMap::picture_from_sheet(const Eigen::Vector2d& sheet) const {
  return std::visit([&](const auto& m) { return m.picture_from_sheet(sheet); }, map_);
}

Eigen::Vector2d SheetMap::centre_px() const {
  return camera() ? camera()->middle_px : scanner()->centre_px;
}

double SheetMap::sigma_mm() const {
  return camera() ? camera()->sigma_mm : scanner()->sigma_mm;
}

double SheetMap::uncertainty_of(const std::vector<Eigen::Vector2d>& pictures,
                                const std::vector<double>& weights, const Eigen::Vector2d& direction) const {
  return camera() ? camera_uncertainty(*camera(), pictures, weights, direction)
                  : scanner()->uncertainty_of(pictures, weights);
}

void SheetMap::stretch(double x, double y) {
  if (auto* scanner = std::get_if<PlaneMap>(&map_)) {
    scanner->coefficients.col(0) *= x;
    scanner->coefficients.col(1) *= y;
  } else {
    std::get<CameraView>(map_).stretch(x, y);
  }
}

}  // namespace tapersight
