#include "synth/camera.h"

#include <algorithm>
#include <cmath>

namespace tapersight {
namespace {

double radians(double degrees) {
  return degrees * M_PI / 180;
}

// Sum of a[i] r^(i + 1).
double more_powers(const std::array<double, 6>& a, double r) {
  double sum = 0;
  for (auto i = a.size(); i-- > 0;) sum = r * (a[i] + sum);
  return sum;
}

// d (r * more_powers) / dr.
double more_powers_slope(const std::array<double, 6>& a, double r) {
  double sum = 0;
  for (auto i = a.size(); i-- > 0;) sum = r * (static_cast<double>(i + 2) * a[i] + sum);
  return sum;
}

double factor(const CameraScene& lens, double q) {
  return 1 + q * (lens.k1 + q * lens.k2) + more_powers(lens.radial, std::sqrt(q));
}

// r with r * factor(r^2) = distorted, by Newton's method.
double undistorted_radius(double distorted, const CameraScene& lens) {
  double r = distorted;
  for (int i = 0; i < 30; ++i) {
    const double q = r * r;
    const double slope = 1 + q * (3 * lens.k1 + 5 * lens.k2 * q) + more_powers_slope(lens.radial, r);
    const double step = (r * factor(lens, q) - distorted) / slope;
    r -= step;
    if (std::abs(step) < 1e-15) break;
  }
  return r;
}

}  // namespace

CameraScene phone_camera(int megapixels) {
  CameraScene camera;
  if (megapixels == 24) camera.size_px = {5712, 4284};
  if (megapixels == 50) camera.size_px = {8160, 6120};
  camera.focal_px = 3100.0 * camera.size_px.width / 4032;
  camera.principal_px = {(camera.size_px.width - 1) / 2.0, (camera.size_px.height - 1) / 2.0};
  return camera;
}

PinholeCamera::PinholeCamera(const CameraScene& scene) : scene_(scene) {
  const double tilt = radians(scene.tilt_deg);
  const double towards = radians(scene.tilt_towards_deg);
  const Eigen::Vector3d away(std::sin(tilt) * std::cos(towards), std::sin(tilt) * std::sin(towards),
                             -std::cos(tilt));
  centre_ = Eigen::Vector3d(scene.look_at_mm.x(), scene.look_at_mm.y(), 0) + scene.distance_mm * away;
  // The shortest turn from looking straight down, then the turn about the optical axis.
  const auto tilted = Eigen::Quaterniond::FromTwoVectors(Eigen::Vector3d::UnitZ(), -away);
  rotation_ = Eigen::AngleAxisd(radians(scene.roll_deg), Eigen::Vector3d::UnitZ()).toRotationMatrix() *
              tilted.toRotationMatrix().transpose();
}

Eigen::Vector2d PinholeCamera::pixel_from_bench(const Eigen::Vector3d& bench_mm) const {
  const Eigen::Vector3d seen = rotation_ * (bench_mm - centre_);
  const Eigen::Vector2d plane = seen.head<2>() / seen.z();
  const double q = plane.squaredNorm();
  return scene_.principal_px + scene_.focal_px * factor(scene_, q) * plane;
}

Eigen::Vector3d PinholeCamera::ray(const Eigen::Vector2d& pixel) const {
  Eigen::Vector2d plane = (pixel - scene_.principal_px) / scene_.focal_px;
  const double distorted = plane.norm();
  if (distorted > 0) plane *= undistorted_radius(distorted, scene_) / distorted;
  return rotation_.transpose() * plane.homogeneous();
}

Eigen::Vector2d PinholeCamera::bench_from_pixel(const Eigen::Vector2d& pixel, double height_mm) const {
  const Eigen::Vector3d direction = ray(pixel);
  constexpr double kLeastDip = 0.02;
  const double way = (-height_mm - centre_.z()) / std::max(direction.z(), kLeastDip * direction.norm());
  return centre_.head<2>() + way * direction.head<2>();
}

}  // namespace tapersight
