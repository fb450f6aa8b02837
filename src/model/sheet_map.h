// The map from the picture to the sheet, whatever took the picture.
#pragma once
#include <string>
#include <variant>
#include <vector>

#include "model/camera_view.h"
#include "model/plane_map.h"

namespace tapersight {

// A scanner's map or a camera's, as one thing: pixel frame to sheet frame (mm).
class SheetMap {
 public:
  SheetMap() = default;
  SheetMap(PlaneMap scanner) : map_(std::move(scanner)) {}
  SheetMap(CameraView camera) : map_(std::move(camera)) {}

  // Nothing when the other kind took the picture.
  const PlaneMap* scanner() const { return std::get_if<PlaneMap>(&map_); }
  const CameraView* camera() const { return std::get_if<CameraView>(&map_); }

  std::string name() const;
  Eigen::Vector2d sheet_from_picture(const Eigen::Vector2d& picture) const;
  Eigen::Matrix2d derivative(const Eigen::Vector2d& picture) const;  // d sheet / d picture, mm per px
  Eigen::Vector2d picture_from_sheet(const Eigen::Vector2d& sheet) const;
  Eigen::Vector2d centre_px() const;
  double sigma_mm() const;  // standard deviation of one fiducial's x or y, left out of the fit
  // Standard uncertainty of the weighted sum of mapped points' places along the unit vector `direction`, from
  // the covariance of the map's parameters, mm.
  double uncertainty_of(const std::vector<Eigen::Vector2d>& pictures, const std::vector<double>& weights,
                        const Eigen::Vector2d& direction) const;
  // Sheet millimetres times x and y: to what a rule says of the print.
  void stretch(double x, double y);

 private:
  std::variant<PlaneMap, CameraView> map_;
};

}  // namespace tapersight
