#include "synth/photo_strip.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "synth/cast_shadow.h"
#include "synth/coverage.h"
#include "synth/light_image.h"
#include "synth/photo_ground.h"
#include "synth/plane_grid.h"
#include "synth/strip_shape.h"
#include "synth/wood_texture.h"

namespace tapersight {
namespace {

using Points = std::vector<Eigen::Vector2d>;

constexpr int kSides = 4;  // left, right, far end, fence end
const Eigen::Vector2d kOutward[kSides] = {{-1, 0}, {1, 0}, {0, -1}, {0, 1}};
// The turning sense in the picture of a wall that faces the camera, drawn as wall_outline does.
constexpr double kFacing[kSides] = {1, -1, -1, 1};

// A strip in the picture, walls by side.
struct Silhouette {
  std::vector<Outline> faces;
  std::vector<Outline> walls[kSides];
};

Points projected(const Points& points, const PhotoTruth& truth, std::size_t index, double height_mm) {
  Points px;
  px.reserve(points.size());
  for (const Eigen::Vector2d& p : points) px.push_back(truth.pixel_from_strip(index, p, height_mm));
  return px;
}

// The bottom arris of a side: the same cut, further out by the blade's bevel.
Points bottom_points(Points points, int side, const PhotoStripScene& strip) {
  if (side < 2) {
    const double out = side == 0 ? -strip.bevel_left_mm : strip.bevel_right_mm;
    for (Eigen::Vector2d& p : points) p.x() += out;
    return points;
  }
  // An end runs from the left arris to the right one.
  const double low = points.front().x();
  const double span = points.back().x() - low;
  for (Eigen::Vector2d& p : points) {
    const double t = (p.x() - low) / span;
    p.x() += t * strip.bevel_right_mm - (1 - t) * strip.bevel_left_mm;
  }
  return points;
}

// Where roughness turns bits of a wall away from the camera, their area is negative and cover_px drops it.
Outline wall_outline(const Points& top, const Points& bottom, int side) {
  Outline outline;
  outline.points = top;
  outline.points.insert(outline.points.end(), bottom.rbegin(), bottom.rend());
  outline.weight = signed_area(outline.points) * kFacing[side] > 0 ? 1 : -1;
  return outline;
}

Silhouette make_silhouette(const PhotoScene& scene, const PhotoTruth& truth, std::size_t index) {
  const PhotoStripScene& strip = scene.strips[index];
  const StripShape top = make_strip_shape(strip, strip_seed(scene, index));
  const StripShape bottom = make_strip_shape(strip, bottom_seed(scene, index), strip_seed(scene, index));
  Silhouette silhouette;
  for (std::size_t k = 0; k < top.pieces.size(); ++k) {
    const StripPiece& upper = top.pieces[k];
    const StripPiece& lower = bottom.pieces[k];
    silhouette.faces.push_back({projected(upper.outline(), truth, index, strip.thickness_mm), 1});
    const Points* above[kSides] = {&upper.left, &upper.right, &upper.far_end, &upper.fence_end};
    const Points* below[kSides] = {&lower.left, &lower.right, &lower.far_end, &lower.fence_end};
    for (int side = 0; side < kSides; ++side)
      silhouette.walls[side].push_back(
          wall_outline(projected(*above[side], truth, index, strip.thickness_mm),
                       projected(bottom_points(*below[side], side, strip), truth, index, 0), side));
  }
  return silhouette;
}

// The wood of a wall by its own frame: height takes the place of v, or of u at the ends.
class WallTexture {
 public:
  WallTexture(const PhotoScene& scene, const PhotoTruth& truth, std::size_t index, std::uint64_t seed)
      : strip_(scene.strips[index]),
        truth_(truth.strips[index]),
        camera_(truth.camera),
        along_(wall_scene(strip_, strip_.length_mm), seed ^ 1),
        across_(wall_scene(strip_, strip_.width_mm), seed ^ 2) {
    strip_from_bench_ = truth_.bench_from_strip.inverse();
    for (int side = 0; side < kSides; ++side) {
      const Eigen::Vector2d outward = truth_.bench_from_strip.linear() * kOutward[side];
      light_[side] = wall_light(scene.light, outward, scene.paper_tone) * strip_.wall_tone *
                     (side < 2 ? 1 : strip_.end_tone);
    }
  }

