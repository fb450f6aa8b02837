#include "synth/widened_scene.h"

#include <algorithm>
#include <cmath>

#include "synth/widened_parts.h"

namespace tapersight {
namespace {

// Lengths, widths and tapers of strips that people cut; the tool's advice is 10 in, any taper is possible.
void place_strip(std::uint64_t seed, StripScene& strip) {
  Rng rng = stream(seed, "strip");
  strip.length_mm = rng.uniform(120, 252);
  strip.width_mm = rng.uniform(7, 32);
  strip.taper = rng.uniform(-0.006, 0.006);
  strip.angle_deg = rng.uniform(-2.5, 2.5);
  const double room = 27 - strip.width_mm / 2 - std::abs(strip.angle_deg) * M_PI / 180 * strip.length_mm / 2;
  strip.offset_x_mm = rng.uniform(-1, 1) * std::clamp(room, 0.0, 10.0);
  strip.offset_y_mm = rng.uniform(-0.45, 0.45) * (255 - strip.length_mm);
}

void draw_glass(std::uint64_t seed, const WidenedOptions& options, ScannerScene& scanner) {
  Rng rng = stream(seed, "scanner");
  // ISPRS and ACRS tests of office scanners (Boron 1996; ACRS 1997): 0.8 to 4 px rms at 300 dpi, 0.07 to 0.34
  // mm, smooth over the bed; two units of one kind differ 2.5-fold.
  scanner.scale_x = 1 + rng.uniform(-0.005, 0.005);
  scanner.scale_y = 1 + rng.uniform(-0.005, 0.005);
  scanner.skew = rng.uniform(-0.0015, 0.0015);
  scanner.lens_cubic_mm = rng.uniform(-0.4, 0.4);
  scanner.lens_quadratic_mm = rng.uniform(-0.3, 0.3);
  scanner.carriage_quadratic_mm = rng.uniform(-0.15, 0.15);
  scanner.carriage_cubic_mm = rng.uniform(-0.1, 0.1);
  // A lens scanner whose cross scale changes by 0.03 % over 125 mm is on record (2.4e-6 per mm); to 4e-6.
  rng = stream(seed, "scanner gradient");
  scanner.cross_gradient = options.scanner_cross_gradient * rng.uniform(-4e-6, 4e-6);
  rng = stream(seed, "carriage");
  const double waves = options.carriage_waves;
  for (int i = 0; i < 3; ++i) {  // belts, gears, worn rails: +-0.33 px rms of 0.02 mm is left (Boron 1996)
    scanner.carriage_waves.push_back(
        {waves * log_uniform(rng, 0.5, 25), log_uniform(rng, 5, 200), rng.uniform(0, 2 * M_PI)});
    scanner.wobble_waves.push_back(
        {waves * log_uniform(rng, 0.5, 15), log_uniform(rng, 5, 200), rng.uniform(0, 2 * M_PI)});
    scanner.yaw_waves.push_back(
        {waves * log_uniform(rng, 0.2, 6), log_uniform(rng, 20, 250), rng.uniform(0, 2 * M_PI)});
  }
  scanner.jitter_um = waves * log_uniform(rng, 0.3, 6);  // assumed
  scanner.jitter_correlation_mm = log_uniform(rng, 0.1, 5);
  rng = stream(seed, "jerks");
  for (int i = rng.integer(0, 4); i > 0 && options.jerks != 0; --i) {  // the computer was busy: assumed
    Jerk jerk;
    jerk.at_mm = rng.uniform(-140, 140);
    jerk.step_um = options.jerks * rng.uniform(-20, 20);
    jerk.ring_um = options.jerks * rng.uniform(0, 15);
    jerk.ring_mm = log_uniform(rng, 0.8, 6);
    jerk.decay_mm = log_uniform(rng, 1, 20);
    jerk.soft_mm = log_uniform(rng, 0.2, 3);
    (rng.integer(0, 2) == 0 ? scanner.wobble_jerks : scanner.carriage_jerks).push_back(jerk);
  }
}

// Chips of contact sensors are 8.1 and 14.6 mm long in two makers' data sheets, later ones longer; their
// pixels are 10 to 62 um. How true they are butted is not stated: a standard deviation of 8 um, at most 25,
// assumed.
void draw_joints(std::uint64_t seed, const WidenedOptions& options, ScannerScene& scanner) {
  Rng rng = stream(seed, "joints");
  const double chip = rng.uniform(8, 36);
  const double gap = log_uniform(rng, 2, 14);
  const double step = log_uniform(rng, 1, 8);
  const auto off = [&](double sd) { return options.joints * std::clamp(sd * rng.normal(), -25.0, 25.0); };
  for (double x = -120 + rng.uniform(0, chip); x < 120 && options.joints != 0; x += chip)
    scanner.joints.push_back({x, off(gap), off(step)});
}

// What a lens sees: side walls, what is off the glass.
void draw_depth(std::uint64_t seed, const WidenedOptions& options, ScanScene& scene) {
  StripScene& strip = scene.strips.front();
  Rng rng = stream(seed, "depth");
  const double lens_mm = rng.uniform(180, 450);  // folded light paths of A4 scanners: assumed
  if (options.walls != 0 && rng.uniform() < 0.7) {
    strip.wall.mode = WallScene::Mode::kLens;
    strip.wall.thickness_mm = log_uniform(rng, 3, 32);
    strip.wall.lens_distance_mm = lens_mm;
    strip.wall.tone = strip.wood.tone * rng.uniform(0.15, 0.85);
    strip.wall.far_arris_blur_mm = log_uniform(rng, 0.02, 0.5);
  }
  // A splinter or a crumb under one end: half a millimetre at most, mostly far less (assumed).
  rng = stream(seed, "lift");
  const double lift = options.lift * std::min(0.5, 0.12 * std::abs(rng.normal()));
  (rng.integer(0, 1) == 0 ? strip.lift.far_mm : strip.lift.fence_mm) = lift;
  strip.lift.lens_distance_mm = lens_mm;
  rng = stream(seed, "curl");
  scene.curl.border_mm =
      options.curl * log_uniform(rng, 0.02, 0.6);  // under a lid that is held open: assumed
  scene.curl.twist = rng.uniform(-1, 1);
  scene.curl.lens_distance_mm = lens_mm;
}

// A shadow as dark as the wood hides the edge under it and must be refused. Where a depth would come near
// that, half of what is allowed is taken.
double short_of_wood(double depth, double ground_tone, double wood_tone) {
  constexpr double kLeastContrast = 0.06;
  const double shaded = ground_tone * (1 - depth);
  const bool passes_wood = ground_tone > wood_tone && shaded < wood_tone + kLeastContrast;
  return passes_wood ? std::max(0.0, 1 - (wood_tone + kLeastContrast) / ground_tone) / 2 : depth;
}

// The lamp's side first: shadows of a strip under an open or half-closed lid, at the sides and past the ends.
void draw_shadows(std::uint64_t seed, const WidenedOptions& options, double ground_tone, StripScene& strip) {
  Rng rng = stream(seed, "shadows");
  const double depth = options.shadows;
  const auto side_shadow = [&](StripSide side) {
    ShadowScene shadow;
    shadow.side = side;
    shadow.width_mm = log_uniform(rng, 0.2, 12);
    shadow.depth = short_of_wood(depth * rng.uniform(0.05, 0.7), ground_tone, strip.wood.tone);
    shadow.soft_mm = shadow.width_mm * rng.uniform(0.25, 1);
    return shadow;
  };
  const int kind = rng.integer(0, 3);  // none, one side, both sides
  const StripSide first = rng.integer(0, 1) == 0 ? StripSide::kLeft : StripSide::kRight;
  if (depth != 0 && kind > 0) strip.shadow = side_shadow(first);
  if (depth != 0 && kind > 1)
    strip.more_shadows = {side_shadow(first == StripSide::kLeft ? StripSide::kRight : StripSide::kLeft)};
  if (depth == 0 || rng.uniform() < 0.3) return;
  const bool both = rng.integer(0, 2) == 0;  // lamps before and behind the sensor's line
  for (const bool fence_end : {true, false}) {
    EndShadowScene shadow;
    shadow.fence_end = fence_end;
    shadow.length_mm = log_uniform(rng, 1.5, 25);  // a strip 6 to 20 mm thick, light at 30 to 60 degrees
    shadow.depth = depth * rng.uniform(0.1, 0.85);
    shadow.soft_mm = shadow.length_mm * rng.uniform(0.1, 0.8);
    shadow.sideways = rng.uniform(-0.2, 0.2);
    if (both || fence_end == (seed % 2 == 0)) strip.end_shadows.push_back(shadow);
  }
}

// Face against ground: what cannot be told apart must be refused, and is not drawn.
void draw_tones(std::uint64_t seed, ScanScene& scene) {
  constexpr double kLeastContrast = 0.1;
  Rng rng = stream(seed, "tones");
  WoodScene& wood = scene.strips.front().wood;
  const int lid = rng.integer(0, 3);
  scene.ground_tone = lid == 0   ? rng.uniform(0.1, 0.5)
                      : lid == 1 ? rng.uniform(0.6, 0.92)
                                 : rng.uniform(0.01, 0.07);
  do {  // ebony and wenge to holly and planed maple: assumed
    wood.tone = log_uniform(rng, 0.05, 0.8);
  } while (std::abs(wood.tone - scene.ground_tone) < kLeastContrast);
  wood.tint = {rng.uniform(1, 1.7), 1, rng.uniform(0.35, 0.95)};
}

void draw_electronics(std::uint64_t seed, const WidenedOptions& options, ScanScene& scene) {
  ScannerScene& scanner = scene.scanner;
  Rng rng = stream(seed, "electronics");
  scanner.blur_px = rng.uniform(0.4, 1.4);  // hand-cut strips on real flatbeds at 300 dpi: 0.5 to 1.0 px
  scanner.noise_levels = options.noise * log_uniform(rng, 0.2, 2);
  // Line sensors hold 2e4 to 2e5 electrons (data sheets, from memory): shot noise 1 / that; reading noise
  // 1e-4.
  const double variance = options.noise * options.noise;
  scanner.noise_a = variance / log_uniform(rng, 8e3, 2e5);
  scanner.noise_b = variance * std::pow(log_uniform(rng, 1e-4, 2e-3), 2);
  scanner.light_fall_off = rng.uniform(0, 0.12);
  scanner.light_tilt = rng.uniform(-0.1, 0.1);
  scanner.light_drift = rng.uniform(-0.06, 0.06);
  widen_psf(seed, options, scanner.psf);
  rng = stream(seed, "sharpen");
  if (rng.uniform() < 0.6) {  // drivers sharpen unless told not to; how strongly: assumed
    scanner.sharpen.amount = options.sharpen * log_uniform(rng, 0.1, 1.3);
    scanner.sharpen.radius_px = log_uniform(rng, 0.5, 3);
    scanner.sharpen.threshold = rng.integer(0, 1) == 0 ? 0 : rng.uniform(1, 5);
  }
  EncodingScene& encoding = scene.encoding;
  widen_tone(seed, options, encoding);
  rng = stream(seed, "encoding");
  encoding.exposure = rng.uniform(0.75, 1.05);
  if (options.tone && rng.uniform() < 0.3) encoding.white_code = rng.uniform(0.93, 1);
  if (!options.encoding) return;
  encoding.colour = rng.uniform() < 0.7;
  if (rng.uniform() < 0.6) encoding.jpeg_quality = rng.integer(72, 98);
  encoding.chroma = any_chroma(rng);
}

}  // namespace

ScanScene widened_scan_scene(std::uint64_t seed, SceneProfile profile, const WidenedOptions& options) {
  const bool rough = profile == SceneProfile::kRough;
  ScanScene scene;
  scene.seed = seed;
  widen_print(seed, options, scene);
  Rng rng = stream(seed, "page");
  scene.page_rotation_deg = 90 * rng.integer(0, 3) + rng.uniform(-3.5, 3.5);
  scene.page_offset_x_mm = rng.uniform(-4, 4);
  scene.page_offset_y_mm = rng.uniform(-4, 4);
  scene.dust_specks = rng.integer(0, rough ? 150 : 40);
  StripScene& strip = scene.strips.front();
  place_strip(seed, strip);
  widen_edges(seed, rough, options, strip);
  draw_tones(seed, scene);
  widen_figure(seed, rough, options, strip.wood);
  draw_glass(seed, options, scene.scanner);
  if (rng.integer(0, 1) == 0)
    draw_joints(seed, options, scene.scanner);  // a contact sensor sees no depth ...
  else
    draw_depth(seed, options, scene);  // ... a lens has one long sensor
  draw_shadows(seed, options, scene.ground_tone, strip);
  draw_electronics(seed, options, scene);
  return scene;
}

}  // namespace tapersight
