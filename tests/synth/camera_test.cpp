// The camera against OpenCV's projection and against itself.
#include "synth/camera.h"

#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/calib3d.hpp>
#include <vector>

#include "base/rng.h"

namespace tapersight {
namespace {

CameraScene tilted_camera() {
  CameraScene scene = phone_camera(12);
  scene.principal_px = {2001, 1530};
  scene.k1 = 0.05;
  scene.k2 = -0.02;
  scene.look_at_mm = {12, -30};
  scene.distance_mm = 410;
  scene.tilt_deg = 23;
  scene.tilt_towards_deg = 40;
  scene.roll_deg = 71;
  return scene;
}

// cv::projectPoints (OpenCV 4.6, calib3d) is the outside reference for pose, k1 and k2.
TEST(Camera, ProjectsAsOpenCvDoes) {
  const CameraScene scene = tilted_camera();
  const PinholeCamera camera(scene);
  const Eigen::Vector3d shift = -camera.camera_from_bench() * camera.centre_mm();
  cv::Mat rotation(3, 3, CV_64F);
  for (int r = 0; r < 3; ++r)
    for (int c = 0; c < 3; ++c) rotation.at<double>(r, c) = camera.camera_from_bench()(r, c);
  cv::Mat turn;
  cv::Rodrigues(rotation, turn);
  const cv::Mat inner = (cv::Mat_<double>(3, 3) << scene.focal_px, 0, scene.principal_px.x(), 0,
                         scene.focal_px, scene.principal_px.y(), 0, 0, 1);
  Rng rng(3);
  std::vector<cv::Point3d> points;
  points.reserve(50);
  for (int i = 0; i < 50; ++i)
    points.emplace_back(rng.uniform(-140, 140), rng.uniform(-140, 140), rng.uniform(-25, 0));
  std::vector<cv::Point2d> px;
  cv::projectPoints(points, turn, cv::Vec3d(shift.x(), shift.y(), shift.z()), inner,
                    std::vector<double>{scene.k1, scene.k2, 0, 0}, px);
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Eigen::Vector2d own = camera.pixel_from_bench({points[i].x, points[i].y, points[i].z});
    EXPECT_NEAR(own.x(), px[i].x, 1e-7);  // px; rounding of the Rodrigues vector
    EXPECT_NEAR(own.y(), px[i].y, 1e-7);
  }
}

TEST(Camera, UndistortsWhatItDistorts) {
  for (const double k1 : {-0.05, 0.0, 0.05})
    for (const double k2 : {-0.02, 0.02}) {
      CameraScene scene = tilted_camera();
      scene.k1 = k1;
      scene.k2 = k2;
      const PinholeCamera camera(scene);
      for (const double x : {0.0, 1000.0, 2001.0, 4031.0})
        for (const double y : {0.0, 1530.0, 3023.0})
          for (const double height : {0.0, 18.0}) {
            const Eigen::Vector2d at = camera.bench_from_pixel({x, y}, height);
            EXPECT_LT((camera.pixel_at_height(at, height) - Eigen::Vector2d(x, y)).norm(), 1e-9);  // px
          }
    }
}

TEST(Camera, StandsWhereTheSceneSays) {
  const CameraScene scene = tilted_camera();
  const PinholeCamera camera(scene);
  EXPECT_LT((camera.pixel_at_height(scene.look_at_mm, 0) - scene.principal_px).norm(), 1e-9);
  const Eigen::Vector3d away = camera.centre_mm() - Eigen::Vector3d(12, -30, 0);
  EXPECT_NEAR(away.norm(), 410, 1e-9);
  EXPECT_NEAR(-away.z() / 410, std::cos(23 * M_PI / 180), 1e-12);
  EXPECT_NEAR(std::atan2(away.y(), away.x()), 40 * M_PI / 180, 1e-12);
}

// Straight down, roll 0: the picture is the sheet as printed; roll 90 turns it clockwise.
TEST(Camera, LooksStraightDownWithoutMirroring) {
  CameraScene scene = phone_camera(12);
  scene.distance_mm = 310;
  const Eigen::Vector2d upright = PinholeCamera(scene).pixel_at_height({10, 20}, 0) - scene.principal_px;
  EXPECT_LT((upright - Eigen::Vector2d(100, 200)).norm(), 1e-9);  // 3100 px / 310 mm = 10 px/mm
  scene.roll_deg = 90;
  const Eigen::Vector2d turned = PinholeCamera(scene).pixel_at_height({10, 20}, 0) - scene.principal_px;
  EXPECT_LT((turned - Eigen::Vector2d(-200, 100)).norm(), 1e-9);
}

// Rectified with the sheet's homography, a line at height t keeps its direction and
// is magnified by Z / (Z - t) about the camera's foot point.
TEST(Camera, LiftedLinesKeepTheirDirectionOnceRectified) {
  const CameraScene scene = tilted_camera();
  const PinholeCamera camera(scene);
  const auto undistorted = [&](const Eigen::Vector2d& px) {
    const Eigen::Vector3d seen = camera.camera_from_bench() * camera.ray(px);
    return cv::Point2d(seen.x() / seen.z(), seen.y() / seen.z());
  };
  std::vector<cv::Point2d> picture;
  std::vector<cv::Point2d> sheet;
  for (const double x : {-50.0, 50.0})
    for (const double y : {-120.0, 120.0}) {
      picture.push_back(undistorted(camera.pixel_at_height({x, y}, 0)));
      sheet.emplace_back(x, y);
    }
  const cv::Mat homography = cv::findHomography(picture, sheet);
  const Eigen::Vector2d foot = camera.centre_mm().head<2>();
  const double z = -camera.centre_mm().z();
  for (const double t : {6.0, 20.0})
    for (const double lean : {-0.03, 0.0, 0.05}) {
      const Eigen::Vector2d ends[] = {{9, -100}, {9 + 200 * lean, 100}};
      std::vector<cv::Point2d> seen;
      for (const auto& end : ends) seen.push_back(undistorted(camera.pixel_at_height(end, t)));
      std::vector<cv::Point2d> rectified;
      cv::perspectiveTransform(seen, rectified, homography);
      const cv::Point2d along = rectified[1] - rectified[0];
      EXPECT_NEAR(along.x / along.y, lean, 1e-7);  // findHomography rounds its points to float
      for (int i = 0; i < 2; ++i) {
        const Eigen::Vector2d expected = foot + (ends[i] - foot) * z / (z - t);
        EXPECT_NEAR(rectified[i].x, expected.x(), 2e-5);  // mm
        EXPECT_NEAR(rectified[i].y, expected.y(), 2e-5);
      }
    }
}

}  // namespace
}  // namespace tapersight
