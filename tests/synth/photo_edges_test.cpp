// The strip in a rendered photo lies exactly where the truth says: recovered by summing light, no edge
// finder.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <opencv2/core.hpp>
#include <string>

#include "synth/render_photo.h"
#include "synth/truth_parts.h"

namespace tapersight {
namespace {

constexpr double kWood = 0.3;

// One tone of wood on one tone of paper, no shadow: between them every pixel's light tells its covered area.
// A small picture through the same field of view as a phone's.
PhotoScene plain_scene() {
  PhotoScene scene;
  scene.camera.size_px = {800, 1000};
  scene.camera.focal_px = 1000;
  scene.camera.principal_px = {405, 492};
  scene.camera.k1 = 0.05;
  scene.camera.k2 = -0.02;
  scene.camera.look_at_mm = {6, 9};
  scene.camera.distance_mm = 260;
  scene.camera.tilt_deg = 20;
  scene.camera.tilt_towards_deg = 30;
  scene.light.direct = 0;
  scene.light.occlusion = 0;
  scene.phone.blur_px = 0.8;
  PhotoStripScene& strip = scene.strips.front();
  strip.length_mm = 170;
  strip.width_mm = 15;
  strip.taper = 0.0021;
  strip.angle_deg = 1.3;
  strip.bevel_left_mm = 0.4;
  strip.bevel_right_mm = -0.3;
  strip.thickness_mm = 14;
  strip.ends.roughness_um = 0;
  strip.wood.tone = kWood;
  return scene;
}

enum class WallsLookLike { kFace, kPaper };

void set_walls(WallsLookLike look, PhotoScene& scene) {
  // A wall has half of the sky's light and half of the paper's.
  const double per_tone = 0.5 * (1 + scene.paper_tone);
  PhotoStripScene& strip = scene.strips.front();
  strip.wall_tone = (look == WallsLookLike::kFace ? 1 : scene.paper_tone / kWood) / per_tone;
  strip.end_tone = 1;
}

// A picture seen with rows and columns swapped when the strip lies across it.
class View {
 public:
  View(const cv::Mat& light, bool swapped) : light_(swapped ? light.t() : light), swapped_(swapped) {}
  int rows() const { return light_.rows; }
  Eigen::Vector2d point(const Eigen::Vector2d& px) const {
    return swapped_ ? Eigen::Vector2d(px.y(), px.x()) : px;
  }
  double area(int row, int column, double paper) const {
    return (static_cast<double>(light_.at<float>(row, column)) - paper) / (kWood - paper);
  }

