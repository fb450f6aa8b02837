#include <algorithm>
#include <cmath>

#include "base/rng.h"
#include "synth/random_parts.h"
#include "synth/roughness.h"
#include "synth/scan_scene.h"
#include "target/tag_layout.h"

namespace tapersight {
namespace {

void draw_pose(Rng& rng, ScanScene& scene) {
  scene.paper = rng.integer(0, 1) == 0 ? Paper::kA4 : Paper::kLetter;
  scene.page_rotation_deg = 90 * rng.integer(0, 3) + rng.uniform(-2.5, 2.5);
  scene.page_offset_x_mm = rng.uniform(-2, 2);
  scene.page_offset_y_mm = rng.uniform(-2, 2);
  draw_print(rng, scene);
}

void draw_scanner(Rng& rng, ScannerScene& scanner) {
  scanner.scale_x = 1 + 0.002 * rng.normal();
  scanner.scale_y = 1 + 0.002 * rng.normal();
  scanner.skew = 0.0005 * rng.normal();
  scanner.lens_cubic_mm = 0.15 * rng.normal();
  scanner.lens_quadratic_mm = 0.1 * rng.normal();
  scanner.carriage_quadratic_mm = 0.05 * rng.normal();
  for (int i = 0; i < 2; ++i) {
    scanner.carriage_waves.push_back({rng.uniform(0, 15), rng.uniform(20, 150), rng.uniform(0, 2 * M_PI)});
    scanner.yaw_waves.push_back({rng.uniform(0, 4), rng.uniform(40, 200), rng.uniform(0, 2 * M_PI)});
    scanner.wobble_waves.push_back({rng.uniform(0, 8), rng.uniform(20, 150), rng.uniform(0, 2 * M_PI)});
  }
  scanner.jitter_um = rng.uniform(0, 3);
  scanner.jitter_correlation_mm = rng.uniform(0.2, 2);
  scanner.blur_px = rng.uniform(0.5, 1.2);
  scanner.noise_levels = rng.uniform(0.5, 2.5);
  scanner.light_fall_off = rng.uniform(0, 0.08);
  scanner.light_tilt = rng.uniform(-0.05, 0.05);
}

void draw_wood(Rng& rng, bool rough, WoodScene& wood, double& ground_tone) {
  const bool dark_lid = rng.integer(0, 2) > 0;
  ground_tone = dark_lid ? rng.uniform(0.02, 0.05) : rng.uniform(0.82, 0.92);
  wood.tone = dark_lid ? rng.uniform(0.25, 0.65) : rng.uniform(0.12, 0.45);
  wood.tone_drift = rng.uniform(-0.2, 0.2);
  draw_grain(rng, rough, wood);
}

}  // namespace

void draw_print(Rng& rng, SheetScene& sheet) {
  sheet.print_scale_x = 1 + 0.002 * rng.normal();
  sheet.print_scale_y = 1 + 0.003 * rng.normal();
  sheet.print_shear = 0.0005 * rng.normal();
  sheet.ink_spread_mm = rng.uniform(-0.02, 0.05);
  sheet.paper_tone = rng.uniform(0.7, 0.88);
  sheet.ink_tone = rng.uniform(0.02, 0.08);
}

void draw_edge(Rng& rng, bool rough, EdgeScene& edge) {
  edge.roughness_um = rough ? rng.uniform(20, 80) : rng.uniform(3, 12);
  edge.correlation_mm = rough ? rng.uniform(0.5, 3) : rng.uniform(0.2, 0.8);
  edge.gaussian = rng.integer(0, 1) == 1;
  if (!rough) return;
  edge.chips = rng.integer(0, 5);
  edge.chip_depth_mm = rng.uniform(0.2, 0.8);
  edge.chip_length_mm = rng.uniform(1.5, 6);
}

void draw_grain(Rng& rng, bool rough, WoodScene& wood) {
  wood.grain_contrast = rng.uniform(0.05, rough ? 0.35 : 0.2);
  wood.ring_mm = rng.uniform(1.2, 4);
  wood.grain_slope = 0.012 * rng.normal();
  wood.grain_wave_mm = rng.uniform(0.1, 0.6);
  wood.saw_contrast = rng.uniform(0, rough ? 0.06 : 0.03);
  wood.saw_period_mm = rng.uniform(0.8, 3);
  if (!rough) return;
  wood.dark_lines = rng.integer(0, 3);
  for (int i = rng.integer(0, 2); i > 0; --i)
    wood.burns.push_back({rng.integer(0, 1) == 0 ? StripSide::kLeft : StripSide::kRight, rng.uniform(-80, 80),
                          rng.uniform(6, 20), rng.uniform(0.6, 2.5), rng.uniform(0.2, 0.6)});
}

RectMm fiducial_bounds(const SheetLayout& layout) {
  double x0 = layout.channel.x;
  double y0 = layout.channel.y;
  double x1 = layout.channel.right();
  double y1 = layout.channel.bottom();
  for (const RectMm& block : layout.blocks) {
    x0 = std::min(x0, block.x);
    y0 = std::min(y0, block.y);
    x1 = std::max(x1, block.right());
    y1 = std::max(y1, block.bottom());
  }
  return {x0, y0, x1 - x0, y1 - y0};
}

TagScene tag_at_fence_end(const StripScene& strip, int bench, double gap_mm, double aside_mm,
                          double askew_deg) {
  const double turn = strip.angle_deg * M_PI / 180;
  const double beyond = strip.length_mm / 2 + gap_mm - kTagPaper.y;
  TagScene tag;
  tag.bench = bench;
  tag.offset_x_mm = strip.offset_x_mm + aside_mm * std::cos(turn) - beyond * std::sin(turn);
  tag.offset_y_mm = strip.offset_y_mm + aside_mm * std::sin(turn) + beyond * std::cos(turn);
  tag.angle_deg = strip.angle_deg + askew_deg;
  return tag;
}

std::vector<Patch> random_patches(const SheetLayout& layout, double fraction, std::uint64_t seed) {
  Rng rng(stream_seed(seed, "patches"));
  std::vector<Patch> patches;
  const auto hidden = [&] {
    std::size_t count = 0;
    for (const Saddle& saddle : layout.saddles)
      count += std::any_of(patches.begin(), patches.end(),
                           [&](const Patch& patch) { return patch.at_sheet_mm.contains(saddle.at_mm); })
                   ? 1
                   : 0;
    return static_cast<double>(count) / static_cast<double>(layout.saddles.size());
  };
  while (hidden() < std::min(fraction, 1.0)) {
    const RectMm& block = layout.blocks[rng.next() % layout.blocks.size()];
    const double height = rng.uniform(8, 25);
    const double y = block.y + rng.uniform(-height / 2, block.height - height / 2);
    patches.push_back({{block.x - 1, y, block.width + 2, height}, rng.uniform(0.1, 0.8)});
  }
  return patches;
}

ScanScene random_scan_scene(std::uint64_t seed, SceneProfile profile) {
  const bool rough = profile == SceneProfile::kRough;
  Rng rng(stream_seed(seed, rough ? "rough scene" : "smooth scene"));
  ScanScene scene;
  scene.seed = seed;
  draw_pose(rng, scene);
  draw_scanner(rng, scene.scanner);
  StripScene& strip = scene.strips.front();
  strip.length_mm = rng.uniform(120, 250);
  strip.width_mm = rng.uniform(9, 26);
  strip.taper = rng.uniform(-0.003, 0.003);
  strip.angle_deg = rng.uniform(-2, 2);
  strip.offset_x_mm = rng.uniform(-8, 8);
  strip.offset_y_mm = rng.uniform(-0.45, 0.45) * (254 - strip.length_mm);
  draw_edge(rng, rough, strip.left);
  draw_edge(rng, rough, strip.right);
  draw_wood(rng, rough, strip.wood, scene.ground_tone);
  if (!rough) return scene;
  strip.ends = {rng.uniform(20, 120), rng.integer(0, 4), rng.uniform(0.5, 3), rng.uniform(50, 400)};
  strip.left.bow_um = 30 * rng.normal();
  strip.right.bow_um = -strip.left.bow_um + 10 * rng.normal();
  if (rng.integer(0, 1) == 1)
    strip.shadow = {rng.integer(0, 1) == 0 ? StripSide::kLeft : StripSide::kRight, rng.uniform(0.5, 4),
                    rng.uniform(0.1, 0.6), rng.uniform(0.3, 2)};
  if (rng.integer(0, 1) == 1) {
    strip.wall.mode = WallScene::Mode::kLens;
    strip.wall.thickness_mm = rng.uniform(8, 20);
    strip.wall.tone = strip.wood.tone * rng.uniform(0.3, 0.8);
    strip.wall.far_arris_blur_mm = rng.uniform(0.05, 0.3);
  }
  scene.dust_specks = rng.integer(0, 60);
  return scene;
}

}  // namespace tapersight
