#include "synth/render_scan.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgcodecs.hpp>
#include <string>
#include <vector>

#include "base/rng.h"
#include "synth/coverage.h"
#include "synth/jpeg_bytes.h"
#include "synth/light_image.h"
#include "synth/roughness.h"
#include "synth/sensor.h"
#include "synth/sharpen.h"
#include "synth/sheet_ink.h"
#include "synth/strip_light.h"
#include "target/tag_layout.h"

namespace tapersight {
namespace {

Outline on_glass(const RectMm& at_sheet_mm, const Eigen::Affine2d& glass_from_sheet, double weight) {
  Outline outline = rectangle({at_sheet_mm.x, at_sheet_mm.y}, {at_sheet_mm.right(), at_sheet_mm.bottom()});
  for (Eigen::Vector2d& p : outline.points) p = glass_from_sheet * p;
  outline.weight = weight;
  return outline;
}

// The same for print: as the printer left it and as the paper lies.
Outline printed(const RectMm& at_sheet_mm, const ScanTruth& truth, double weight) {
  if (truth.sheet.print_faults.none() && truth.curl.border_mm == 0)
    return on_glass(at_sheet_mm, truth.glass_from_sheet, weight);
  constexpr double kChordMm = 0.5;  // shorter than a band's period by far
  const Outline straight =
      rectangle({at_sheet_mm.x, at_sheet_mm.y}, {at_sheet_mm.right(), at_sheet_mm.bottom()});
  Outline outline;
  outline.weight = weight;
  for (std::size_t i = 0; i < straight.points.size(); ++i) {
    const Eigen::Vector2d& from = straight.points[i];
    const Eigen::Vector2d side = straight.points[(i + 1) % straight.points.size()] - from;
    const int parts = std::max(1, static_cast<int>(std::ceil(side.norm() / kChordMm)));
    for (int k = 0; k < parts; ++k)
      outline.points.push_back(truth.glass_from_sheet_point(from + side * (static_cast<double>(k) / parts)));
  }
  return outline;
}

void paint_sheet(const ScanScene& scene, const ScanTruth& truth, cv::Mat& light) {
  const SheetLayout& layout = layout_of(scene);
  const auto placed = [&](const RectMm& rect, double weight = 1) { return printed(rect, truth, weight); };
  const RectMm page = {0, 0, layout.page_width_mm, layout.page_height_mm};
  const cv::Rect everywhere(cv::Point(0, 0), truth.map.size_px());
  paint(cover({placed(page), placed(layout.channel, -1)}, truth.map, everywhere), neutral(scene.paper_tone),
        light);
  const std::vector<InkRect> ink = fiducial_ink(layout, scene.ink_spread_mm);
  for (const RectMm& block : layout.blocks) {
    const RectMm reach = {block.x - 1, block.y - 1, block.width + 2, block.height + 2};
    std::vector<Outline> outlines;
    for (const InkRect& part : ink)
      if (reach.contains({part.at_mm.x, part.at_mm.y})) outlines.push_back(placed(part.at_mm, part.weight));
    paint(cover(outlines, truth.map, bounds_px(outlines, truth.map, 2)), neutral(scene.ink_tone), light);
  }
  for (const Patch& patch : scene.patches) {
    const std::vector<Outline> outlines = {placed(patch.at_sheet_mm)};
    paint(cover(outlines, truth.map, bounds_px(outlines, truth.map, 2)), neutral(patch.tone), light);
  }
}

void paint_tag(const TagScene& tag, const TagTruth& truth, const ScannerMap& map, cv::Mat& light) {
  const auto painted = [&](const std::vector<Outline>& outlines, double tone) {
    paint(cover(outlines, map, bounds_px(outlines, map, 2)), neutral(tone), light);
  };
  painted({on_glass(kTagPaper, truth.glass_from_tag, 1)}, tag.paper_tone);
  std::vector<Outline> ink;
  for (const RectMm& part : tag_ink(tag.bench)) ink.push_back(on_glass(part, truth.glass_from_tag, 1));
  Outline pointer{{{-kTagPointerHalfWidth, kTagPointerBase},
                   {0, kTagPointerTip},
                   {kTagPointerHalfWidth, kTagPointerBase}},
                  1};
  for (Eigen::Vector2d& p : pointer.points) p = truth.glass_from_tag * p;
  ink.push_back(pointer);
  // Digits as bars, one for each.
  const int digits = static_cast<int>(std::to_string(tag.bench).size());
  for (int i = 0; i < digits; ++i)
    ink.push_back(on_glass({4.0 * (i - digits / 2.0) + 1, 6.8, 2, 4.6}, truth.glass_from_tag, 1));
  painted(ink, tag.ink_tone);
}

void paint_dust(const ScanScene& scene, const ScannerMap& map, cv::Mat& light) {
  Rng rng(stream_seed(scene.seed, "dust"));
  for (int i = 0; i < scene.dust_specks; ++i) {
    const Eigen::Vector2d pixel(rng.uniform(0, light.cols), rng.uniform(0, light.rows));
    const Eigen::Vector2d middle = map.glass_from_pixel(pixel);
    const double radius = 0.05 * std::exp(0.5 * rng.normal());
    const double stretch = rng.uniform() < 0.2 ? rng.uniform(4, 15) : 1;  // a fifth are fibres
    const double angle = rng.uniform(0, 2 * M_PI);
    const Eigen::Vector2d along(std::cos(angle), std::sin(angle));
    const Eigen::Vector2d across(-along.y(), along.x());
    Outline speck;
    for (int k = 0; k < 12; ++k) {
      const double turn = 2 * M_PI * k / 12;
      const double r = radius * rng.uniform(0.6, 1.3);
      speck.points.emplace_back(middle + along * (r * stretch * std::cos(turn)) +
                                across * (r * std::sin(turn)));
    }
    paint(cover({speck}, map, bounds_px({speck}, map, 2)), neutral(rng.uniform(0.02, 0.7)), light);
  }
}

}  // namespace

cv::Mat render_light(const ScanScene& scene, const ScanTruth& truth) {
  const int type = scene.encoding.colour ? CV_32FC3 : CV_32FC1;
  cv::Mat light(truth.map.size_px(), type, cv::Scalar::all(scene.ground_tone));
  if (scene.has_target) paint_sheet(scene, truth, light);
  for (std::size_t i = 0; i < scene.strips.size(); ++i)
    paint_strip(scene.strips[i], truth.strips[i], truth.map, strip_seed(scene, i), light);
  for (std::size_t i = 0; i < scene.tags.size(); ++i)
    paint_tag(scene.tags[i], truth.tags[i], truth.map, light);
  paint_dust(scene, truth.map, light);
  light_and_blur(scene.scanner, truth.map, light);
  return light;
}

RenderedScan render_scan(const ScanScene& scene) {
  ScanTruth truth = make_truth(scene);
  cv::Mat light = render_light(scene, truth);
  add_signal_noise(scene.scanner.noise_a, scene.scanner.noise_b, scene.encoding.exposure,
                   stream_seed(scene.seed, "signal noise"), light);
  cv::Mat image = encode(light, scene.encoding, scene.scanner.noise_levels, stream_seed(scene.seed, "noise"));
  sharpen(scene.scanner.sharpen, image);
  if (scene.encoding.jpeg_quality > 0) {
    const std::vector<uchar> bytes = jpeg_bytes(image, scene.encoding.jpeg_quality, scene.encoding.chroma);
    image = cv::imdecode(bytes, scene.encoding.colour ? cv::IMREAD_COLOR : cv::IMREAD_GRAYSCALE);
  }
  return {image, std::move(truth)};
}

}  // namespace tapersight