 private:
  cv::Mat light_;
  bool swapped_;
};

// Where the straight cut's arris at this height crosses the middle of a row.
double column_at_row(const PhotoTruth& truth, const PhotoStripScene& strip, StripSide side, bool top,
                     const View& view, double row) {
  const double bevel = side == StripSide::kLeft ? -strip.bevel_left_mm : strip.bevel_right_mm;
  const EdgeLine cut = cut_line(strip, side);
  const auto point = [&](double t) {
    const Eigen::Vector2d vu =
        cut.far_end + t * (cut.fence_end - cut.far_end) + Eigen::Vector2d(top ? 0 : bevel, 0);
    return view.point(truth.pixel_from_strip(0, vu, top ? strip.thickness_mm : 0));
  };
  double low = 0;
  double high = 1;
  const bool rising = point(1).y() > point(0).y();
  for (int i = 0; i < 60; ++i) {
    const double t = (low + high) / 2;
    ((point(t).y() < row) == rising ? low : high) = t;
  }
  return point((low + high) / 2).x();
}

struct Errors {
  double largest = 0;  // px
  double sum = 0;
  int rows = 0;
  double mean() const { return sum / rows; }
};

// Sums covered area from the strip's middle outwards over one edge, 25 px of paper included.
Errors compare(const PhotoScene& scene, StripSide side, bool top) {
  const PhotoTruth truth = make_photo_truth(scene);
  const PhotoStripScene& strip = scene.strips.front();
  const double turn = std::abs(std::sin(scene.camera.roll_deg * M_PI / 180));
  const View view(render_photo_light(scene, truth), turn > 0.7);
  const auto row_of = [&](double v, double u, double h) {
    return view.point(truth.pixel_from_strip(0, {v, u}, h)).y();
  };
  double first = 0;
  double last = view.rows();
  for (const double v : {-8.0, 8.0})
    for (const double h : {0.0, strip.thickness_mm}) {
      const double far = row_of(v, -85, h);
      const double fence = row_of(v, 85, h);
      first = std::max(first, std::min(far, fence) + 20);
      last = std::min(last, std::max(far, fence) - 20);
    }
  Errors errors;
  for (int r = static_cast<int>(first); r < last; ++r) {
    const double expected = column_at_row(truth, strip, side, top, view, r);
    const double left = column_at_row(truth, strip, StripSide::kLeft, true, view, r);
    const double right = column_at_row(truth, strip, StripSide::kRight, true, view, r);
    const int inside = static_cast<int>(std::lround((left + right) / 2));
    const int step = expected > inside ? 1 : -1;
    double area = 0;
    for (int c = inside; std::abs(c - inside) <= std::abs(expected - inside) + 25; c += step)
      area += view.area(r, c, scene.paper_tone);
    const double error = inside + step * (area - 0.5) - expected;
    errors.largest = std::max(errors.largest, std::abs(error));
    errors.sum += error;
    ++errors.rows;
  }
  return errors;
}

void expect_exact(const PhotoScene& scene, StripSide side, bool top, const std::string& what) {
  const Errors errors = compare(scene, side, top);
  EXPECT_GT(errors.rows, 350) << what;
  EXPECT_LT(errors.largest, 2e-4) << what;  // px: float sums over 60 pixels
  EXPECT_LT(std::abs(errors.mean()), 5e-5) << what;
}

constexpr double kRolls[] = {3, 93, 182, 268};

TEST(PhotoEdges, TopArrisesAreExact) {
  for (const double roll : kRolls) {
    PhotoScene scene = plain_scene();
    scene.camera.roll_deg = roll;
    if (roll == 93 || roll == 268) {
      scene.camera.size_px = {1000, 800};
      scene.camera.principal_px = {492, 405};
    }
    set_walls(WallsLookLike::kPaper, scene);
    for (const StripSide side : {StripSide::kLeft, StripSide::kRight})
      expect_exact(scene, side, true, "roll " + std::to_string(roll));
  }
}

// With walls as light as the face the silhouette is left: bottom arris on the near side, top arris on the
// other.
TEST(PhotoEdges, SilhouettesAreExactWhereTheTruthSaysTheBottomArrisIsSeen) {
  int seen = 0;
  for (const double roll : {3.0, 182.0})
    for (const double towards : {30.0, 150.0}) {
      PhotoScene scene = plain_scene();
      scene.camera.roll_deg = roll;
      scene.camera.tilt_towards_deg = towards;
      set_walls(WallsLookLike::kFace, scene);
      const PhotoStripTruth truth = make_photo_truth(scene).strips[0];
      EXPECT_TRUE(truth.left_bottom.visible != truth.right_bottom.visible);
      seen += truth.left_bottom.visible ? 1 : -1;
      expect_exact(scene, StripSide::kLeft, !truth.left_bottom.visible, "left");
      expect_exact(scene, StripSide::kRight, !truth.right_bottom.visible, "right");
    }
  EXPECT_EQ(seen, 0);  // each side twice
}

TEST(PhotoEdges, BlurAndMotionMoveNothing) {
  PhotoScene scene = plain_scene();
  scene.phone.blur_px = 2;
  scene.phone.motion_px = 5;
  scene.phone.motion_deg = 30;
  set_walls(WallsLookLike::kPaper, scene);
  expect_exact(scene, StripSide::kLeft, true, "left");
  expect_exact(scene, StripSide::kRight, true, "right");
}

// A bulged sheet lifts the strip.
TEST(PhotoEdges, AreExactOnABulgedSheet) {
  PhotoScene scene = plain_scene();
  scene.sagitta_mm = 3;
  set_walls(WallsLookLike::kPaper, scene);
  EXPECT_EQ(make_photo_truth(scene).strips[0].base_height_mm, 3);
  expect_exact(scene, StripSide::kLeft, true, "left");
  expect_exact(scene, StripSide::kRight, true, "right");
}

// What the photo path stands on: from the arrises in the picture alone, rectified, the taper comes out
// whichever arrises are paired.
TEST(PhotoEdges, TruthGivesTheTaperFromAnyPairOfArrises) {
  PhotoScene scene = random_photo_scene(4, SceneProfile::kSmooth);
  const PhotoTruth truth = make_photo_truth(scene);
  const PhotoStripTruth& strip = truth.strips[0];
  const auto on_sheet = [&](const ArrisTruth& arris) {
    const auto down = [&](const Eigen::Vector2d& px) -> Eigen::Vector2d {
      return truth.bench_from_sheet.inverse() * truth.camera.bench_from_pixel(px, 0);
    };
    return mapped(arris.ends_px, down);
  };
  for (const ArrisTruth* left : {&strip.left_top, &strip.left_bottom})
    for (const ArrisTruth* right : {&strip.right_top, &strip.right_bottom})
      EXPECT_NEAR(taper_between(on_sheet(*left), on_sheet(*right)), strip.taper_in_sheet, 1e-10);
  EXPECT_NEAR(strip.taper_in_sheet, strip.taper, 0.02 * std::abs(strip.taper) + 1e-6);  // print errors only
}

}  // namespace
}  // namespace tapersight