  // Light from the wall where the ray of `pixel` meets its plane.
  double light_at(const Eigen::Vector2d& pixel, int side, double footprint_mm) const {
    const Eigen::Vector3d ray = camera_.ray(pixel);
    const Eigen::Vector2d from = strip_from_bench_ * camera_.centre_mm().head<2>();
    const Eigen::Vector2d way = strip_from_bench_.linear() * ray.head<2>();
    const int axis = side < 2 ? 0 : 1;
    const double plane = kOutward[side][axis] * (axis == 0 ? strip_.width_mm : strip_.length_mm) / 2;
    const double t = std::abs(way[axis]) > 1e-9 ? (plane - from[axis]) / way[axis] : 0;
    const double height = -(camera_.centre_mm().z() + t * ray.z()) - truth_.base_height_mm;
    const double h = std::clamp(height, 0.0, strip_.thickness_mm) - strip_.thickness_mm / 2;
    const double s = from[1 - axis] + t * way[1 - axis];
    return light_[side] * (side < 2 ? along_ : across_).reflectance(h, s, footprint_mm);
  }

 private:
  static StripScene wall_scene(const PhotoStripScene& strip, double length_mm) {
    StripScene wall = strip;
    wall.width_mm = strip.thickness_mm;
    wall.length_mm = length_mm;
    wall.wood.burns.clear();
    return wall;
  }

  const PhotoStripScene& strip_;
  const PhotoStripTruth& truth_;
  const PinholeCamera& camera_;
  WoodTexture along_, across_;
  Eigen::Affine2d strip_from_bench_;
  double light_[kSides] = {0, 0, 0, 0};
};

std::vector<Outline> everything(const Silhouette& silhouette) {
  std::vector<Outline> all = silhouette.faces;
  for (const auto& walls : silhouette.walls) all.insert(all.end(), walls.begin(), walls.end());
  return all;
}

}  // namespace

void paint_photo_strip(const PhotoScene& scene, const PhotoTruth& truth, std::size_t index, cv::Mat& light) {
  const PhotoStripScene& strip = scene.strips[index];
  const Silhouette silhouette = make_silhouette(scene, truth, index);
  const cv::Rect roi = bounds_of_px(everything(silhouette), truth.camera.size_px(), 0);
  if (roi.empty()) return;
  const cv::Mat face = cover_px(silhouette.faces, roi).area;
  cv::Mat walls[kSides];
  for (int side = 0; side < kSides; ++side) walls[side] = cover_px(silhouette.walls[side], roi).area;

  const std::uint64_t seed = strip_seed(scene, index);
  const WoodTexture wood(strip, seed);
  const WallTexture wall_wood(scene, truth, index, seed);
  const Tone tint = tinted(1, strip.wood.tint, light.channels());
  const double footprint = scene.camera.distance_mm / scene.camera.focal_px;
  const Eigen::Affine2d strip_from_bench = truth.strips[index].bench_from_strip.inverse();
  PlaneGrid grid(truth.camera, truth.strips[index].base_height_mm + strip.thickness_mm, roi);
  for (int r = 0; r < roi.height; ++r) {
    const auto& points = grid.row(roi.y + r);
    const float* face_row = face.ptr<float>(r);
    float* out = pixel_at(light, roi.y + r, roi.x);
    for (int c = 0; c < roi.width; ++c, out += light.channels()) {
      float ground = 1 - face_row[c];
      double wood_light = 0;
      for (int side = 0; side < kSides; ++side) {
        const float area = std::min(walls[side].at<float>(r, c), ground);
        if (!(area > 1e-6F)) continue;
        ground -= area;
        wood_light += static_cast<double>(area) *
                      wall_wood.light_at(Eigen::Vector2d(roi.x + c, roi.y + r), side, footprint);
      }
      if (ground == 1) continue;
      double mirrored = 0;
      Tone photo = {0, 0, 0};
      if (face_row[c] > 0) {
        const Eigen::Vector2d& at = points[static_cast<std::size_t>(c)];
        const Eigen::Vector2d p = strip_from_bench * at;
        if (wood.photographed())
          photo = wood.photographed_light(p.x(), p.y(), footprint, light.channels());
        else
          wood_light += static_cast<double>(face_row[c]) * wood.reflectance(p.x(), p.y(), footprint);
        for (const GlareScene& glare : scene.glares)
          if (glare.on_strip) mirrored += static_cast<double>(face_row[c]) * glare_at(glare, at);
      }
      for (int k = 0; k < light.channels(); ++k)
        out[k] = ground * out[k] + static_cast<float>(wood_light) * tint[static_cast<std::size_t>(k)] +
                 static_cast<float>(mirrored);
      if (wood.photographed() && face_row[c] > 0)
        for (int k = 0; k < light.channels(); ++k) out[k] += face_row[c] * photo[static_cast<std::size_t>(k)];
    }
  }
}

}  // namespace tapersight
