#include "synth/photo_truth.h"

#include <cmath>
#include <nlohmann/json.hpp>
#include <string>

#include "synth/roughness.h"
#include "synth/strip_shape.h"

namespace tapersight {
namespace {

constexpr int kArrisPoints = 25;

ArrisTruth arris(const PhotoStripScene& strip, StripSide side, bool top, const PhotoStripTruth& truth,
                 const PinholeCamera& camera) {
  const double height = truth.base_height_mm + (top ? strip.thickness_mm : 0);
  const double sign = side == StripSide::kLeft ? -1 : 1;
  const double bevel = side == StripSide::kLeft ? strip.bevel_left_mm : strip.bevel_right_mm;
  const Eigen::Vector2d outwards(top ? 0 : sign * bevel, 0);
  const EdgeLine cut = cut_line(strip, side);
  const auto seen = [&](const Eigen::Vector2d& vu) {
    return camera.pixel_at_height(truth.bench_from_strip * (vu + outwards), height);
  };
  ArrisTruth result;
  result.ends_px = mapped(cut, seen);
  for (int i = 0; i < kArrisPoints; ++i)
    result.points_px.push_back(
        seen(cut.far_end + (cut.fence_end - cut.far_end) * (i / (kArrisPoints - 1.0))));
  if (top) return result;
  // Behind the strip when the camera is on the inner side of the wall's plane.
  const Eigen::Vector2d foot = truth.bench_from_strip.inverse() * camera.centre_mm().head<2>();
  const double above_top = -camera.centre_mm().z() - (truth.base_height_mm + strip.thickness_mm);
  const double wall_v = sign * straight_edge(strip, side, foot.y()) - bevel * above_top / strip.thickness_mm;
  result.visible = sign * foot.x() > wall_v;
  return result;
}

PhotoStripTruth strip_truth(const PhotoScene& scene, std::size_t index, const PinholeCamera& camera) {
  const PhotoStripScene& strip = scene.strips[index];
  const StripShape top = make_strip_shape(strip, strip_seed(scene, index));
  const StripShape bottom = make_strip_shape(strip, bottom_seed(scene, index), strip_seed(scene, index));
  PhotoStripTruth truth;
  truth.length_mm = strip.length_mm;
  truth.width_mm = strip.width_mm;
  truth.width_fence_end_mm = strip.width_mm + strip.taper * strip.length_mm / 2;
  truth.width_far_end_mm = strip.width_mm - strip.taper * strip.length_mm / 2;
  truth.thickness_mm = strip.thickness_mm;
  truth.taper = strip.taper;
  truth.taper_as_drawn = taper_of_slopes(top.left_slope, top.right_slope);
  truth.bottom_as_drawn = taper_of_slopes(bottom.left_slope, bottom.right_slope);
  truth.base_height_mm = middle_height_mm(scene);
  truth.bench_from_strip = page_from_strip(scene, strip);
  truth.left_top = arris(strip, StripSide::kLeft, true, truth, camera);
  truth.right_top = arris(strip, StripSide::kRight, true, truth, camera);
  truth.left_bottom = arris(strip, StripSide::kLeft, false, truth, camera);
  truth.right_bottom = arris(strip, StripSide::kRight, false, truth, camera);
  const Eigen::Affine2d sheet_from_strip = page_from_sheet(scene).inverse() * truth.bench_from_strip;
  const auto to_sheet = [&](const Eigen::Vector2d& p) {
    return nominal_of_printed(scene, sheet_from_strip * p);
  };
  truth.left_sheet = mapped(cut_line(strip, StripSide::kLeft), to_sheet);
  truth.right_sheet = mapped(cut_line(strip, StripSide::kRight), to_sheet);
  truth.taper_in_sheet = taper_between(truth.left_sheet, truth.right_sheet);
  return truth;
}

// Whether the ray to `pixel` goes through the strip before it meets the sheet.
bool hidden_by(const PhotoStripScene& strip, const PhotoStripTruth& truth, const PinholeCamera& camera,
               const Eigen::Vector2d& pixel) {
  const Eigen::Affine2d strip_from_bench = truth.bench_from_strip.inverse();
  for (int i = 0; i <= 20; ++i) {
    const double height = truth.base_height_mm + strip.thickness_mm * i / 20;
    const Eigen::Vector2d p = strip_from_bench * camera.bench_from_pixel(pixel, height);
    if (std::abs(p.y()) < strip.length_mm / 2 && std::abs(p.x()) < strip.width_mm / 2) return true;
  }
  return false;
}

std::vector<SaddleTruth> saddle_truths(const PhotoScene& scene, const PhotoTruth& truth) {
  std::vector<SaddleTruth> saddles;
  const cv::Size size = truth.camera.size_px();
  for (const Saddle& saddle : layout_of(scene).saddles) {
    const Eigen::Vector2d px = truth.camera.pixel_from_bench(bench_from_sheet_point(scene, saddle.at_mm));
    bool visible = px.x() >= 0 && px.y() >= 0 && px.x() <= size.width - 1 && px.y() <= size.height - 1 &&
                   !under_patch(scene, saddle.at_mm);
    for (std::size_t i = 0; i < truth.strips.size(); ++i)
      visible = visible && !hidden_by(scene.strips[i], truth.strips[i], truth.camera, px);
    saddles.push_back({px, visible});
  }
  return saddles;
}

nlohmann::json arris_json(const ArrisTruth& arris) {
  nlohmann::json json = line_json(arris.ends_px);
  json["visible"] = arris.visible;
  json["points"] = nlohmann::json::array();
  for (const Eigen::Vector2d& p : arris.points_px) json["points"].push_back(point_json(p));
  return json;
}

nlohmann::json strip_json(const PhotoStripScene& scene, const PhotoStripTruth& truth) {
  return {
      {"length_mm", truth.length_mm},
      {"width_mm", truth.width_mm},
      {"width_fence_end_mm", truth.width_fence_end_mm},
      {"width_far_end_mm", truth.width_far_end_mm},
      {"thickness_mm", truth.thickness_mm},
      {"taper", truth.taper},
      {"taper_as_drawn", truth.taper_as_drawn},
      {"taper_bottom_as_drawn", truth.bottom_as_drawn},
      {"taper_in_sheet", truth.taper_in_sheet},
      {"edges_sheet_mm", {{"left", line_json(truth.left_sheet)}, {"right", line_json(truth.right_sheet)}}},
      {"edges_px",
       {{"left_top", arris_json(truth.left_top)},
        {"right_top", arris_json(truth.right_top)},
        {"left_bottom", arris_json(truth.left_bottom)},
        {"right_bottom", arris_json(truth.right_bottom)}}},
      {"left_edge", edge_json(scene.left)},
      {"right_edge", edge_json(scene.right)},
      {"wood_tone", scene.wood.tone},
      {"broken", scene.break_gap_mm > 0}};
}

nlohmann::json camera_json(const PinholeCamera& camera) {
  const CameraScene& scene = camera.scene();
  nlohmann::json rotation = nlohmann::json::array();
  for (int row = 0; row < 3; ++row)
    rotation.push_back({camera.camera_from_bench()(row, 0), camera.camera_from_bench()(row, 1),
                        camera.camera_from_bench()(row, 2)});
  const Eigen::Vector3d& c = camera.centre_mm();
  return {{"focal_px", scene.focal_px},
          {"principal_px", point_json(scene.principal_px)},
          {"k1", scene.k1},
          {"k2", scene.k2},
          {"distance_mm", scene.distance_mm},
          {"tilt_deg", scene.tilt_deg},
          {"roll_deg", scene.roll_deg},
          {"centre_bench_mm", {c.x(), c.y(), c.z()}},
          {"camera_from_bench", rotation}};
}

}  // namespace

Eigen::Vector2d PhotoTruth::pixel_from_strip(std::size_t strip, const Eigen::Vector2d& vu_mm,
                                             double height_mm) const {
  return camera.pixel_at_height(strips[strip].bench_from_strip * vu_mm,
                                strips[strip].base_height_mm + height_mm);
}

namespace {

// How far the corners that stand up lift the sheet.
double corner_height_mm(const PhotoScene& scene, const Eigen::Vector2d& page) {
  const SheetLayout& layout = layout_of(scene);
  const Eigen::Vector2d half(layout.page_width_mm / 2, layout.page_height_mm / 2);
  const Eigen::Vector2d outward[] = {{-1, -1}, {1, -1}, {1, 1}, {-1, 1}};
  double height = 0;
  for (const CornerScene& corner : scene.corners) {
    const Eigen::Vector2d& out = outward[corner.corner & 3];
    const double from_tip = (half.sum() - page.dot(out)) / std::sqrt(2.0);
    const double part = std::max(0.0, 1 - from_tip / corner.reach_mm);
    height += corner.height_mm * part * part;
  }
  return height;
}

}  // namespace

Eigen::Vector3d bench_from_sheet_point(const PhotoScene& scene, const Eigen::Vector2d& sheet_mm) {
  Eigen::Vector2d page = page_from_sheet(scene) * printed_at(scene, sheet_mm);
  const double lifted = corner_height_mm(scene, page);
  if (scene.sagitta_mm == 0) return {page.x(), page.y(), -lifted};
  const SheetLayout& layout = layout_of(scene);
  const double half = (scene.bulge_along_y ? layout.page_height_mm : layout.page_width_mm) / 2;
  double& s = scene.bulge_along_y ? page.y() : page.x();
  const double n = s / half;
  const double height = scene.sagitta_mm > 0 ? scene.sagitta_mm * (1 - n * n) : -scene.sagitta_mm * n * n;
  // Paper bends, it does not stretch: to second order of the parabola's slope.
  s -= 2 * scene.sagitta_mm * scene.sagitta_mm * n * n * n / (3 * half);
  return {page.x(), page.y(), -height - lifted};
}

double middle_height_mm(const PhotoScene& scene) {
  return scene.has_target ? std::max(scene.sagitta_mm, 0.0) : 0;
}

std::uint64_t strip_seed(const PhotoScene& scene, std::size_t index) {
  return stream_seed(scene.seed, "strip " + std::to_string(index));
}

std::uint64_t bottom_seed(const PhotoScene& scene, std::size_t index) {
  const std::uint64_t seed = strip_seed(scene, index);
  return scene.strips[index].arrises_share_roughness ? seed : stream_seed(seed, "bottom");
}

PhotoTruth make_photo_truth(const PhotoScene& scene) {
  PhotoTruth truth{PinholeCamera(scene.camera), page_from_sheet(scene), {}, {}};
  for (std::size_t i = 0; i < scene.strips.size(); ++i)
    truth.strips.push_back(strip_truth(scene, i, truth.camera));
  if (scene.has_target) truth.saddles = saddle_truths(scene, truth);
  return truth;
}

nlohmann::json truth_json(const PhotoScene& scene, const PhotoTruth& truth) {
  nlohmann::json json = {{"schema", "tapersight-synthetic-photo-truth-1"},
                         {"seed", scene.seed},
                         {"width_px", scene.camera.size_px.width},
                         {"height_px", scene.camera.size_px.height},
                         {"camera", camera_json(truth.camera)},
                         {"has_target", scene.has_target},
                         {"sheet", layout_of(scene).id},
                         {"print_scale_x", scene.print_scale_x},
                         {"print_scale_y", scene.print_scale_y},
                         {"print_shear", scene.print_shear},
                         {"sagitta_mm", scene.sagitta_mm},
                         {"paper_tone", scene.paper_tone},
                         {"blur_px", scene.phone.blur_px},
                         {"motion_px", scene.phone.motion_px},
                         {"noise_levels", scene.phone.noise_levels},
                         {"sharpen", scene.phone.sharpen},
                         {"exposure", scene.encoding.exposure},
                         {"jpeg_quality", scene.encoding.jpeg_quality},
                         {"exif_orientation", scene.phone.exif_orientation},
                         {"shadow_run", point_json(scene.light.shadow_run)}};
  json["strips"] = nlohmann::json::array();
  for (std::size_t i = 0; i < truth.strips.size(); ++i)
    json["strips"].push_back(strip_json(scene.strips[i], truth.strips[i]));
  json["saddles"] = nlohmann::json::array();
  int visible = 0;
  for (const SaddleTruth& saddle : truth.saddles) {
    visible += saddle.visible ? 1 : 0;
    json["saddles"].push_back({saddle.at_px.x(), saddle.at_px.y(), saddle.visible});
  }
  json["saddles_visible"] = visible;
  return json;
}

}  // namespace tapersight
