// A pinhole camera with radial lens distortion, looking at the bench.
//
// Bench frame (right-handed): true millimetres, origin at the page's middle on the bench's face, x and y
// along the page's axes as printed (x right, y towards the fence end), z down into the bench: what stands h
// above the bench has z = -h. Camera frame: x right and y down in the picture, z forward.
#pragma once
#include <Eigen/Dense>
#include <array>
#include <opencv2/core.hpp>

namespace tapersight {

// Distortion as Brown's radial model (D. C. Brown, "Decentering distortion of lenses", 1966; OpenCV's k1,
// k2): a ray (x, y, 1) of the camera frame is seen at principal point + focal_px * (x, y) * (1 + k1 r^2 + k2
// r^4).
struct CameraScene {
  cv::Size size_px = {4032, 3024};
  double focal_px = 3100;
  Eigen::Vector2d principal_px = {2015.5, 1511.5};
  double k1 = 0, k2 = 0;
  // More of the same in odd powers too, as measured lenses need it (lens_models.h): the factor is then
  // 1 + k1 r^2 + k2 r^4 + sum of radial[i] * r^(i + 1).
  std::array<double, 6> radial = {0, 0, 0, 0, 0, 0};
  Eigen::Vector2d look_at_mm = {0, 0};  // where the optical axis meets the bench
  double distance_mm = 420;             // from there to the camera's centre
  double tilt_deg = 0;                  // between the optical axis and the bench's normal
  double tilt_towards_deg = 0;          // the camera is moved this way: 0 along +x, 90 along +y
  double roll_deg = 0;                  // turns the picture's contents clockwise
};

// A phone's main camera: 12 (4032 x 3024), 24 (5712 x 4284) or 50 (8160 x 6120) megapixels, the same field of
// view, looking straight down.
CameraScene phone_camera(int megapixels);

class PinholeCamera {
 public:
  explicit PinholeCamera(const CameraScene& scene);

  const CameraScene& scene() const { return scene_; }
  cv::Size size_px() const { return scene_.size_px; }
  const Eigen::Vector3d& centre_mm() const { return centre_; }
  // Turns directions of the bench frame into the camera's.
  const Eigen::Matrix3d& camera_from_bench() const { return rotation_; }

  // Of a point before the camera.
  Eigen::Vector2d pixel_from_bench(const Eigen::Vector3d& bench_mm) const;
  Eigen::Vector2d pixel_at_height(const Eigen::Vector2d& xy_mm, double height_mm) const {
    return pixel_from_bench({xy_mm.x(), xy_mm.y(), -height_mm});
  }
  // Direction of the ray seen at `pixel`, bench frame, length arbitrary; exact to about 1e-14.
  Eigen::Vector3d ray(const Eigen::Vector2d& pixel) const;
  // Where that ray meets the plane `height_mm` above the bench. Rays at or above the horizon end far away.
  Eigen::Vector2d bench_from_pixel(const Eigen::Vector2d& pixel, double height_mm) const;

 private:
  CameraScene scene_;
  Eigen::Vector3d centre_;
  Eigen::Matrix3d rotation_;
};

}  // namespace tapersight
