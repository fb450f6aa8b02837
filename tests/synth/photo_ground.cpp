#include "synth/photo_ground.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "synth/bench_texture.h"
#include "synth/cast_shadow.h"
#include "synth/coverage.h"
#include "synth/light_image.h"
#include "synth/plane_grid.h"
#include "synth/roughness.h"
#include "synth/sheet_extras.h"
#include "synth/sheet_ink.h"
#include "target/tag_layout.h"

namespace tapersight {
namespace {

constexpr double kChordMm = 0.5;  // distortion bends a picture's line by less than 1e-3 px over this

// A sheet outline in the picture, its sides followed closely enough for the lens and the bulge.
Outline projected(const Outline& on_sheet, const PhotoScene& scene, const PinholeCamera& camera) {
  Outline px;
  px.weight = on_sheet.weight;
  const auto count = on_sheet.points.size();
  for (std::size_t i = 0; i < count; ++i) {
    const Eigen::Vector2d& from = on_sheet.points[i];
    const Eigen::Vector2d side = on_sheet.points[(i + 1) % count] - from;
    const int parts = std::max(1, static_cast<int>(std::ceil(side.norm() / kChordMm)));
    for (int k = 0; k < parts; ++k)
      px.points.push_back(camera.pixel_from_bench(
          bench_from_sheet_point(scene, from + side * (static_cast<double>(k) / parts))));
  }
  return px;
}

Outline box(const RectMm& rect, double weight = 1) {
  Outline outline = rectangle({rect.x, rect.y}, {rect.right(), rect.bottom()});
  outline.weight = weight;
  return outline;
}

Coverage covered(const std::vector<Outline>& on_sheet, const PhotoScene& scene, const PinholeCamera& camera) {
  std::vector<Outline> px;
  px.reserve(on_sheet.size());
  for (const Outline& outline : on_sheet) px.push_back(projected(outline, scene, camera));
  return cover_px(px, bounds_of_px(px, camera.size_px(), 0));
}

void paint_bench(const PhotoScene& scene, const PinholeCamera& camera, const Coverage& page, cv::Mat& light) {
  const cv::Rect all(cv::Point(0, 0), camera.size_px());
  const BenchTexture bench(scene.bench, stream_seed(scene.seed, "bench"));
  const Tone tint = tinted(1, scene.bench.tint, light.channels());
  const double footprint = scene.camera.distance_mm / scene.camera.focal_px;
  PlaneGrid grid(camera, 0, all);
  for (int r = 0; r < all.height; ++r) {
    const auto& points = grid.row(r);
    const bool page_here = r >= page.roi.y && r < page.roi.y + page.roi.height;
    const float* paper = page_here ? page.area.ptr<float>(r - page.roi.y) - page.roi.x : nullptr;
    float* out = pixel_at(light, r, 0);
    for (int c = 0; c < all.width; ++c, out += light.channels()) {
      const bool under = page_here && c >= page.roi.x && c < page.roi.x + page.roi.width && paper[c] >= 1;
      const auto tone =
          under ? 0.0F
                : static_cast<float>(bench.reflectance(points[static_cast<std::size_t>(c)], footprint));
      for (int k = 0; k < light.channels(); ++k) out[k] = tone * tint[static_cast<std::size_t>(k)];
    }
  }
}

void paint_ink(const PhotoScene& scene, const PinholeCamera& camera, cv::Mat& light) {
  const SheetLayout& layout = layout_of(scene);
  const SheetExtras extras = sheet_extras(layout);
  const double hairline = scene.paper_tone + kHairlineInk * (scene.ink_tone - scene.paper_tone);
  for (const Outline& part : extras.hairline) paint(covered({part}, scene, camera), neutral(hairline), light);
  for (const Outline& part : extras.black)
    paint(covered({part}, scene, camera), neutral(scene.ink_tone), light);
  const std::vector<InkRect> ink = fiducial_ink(layout, scene.ink_spread_mm);
  for (const RectMm& block : layout.blocks) {
    const RectMm reach = {block.x - 1, block.y - 1, block.width + 2, block.height + 2};
    std::vector<Outline> outlines;
    for (const InkRect& part : ink)
      if (reach.contains({part.at_mm.x, part.at_mm.y})) outlines.push_back(box(part.at_mm, part.weight));
    paint(covered(outlines, scene, camera), neutral(scene.ink_tone), light);
  }
}

// As render_scan.cpp's; bench frame, on the bench's level.
void paint_tag(const TagScene& tag, const PhotoScene& scene, const PinholeCamera& camera, cv::Mat& light) {
  const Eigen::Affine2d bench_from_tag =
      page_from_thing(scene, {tag.offset_x_mm, tag.offset_y_mm}, tag.angle_deg);
  const auto painted = [&](const std::vector<Outline>& on_tag, double tone) {
    std::vector<Outline> px;
    for (Outline outline : on_tag) {
      for (Eigen::Vector2d& p : outline.points) p = camera.pixel_at_height(bench_from_tag * p, 0);
      px.push_back(std::move(outline));
    }
    paint(cover_px(px, bounds_of_px(px, camera.size_px(), 2)), neutral(tone), light);
  };
  painted({box(kTagPaper)}, tag.paper_tone);
  std::vector<Outline> ink;
  for (const RectMm& part : tag_ink(tag.bench)) ink.push_back(box(part));
  ink.push_back({{{-kTagPointerHalfWidth, kTagPointerBase},
                  {0, kTagPointerTip},
                  {kTagPointerHalfWidth, kTagPointerBase}},
                 1});
  painted(ink, tag.ink_tone);
}

// A bulged sheet meets the lamp's light at changing angles (cosine law).
void shade_bulge(const PhotoScene& scene, const PinholeCamera& camera, const Coverage& page, cv::Mat& light) {
  const SheetLayout& layout = layout_of(scene);
  const double half = (scene.bulge_along_y ? layout.page_height_mm : layout.page_width_mm) / 2;
  const double run = scene.bulge_along_y ? scene.light.shadow_run.y() : scene.light.shadow_run.x();
  PlaneGrid grid(camera, 0, page.roi);
  for (int r = 0; r < page.roi.height; ++r) {
    const auto& points = grid.row(page.roi.y + r);
    const float* area = page.area.ptr<float>(r);
    float* out = pixel_at(light, page.roi.y + r, page.roi.x);
    for (int c = 0; c < page.roi.width; ++c, out += light.channels()) {
      const Eigen::Vector2d& p = points[static_cast<std::size_t>(c)];
      const double s = scene.bulge_along_y ? p.y() : p.x();
      const double slope = -2 * scene.sagitta_mm * s / (half * half);
      const auto factor = static_cast<float>(1 + scene.light.direct * slope * run);
      for (int k = 0; k < light.channels(); ++k) out[k] *= 1 + area[c] * (factor - 1);
    }
  }
}

cv::Rect shadow_bounds(const PhotoStripScene& strip, const PhotoStripTruth& truth,
                       const PinholeCamera& camera, double reach_mm) {
  const double u = strip.length_mm / 2 + reach_mm;
  const double v = strip.width_mm / 2 + std::abs(strip.taper) * u + reach_mm;
  Outline outline = rectangle({-v, -u}, {v, u});
  for (Eigen::Vector2d& p : outline.points)
    p = camera.pixel_at_height(truth.bench_from_strip * p, truth.base_height_mm);
  return bounds_of_px({outline}, camera.size_px(), 8);
}

}  // namespace

void paint_bench_and_sheet(const PhotoScene& scene, const PhotoTruth& truth, cv::Mat& light) {
  const PinholeCamera& camera = truth.camera;
  const SheetLayout& layout = layout_of(scene);
  Coverage page;
  if (scene.has_target)
    page = covered({box({0, 0, layout.page_width_mm, layout.page_height_mm})}, scene, camera);
  paint_bench(scene, camera, page, light);
  if (scene.has_target) {
    paint(page, neutral(scene.paper_tone), light);
    paint_ink(scene, camera, light);
    if (scene.sagitta_mm != 0) shade_bulge(scene, camera, page, light);
    for (const TagScene& tag : scene.tags) paint_tag(tag, scene, camera, light);
  }
  for (const Patch& patch : scene.patches)
    paint(covered({box(patch.at_sheet_mm)}, scene, camera), neutral(patch.tone), light);
}

void shade_ground(const PhotoScene& scene, const PhotoTruth& truth, cv::Mat& light) {
  for (std::size_t i = 0; i < scene.strips.size(); ++i) {
    const PhotoStripTruth& strip = truth.strips[i];
    const CastShadow shadow(scene.light, scene.strips[i], strip.bench_from_strip);
    const CastShadow second(second_lamp(scene.light), scene.strips[i], strip.bench_from_strip);
    const double reach_mm = std::max(shadow.reach_mm(), scene.light.second_share > 0 ? second.reach_mm() : 0);
    const cv::Rect roi = shadow_bounds(scene.strips[i], strip, truth.camera, reach_mm);
    if (roi.empty() || reach_mm == 0) continue;
    const double share = scene.light.second_share;
    PlaneGrid grid(truth.camera, strip.base_height_mm, roi);
    for (int r = 0; r < roi.height; ++r) {
      const auto& points = grid.row(roi.y + r);
      float* out = pixel_at(light, roi.y + r, roi.x);
      for (int c = 0; c < roi.width; ++c, out += light.channels()) {
        const Eigen::Vector2d& at = points[static_cast<std::size_t>(c)];
        double lit = shadow.light_at(at);
        if (share > 0) lit += share * (second.light_at(at) - lit);
        const auto part = static_cast<float>(lit);
        for (int k = 0; k < light.channels(); ++k) out[k] *= part;
      }
    }
  }
}

double glare_at(const GlareScene& glare, const Eigen::Vector2d& bench_mm) {
  const Eigen::Vector2d p =
      Eigen::Rotation2Dd(-glare.angle_deg * M_PI / 180).toRotationMatrix() * (bench_mm - glare.at_mm);
  const double soft = std::max(glare.soft_mm, 1e-3);
  const double x = smooth_step(0.5 + (glare.half_mm.x() - std::abs(p.x())) / (2 * soft));
  const double y = smooth_step(0.5 + (glare.half_mm.y() - std::abs(p.y())) / (2 * soft));
  return glare.strength * x * y;
}

void add_sheet_glare(const PhotoScene& scene, const PhotoTruth& truth, cv::Mat& light) {
  for (const GlareScene& glare : scene.glares) {
    if (!glare.on_sheet) continue;
    const cv::Rect all(cv::Point(0, 0), truth.camera.size_px());
    PlaneGrid grid(truth.camera, 0, all);
    for (int r = 0; r < all.height; ++r) {
      const auto& points = grid.row(r);
      float* out = pixel_at(light, r, 0);
      for (int c = 0; c < all.width; ++c, out += light.channels()) {
        const auto added = static_cast<float>(glare_at(glare, points[static_cast<std::size_t>(c)]));
        for (int k = 0; k < light.channels(); ++k) out[k] += added;
      }
    }
  }
}

}  // namespace tapersight
