#include <algorithm>
#include <cmath>

#include "base/rng.h"
#include "synth/photo_scene.h"
#include "synth/photo_truth.h"
#include "synth/random_parts.h"
#include "synth/roughness.h"

namespace tapersight {
namespace {

void draw_camera(Rng& rng, PhotoScene& scene) {
  CameraScene& camera = scene.camera;
  camera = phone_camera(12);
  camera.focal_px = rng.uniform(3000, 3200);
  camera.principal_px += Eigen::Vector2d(rng.uniform(-25, 25), rng.uniform(-25, 25));
  camera.k1 = rng.uniform(-0.05, 0.05);
  camera.k2 = rng.uniform(-0.02, 0.02);
  do {
    camera.distance_mm = rng.uniform(250, 700);
    camera.tilt_deg = rng.uniform(0, 25);
    camera.tilt_towards_deg = rng.uniform(0, 360);
    camera.roll_deg = rng.uniform(0, 360);
    camera.look_at_mm = {rng.uniform(-25, 25), rng.uniform(-25, 25)};
  } while (!all_in_view(scene));
}

void draw_light(Rng& rng, LightScene& light) {
  light.direct = rng.uniform(0.25, 0.75);
  const double towards = rng.uniform(0, 2 * M_PI);
  light.shadow_run = rng.uniform(0.2, 1.4) * Eigen::Vector2d(std::cos(towards), std::sin(towards));
  light.lamp_size = rng.uniform(0.04, 0.4);
  light.occlusion = rng.uniform(0.6, 1);
  light.tilt_x = rng.uniform(-0.25, 0.25);
  light.tilt_y = rng.uniform(-0.25, 0.25);
  light.vignetting = rng.uniform(0.03, 0.25);
  light.veil = rng.uniform(0, 0.02);
  light.tint = {rng.uniform(0.98, 1.08), 1, rng.uniform(0.88, 1.02)};
}

void draw_bench(Rng& rng, BenchScene& bench) {
  const int kind = rng.integer(0, 3);
  bench.angle_deg = rng.uniform(-90, 90);
  bench.tone = rng.uniform(0.12, 0.45);
  bench.grain_contrast = rng.uniform(0.1, 0.3);
  bench.plank_mm = kind < 2 ? rng.uniform(60, 160) : 0;
  if (kind != 3) return;
  bench.tone = rng.uniform(0.03, 0.6);  // painted or a plain board
  bench.grain_contrast = 0.02;
  bench.tint = {1, 1, rng.uniform(0.85, 1.1)};
}

void draw_phone(Rng& rng, PhoneScene& phone, EncodingScene& encoding, double paper_tone) {
  phone.blur_px = rng.uniform(0.6, 1.4);
  if (rng.uniform() < 0.3) {
    phone.motion_px = rng.uniform(0.3, 1.5);
    phone.motion_deg = rng.uniform(0, 180);
  }
  phone.noise_levels = rng.uniform(0.7, 3);
  if (rng.uniform() < 0.6) phone.sharpen = rng.uniform(0.2, 0.9);
  phone.sharpen_radius_px = rng.uniform(0.7, 1.8);
  const int orientations[] = {1, 3, 6, 8};
  phone.exif_orientation = orientations[rng.integer(0, 3)];
  if (rng.uniform() < 0.3) {
    encoding.transfer = EncodingScene::Transfer::kGamma;
    encoding.gamma = rng.uniform(1.9, 2.4);
  }
  encoding.s_curve = rng.uniform() < 0.4 ? rng.uniform(0.05, 0.3) : 0;
  encoding.colour = true;
  encoding.exposure = rng.uniform(0.5, 0.72) / paper_tone;
  encoding.jpeg_quality = rng.integer(70, 95);
}

// A third each of dark, middle and light wood; the light ones hardly darker than the paper.
void draw_wood(Rng& rng, bool rough, double paper_tone, WoodScene& wood) {
  const int kind = rng.integer(0, 2);
  if (kind == 0) wood.tone = rng.uniform(0.06, 0.2);
  if (kind == 1) wood.tone = rng.uniform(0.2, 0.42);
  if (kind == 2) wood.tone = paper_tone * rng.uniform(0.55, 0.82);
  if (kind == 2) wood.tint = {1.2, 1, 0.68};
  wood.tone_drift = rng.uniform(-0.15, 0.15);
  draw_grain(rng, rough, wood);
}

void draw_strip(Rng& rng, bool rough, double paper_tone, PhotoStripScene& strip) {
  strip.length_mm = rng.uniform(120, 250);
  strip.width_mm = rng.uniform(9, 26);
  strip.thickness_mm = rng.uniform(6, 20);
  strip.taper = rng.uniform(-0.003, 0.003);
  strip.angle_deg = rng.uniform(-2, 2);
  strip.offset_x_mm = rng.uniform(-8, 8);
  strip.offset_y_mm = rng.uniform(-0.45, 0.45) * (254 - strip.length_mm);
  draw_edge(rng, rough, strip.left);
  draw_edge(rng, rough, strip.right);
  draw_wood(rng, rough, paper_tone, strip.wood);
  strip.arrises_share_roughness = rng.integer(0, 1) == 1;
  strip.bevel_left_mm = 0.003 * strip.thickness_mm * rng.normal();
  strip.bevel_right_mm = -strip.bevel_left_mm;
  strip.wall_tone = rng.uniform(0.75, 1.1);
  if (!rough) return;
  strip.ends = {rng.uniform(20, 120), rng.integer(0, 4), rng.uniform(0.5, 3), rng.uniform(50, 400)};
  strip.left.bow_um = 30 * rng.normal();
  strip.right.bow_um = -strip.left.bow_um + 10 * rng.normal();
}

void draw_glare(Rng& rng, PhotoScene& scene) {
  GlareScene glare;
  glare.at_mm = {rng.uniform(-15, 15), rng.uniform(-90, 90)};
  glare.half_mm = {rng.uniform(4, 20), rng.uniform(8, 40)};
  glare.angle_deg = rng.uniform(0, 180);
  glare.soft_mm = rng.uniform(3, 8);
  glare.strength = rng.uniform(0.05, 0.25);
  scene.glares.push_back(glare);
}

}  // namespace

bool all_in_view(const PhotoScene& scene) {
  const PinholeCamera camera(scene.camera);
  const Eigen::Vector2d size(scene.camera.size_px.width, scene.camera.size_px.height);
  const auto seen = [&](const Eigen::Vector2d& px) {
    const Eigen::Array2d spare = 0.015 * size.array();
    return (px.array() > spare).all() && (px.array() < size.array() - spare).all();
  };
  const RectMm bounds = fiducial_bounds(sheet_layout(scene.paper));
  for (const double x : {bounds.x - 3, bounds.right() + 3})
    for (const double y : {bounds.y - 3, bounds.bottom() + 3})
      if (!seen(camera.pixel_from_bench(bench_from_sheet_point(scene, {x, y})))) return false;
  for (const PhotoStripScene& strip : scene.strips)
    for (const double v : {-0.55, 0.55})
      for (const double u : {-0.51, 0.51})
        if (!seen(camera.pixel_at_height(
                page_from_strip(scene, strip) * Eigen::Vector2d(v * strip.width_mm, u * strip.length_mm),
                strip.thickness_mm + middle_height_mm(scene))))
          return false;
  return true;
}

PhotoScene random_photo_scene(std::uint64_t seed, SceneProfile profile) {
  const bool rough = profile == SceneProfile::kRough;
  Rng rng(stream_seed(seed, rough ? "rough photo" : "smooth photo"));
  PhotoScene scene;
  scene.seed = seed;
  scene.paper = rng.integer(0, 1) == 0 ? Paper::kA4 : Paper::kLetter;
  draw_print(rng, scene);
  draw_light(rng, scene.light);
  draw_bench(rng, scene.bench);
  draw_phone(rng, scene.phone, scene.encoding, scene.paper_tone);
  draw_strip(rng, rough, scene.paper_tone, scene.strips.front());
  draw_camera(rng, scene);
  if (rough && rng.integer(0, 3) == 0) draw_glare(rng, scene);
  if (rough) scene.sagitta_mm = rng.uniform(-0.1, 0.1);
  return scene;
}

void lay_another_beside(PhotoScene& scene) {
  Rng rng(stream_seed(scene.seed, "another strip"));
  PhotoStripScene first = scene.strips.front();
  first.width_mm = rng.uniform(9, 17);
  first.offset_y_mm = 0;
  first.angle_deg = rng.uniform(-0.5, 0.5);
  PhotoStripScene second = first;
  second.width_mm = rng.uniform(9, 17);
  second.length_mm *= rng.uniform(0.85, 1);
  second.taper = -first.taper;
  second.angle_deg += rng.uniform(-0.3, 0.3);
  const double gap_mm = rng.uniform(2, 12);
  first.offset_x_mm = -(first.width_mm + gap_mm) / 2;
  second.offset_x_mm = (second.width_mm + gap_mm) / 2;
  scene.strips = {first, second};
}

void darken_channel(PhotoScene& scene) {
  scene.patches.push_back({layout_of(scene).channel, scene.ink_tone});
}

void set_megapixels(int megapixels, PhotoScene& scene) {
  CameraScene& camera = scene.camera;
  const CameraScene other = phone_camera(megapixels);
  const double factor = static_cast<double>(other.size_px.width) / camera.size_px.width;
  const Eigen::Vector2d half(0.5, 0.5);  // the pixel frame starts at a pixel's centre
  camera.principal_px = factor * (camera.principal_px + half) - half;
  camera.focal_px *= factor;
  camera.size_px = other.size_px;
}

}  // namespace tapersight
