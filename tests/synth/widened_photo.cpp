#include <algorithm>
#include <cmath>

#include "synth/random_parts.h"
#include "synth/widened_parts.h"
#include "synth/widened_scene.h"

namespace tapersight {
namespace {

// Lenses typed in, as CameraScene::radial: barrels, a pincushion and two moustaches of the size that measured
// phones and compact cameras have (lens_models.h); benches draw from all that are installed.
const std::vector<SceneLens>& typed_lenses() {
  static const std::vector<SceneLens> lenses = {
      {{0, 0, 0, 0, 0, 0}, 1.24},         {{0, -0.06, 0, 0, 0, 0}, 1.25},
      {{0, 0.03, 0, -0.01, 0, 0}, 1.2},   {{0, -0.12, 0, 0.05, 0, -0.01}, 1.15},
      {{0, 0.08, 0, -0.1, 0, 0.03}, 1.2}, {{0, -0.02, 0, -0.02, 0, 0}, 1.35},
  };
  return lenses;
}

// Quantiles of a and of b (5, 25, 50, 75, 95, 100 %) over 374 cameras at ISO 50 to 1600, as Debian's package
// darktable 4.2.1 has them measured; in light over what clips.
const std::vector<SceneNoise>& typed_noises() {
  static const std::vector<SceneNoise> noises = {{2e-6, 0},      {5e-6, 2.5e-9}, {1.1e-5, 1.6e-8},
                                                 {2.4e-5, 7e-8}, {8e-5, 6.5e-7}, {4.3e-4, 3.4e-5}};
  return noises;
}

template <typename Thing>
const Thing& any_of(Rng& rng, const std::vector<Thing>& drawn, const std::vector<Thing>& typed) {
  const std::vector<Thing>& from = drawn.empty() ? typed : drawn;
  return from[static_cast<std::size_t>(rng.next() % from.size())];
}

void widen_camera(std::uint64_t seed, const WidenedOptions& options, PhotoScene& scene) {
  Rng rng = stream(seed, "lens");
  CameraScene& camera = scene.camera;
  camera = phone_camera(12);
  const double half_diagonal = std::hypot(camera.size_px.width, camera.size_px.height) / 2;
  const SceneLens& lens = any_of(rng, options.lenses, typed_lenses());
  camera.focal_px = lens.focal * half_diagonal;
  for (std::size_t i = 0; i < camera.radial.size(); ++i)
    camera.radial[i] = options.distortion * lens.radial[i];
  // Stabilised lenses wander by some tens of pixels: assumed.
  camera.principal_px += Eigen::Vector2d(rng.uniform(-60, 60), rng.uniform(-60, 60));
  rng = stream(seed, "pose");
  const double farther = camera.focal_px / phone_camera(12).focal_px;
  do {
    camera.distance_mm = farther * rng.uniform(250, 650);
    camera.tilt_deg = rng.uniform(0, 25);
    camera.tilt_towards_deg = rng.uniform(0, 360);
    camera.roll_deg = rng.uniform(0, 360);
    camera.look_at_mm = {rng.uniform(-30, 30), rng.uniform(-30, 30)};
  } while (!all_in_view(scene));
}

void widen_light(std::uint64_t seed, LightScene& light) {
  Rng rng = stream(seed, "light");
  const auto run = [&] {
    const double towards = rng.uniform(0, 2 * M_PI);
    return Eigen::Vector2d(log_uniform(rng, 0.1, 2) * Eigen::Vector2d(std::cos(towards), std::sin(towards)));
  };
  // A garage tube, a window, a lamp: sizes over distances. Smaller than 1/12 a shadow's border passes for
  // sharp.
  light.direct = rng.uniform(0.1, 0.85);
  light.shadow_run = run();
  light.lamp_size = log_uniform(rng, 0.03, 0.6);
  light.second_share = rng.integer(0, 1) == 0 ? rng.uniform(0.1, 0.5) : 0;
  light.second_run = run();
  light.second_size = log_uniform(rng, 0.03, 0.6);
  light.occlusion = rng.uniform(0.4, 1);
  light.tilt_x = rng.uniform(-0.35, 0.35);
  light.tilt_y = rng.uniform(-0.35, 0.35);
  light.vignetting = rng.uniform(0, 0.35);
  light.veil = log_uniform(rng, 0.001, 0.03);
  light.tint = {rng.uniform(0.9, 1.2), 1, rng.uniform(0.75, 1.1)};
}

void widen_phone(std::uint64_t seed, const WidenedOptions& options, PhotoScene& scene) {
  PhoneScene& phone = scene.phone;
  EncodingScene& encoding = scene.encoding;
  Rng rng = stream(seed, "phone");
  phone.blur_px = rng.uniform(0.5, 1.5);
  if (rng.uniform() < 0.4) {
    phone.motion_px = rng.uniform(0.2, 2);
    phone.motion_deg = rng.uniform(0, 180);
  }
  phone.noise_levels = options.noise * log_uniform(rng, 0.2, 1.5);
  const SceneNoise& noise = any_of(rng, options.noises, typed_noises());
  phone.noise_a = options.noise * options.noise * noise.a;
  phone.noise_b = options.noise * options.noise * std::max(noise.b, 0.0);
  widen_psf(seed, options, phone.psf);
  rng = stream(seed, "sharpen");
  if (rng.uniform() < 0.8) phone.sharpen = options.sharpen * log_uniform(rng, 0.1, 1.2);
  phone.sharpen_radius_px = log_uniform(rng, 0.6, 2.5);
  const int orientations[] = {1, 3, 6, 8};
  phone.exif_orientation = orientations[rng.integer(0, 3)];
  widen_tone(seed, options, encoding);
  rng = stream(seed, "encoding");
  encoding.colour = true;
  encoding.exposure = rng.uniform(0.45, 0.75) / scene.paper_tone;
  encoding.jpeg_quality = options.encoding ? rng.integer(75, 97) : 95;
  encoding.chroma = options.encoding ? any_chroma(rng) : EncodingScene::Chroma::k444;
}

void widen_strip(std::uint64_t seed, bool rough, const WidenedOptions& options, PhotoScene& scene) {
  constexpr double kLeastContrast = 0.1;  // of face against paper; what cannot be told apart must be refused
  PhotoStripScene& strip = scene.strips.front();
  Rng rng = stream(seed, "strip");
  strip.length_mm = rng.uniform(120, 252);
  strip.width_mm = rng.uniform(8, 30);
  strip.thickness_mm = log_uniform(rng, 3, 26);
  strip.taper = rng.uniform(-0.006, 0.006);
  strip.angle_deg = rng.uniform(-2.5, 2.5);
  strip.offset_x_mm = rng.uniform(-8, 8);
  strip.offset_y_mm = rng.uniform(-0.45, 0.45) * (255 - strip.length_mm);
  widen_edges(seed, rough, options, strip);
  do {
    strip.wood.tone = log_uniform(rng, 0.05, 0.75);
  } while (scene.paper_tone - strip.wood.tone < kLeastContrast);
  strip.wood.tint = {rng.uniform(1, 1.7), 1, rng.uniform(0.35, 0.95)};
  widen_figure(seed, rough, options, strip.wood);
  strip.arrises_share_roughness = rng.integer(0, 1) == 1;
  // Blades stand within half a degree of square.
  strip.bevel_left_mm = std::tan(rng.uniform(-0.5, 0.5) * M_PI / 180) * strip.thickness_mm;
  strip.bevel_right_mm = -strip.bevel_left_mm;
  strip.wall_tone = rng.uniform(0.6, 1.3);
  strip.end_tone = rng.uniform(0.4, 1);
}

}  // namespace

PhotoScene widened_photo_scene(std::uint64_t seed, SceneProfile profile, const WidenedOptions& options) {
  const bool rough = profile == SceneProfile::kRough;
  PhotoScene scene;
  scene.seed = seed;
  widen_print(seed, options, scene);
  widen_light(seed, scene.light);
  widen_strip(seed, rough, options, scene);
  widen_phone(seed, options, scene);
  Rng rng = stream(seed, "bench");
  scene.bench.tone = log_uniform(rng, 0.03, 0.6);
  scene.bench.grain_contrast = log_uniform(rng, 0.02, 0.35);
  scene.bench.plank_mm = rng.integer(0, 1) == 0 ? 0 : rng.uniform(50, 200);
  scene.bench.angle_deg = rng.uniform(-90, 90);
  scene.bench.tint = {rng.uniform(0.9, 1.4), 1, rng.uniform(0.5, 1.1)};
  rng = stream(seed, "curl");
  scene.sagitta_mm =
      options.curl * rng.uniform(-0.1, 0.1);  // a sheet that lies: 0.1 mm is a page's thickness
  scene.bulge_along_y = rng.integer(0, 1) == 1;
  // Corners outside the print stand up by some mm after a printer's fuser: assumed.
  for (int corner = 0; corner < 4 && options.curl != 0; ++corner)
    if (rng.integer(0, 2) == 0)
      scene.corners.push_back({corner, options.curl * log_uniform(rng, 0.3, 6), rng.uniform(10, 30)});
  widen_camera(seed, options, scene);
  return scene;
}

}  // namespace tapersight
