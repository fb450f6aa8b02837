#include "synth/scan_truth.h"

#include <cmath>
#include <nlohmann/json.hpp>
#include <string>

#include "synth/roughness.h"
#include "synth/strip_shape.h"
#include "synth/truth_parts.h"

namespace tapersight {
namespace {

double radians(double degrees) {
  return degrees * M_PI / 180;
}

Eigen::Affine2d glass_from_page(const ScanScene& scene) {
  return Eigen::Translation2d(scene.page_offset_x_mm, scene.page_offset_y_mm) *
         Eigen::Affine2d(Eigen::Rotation2Dd(radians(scene.page_rotation_deg)));
}

ScannerMap make_map(const ScanScene& scene, const SheetLayout& layout, const Eigen::Affine2d& from_sheet) {
  RectMm window = scene.window_sheet_mm;
  if (!(window.width > 0)) window = {0, 0, layout.page_width_mm, layout.page_height_mm};
  Eigen::AlignedBox2d bounds;
  for (const double x : {window.x, window.right()})
    for (const double y : {window.y, window.bottom()}) bounds.extend(from_sheet * Eigen::Vector2d(x, y));
  const double pitch = 25.4 / scene.dpi;
  // The picture starts on whole pixels of the bed: the page's offset keeps its fraction of a pixel.
  const Eigen::Array2d first = ((bounds.min().array() - scene.window_margin_mm) / pitch).floor();
  const Eigen::Array2d last = ((bounds.max().array() + scene.window_margin_mm) / pitch).ceil();
  const Eigen::Array2d count = (last - first + 1).max(1);
  return {scene.scanner, scene.dpi, (first * pitch).matrix(),
          cv::Size(static_cast<int>(count.x()), static_cast<int>(count.y())),
          stream_seed(scene.seed, "scanner")};
}

StripTruth strip_truth(const StripScene& strip, const StripShape& shape, const Eigen::Affine2d& from_strip,
                       const ScanTruth& scan) {
  StripTruth truth;
  truth.length_mm = strip.length_mm;
  truth.width_mm = strip.width_mm;
  truth.width_fence_end_mm = strip.width_mm + strip.taper * strip.length_mm / 2;
  truth.width_far_end_mm = strip.width_mm - strip.taper * strip.length_mm / 2;
  truth.taper = strip.taper;
  truth.taper_as_drawn = taper_of_slopes(shape.left_slope, shape.right_slope);
  truth.glass_from_strip = from_strip;
  const auto to_glass = [&](const Eigen::Vector2d& p) -> Eigen::Vector2d { return from_strip * p; };
  const Eigen::Affine2d strip_from_glass = from_strip.inverse();
  const auto to_sheet = [&](const Eigen::Vector2d& p) { return scan.sheet_point_from_glass(p); };
  const auto to_px = [&](const Eigen::Vector2d& p) {
    if (strip.lift.far_mm == 0 && strip.lift.fence_mm == 0) return scan.map.pixel_from_glass(p);
    return scan.map.pixel_from_glass(seen_on_glass(strip, from_strip, strip_from_glass * p));
  };
  truth.left_glass = mapped(cut_line(strip, StripSide::kLeft), to_glass);
  truth.right_glass = mapped(cut_line(strip, StripSide::kRight), to_glass);
  truth.left_sheet = mapped(truth.left_glass, to_sheet);
  truth.right_sheet = mapped(truth.right_glass, to_sheet);
  truth.left_px = mapped(truth.left_glass, to_px);
  truth.right_px = mapped(truth.right_glass, to_px);
  truth.taper_in_sheet = taper_between(truth.left_sheet, truth.right_sheet);
  return truth;
}

bool saddle_visible(const ScanScene& scene, const Saddle& saddle, const Eigen::Vector2d& px,
                    const cv::Size& size) {
  if (under_patch(scene, saddle.at_mm)) return false;
  return px.x() >= 0 && px.y() >= 0 && px.x() <= size.width - 1 && px.y() <= size.height - 1;
}

nlohmann::json strip_json(const StripScene& scene, const StripTruth& truth) {
  return {
      {"length_mm", truth.length_mm},
      {"width_mm", truth.width_mm},
      {"width_fence_end_mm", truth.width_fence_end_mm},
      {"width_far_end_mm", truth.width_far_end_mm},
      {"taper", truth.taper},
      {"taper_as_drawn", truth.taper_as_drawn},
      {"taper_in_sheet", truth.taper_in_sheet},
      {"edges_glass_mm", {{"left", line_json(truth.left_glass)}, {"right", line_json(truth.right_glass)}}},
      {"edges_sheet_mm", {{"left", line_json(truth.left_sheet)}, {"right", line_json(truth.right_sheet)}}},
      {"edges_px", {{"left", line_json(truth.left_px)}, {"right", line_json(truth.right_px)}}},
      {"left_edge", edge_json(scene.left)},
      {"right_edge", edge_json(scene.right)},
      {"broken", scene.break_gap_mm > 0}};
}

}  // namespace

Eigen::Vector2d ScanTruth::pixel_from_sheet(const Eigen::Vector2d& sheet_mm) const {
  return map.pixel_from_glass(glass_from_sheet_point(sheet_mm));
}

Eigen::Vector2d ScanTruth::sheet_from_pixel(const Eigen::Vector2d& pixel) const {
  return sheet_point_from_glass(map.glass_from_pixel(pixel));
}

Eigen::Vector2d ScanTruth::glass_from_sheet_point(const Eigen::Vector2d& sheet_mm) const {
  Eigen::Vector2d glass = glass_from_sheet * printed_at(sheet, sheet_mm);
  if (curl.border_mm == 0) return glass;
  const SheetLayout& layout = layout_of(sheet);
  const double across = 2 * sheet_mm.x() / layout.page_width_mm - 1;
  const double along = 2 * sheet_mm.y() / layout.page_height_mm - 1;
  const double height = std::max(0.0, curl.border_mm * across * across * (1 + curl.twist * along));
  glass.x() *= curl.lens_distance_mm / (curl.lens_distance_mm + height);
  return glass;
}

Eigen::Vector2d ScanTruth::sheet_point_from_glass(const Eigen::Vector2d& glass_mm) const {
  const Eigen::Affine2d from_glass = glass_from_sheet.inverse();
  if (curl.border_mm == 0) return nominal_of_printed(sheet, from_glass * glass_mm);
  Eigen::Vector2d point = from_glass * glass_mm;
  for (int i = 0; i < 100; ++i) {  // fixed point: both move what they move by little
    const Eigen::Vector2d step = from_glass.linear() * (glass_mm - glass_from_sheet_point(point));
    point += step;
    if (step.norm() < 1e-10) break;
  }
  return point;
}

Eigen::Vector2d seen_on_glass(const StripScene& strip, const Eigen::Affine2d& glass_from_strip,
                              const Eigen::Vector2d& vu_mm) {
  Eigen::Vector2d glass = glass_from_strip * vu_mm;
  glass.x() *= strip.lift.lens_distance_mm / (strip.lift.lens_distance_mm + lift_at(strip, vu_mm.y()));
  return glass;
}

std::uint64_t strip_seed(const ScanScene& scene, std::size_t index) {
  return stream_seed(scene.seed, "strip " + std::to_string(index));
}

ScanTruth make_truth(const ScanScene& scene) {
  const SheetLayout& layout = layout_of(scene);
  const Eigen::Affine2d from_page = glass_from_page(scene);
  const Eigen::Affine2d from_sheet = from_page * page_from_sheet(scene);
  ScanTruth truth{
      scene.dpi, scene.paper, scene.has_target, from_sheet, make_map(scene, layout, from_sheet), {}, {},
      {},        scene,       scene.curl};
  for (std::size_t i = 0; i < scene.strips.size(); ++i) {
    const StripScene& strip = scene.strips[i];
    truth.strips.push_back(strip_truth(strip, make_strip_shape(strip, strip_seed(scene, i)),
                                       from_page * page_from_strip(scene, strip), truth));
  }
  for (const TagScene& tag : scene.tags)
    truth.tags.push_back(
        {tag.bench, from_page * page_from_thing(scene, {tag.offset_x_mm, tag.offset_y_mm}, tag.angle_deg)});
  if (scene.has_target)
    for (const Saddle& saddle : layout.saddles) {
      const Eigen::Vector2d px = truth.pixel_from_sheet(saddle.at_mm);
      truth.saddles.push_back({px, saddle_visible(scene, saddle, px, truth.map.size_px())});
    }
  return truth;
}

nlohmann::json truth_json(const ScanScene& scene, const ScanTruth& truth) {
  nlohmann::json json = {{"schema", "tapersight-synthetic-scan-truth-1"},
                         {"seed", scene.seed},
                         {"dpi", scene.dpi},
                         {"width_px", truth.map.size_px().width},
                         {"height_px", truth.map.size_px().height},
                         {"has_target", scene.has_target},
                         {"sheet", layout_of(scene).id},
                         {"page_rotation_deg", scene.page_rotation_deg},
                         {"print_scale_x", scene.print_scale_x},
                         {"print_scale_y", scene.print_scale_y},
                         {"scanner_scale_x", scene.scanner.scale_x},
                         {"scanner_scale_y", scene.scanner.scale_y},
                         {"blur_px", scene.scanner.blur_px},
                         {"noise_levels", scene.scanner.noise_levels},
                         {"ground_tone", scene.ground_tone}};
  json["strips"] = nlohmann::json::array();
  for (std::size_t i = 0; i < truth.strips.size(); ++i)
    json["strips"].push_back(strip_json(scene.strips[i], truth.strips[i]));
  json["tags"] = nlohmann::json::array();
  for (const TagTruth& tag : truth.tags)
    json["tags"].push_back(
        {{"bench", tag.bench},
         {"middle_px", point_json(truth.map.pixel_from_glass(tag.glass_from_tag * Eigen::Vector2d(0, 0)))}});
  int visible = 0;
  for (const SaddleTruth& saddle : truth.saddles) visible += saddle.visible ? 1 : 0;
  json["saddles_visible"] = visible;
  return json;
}

}  // namespace tapersight
