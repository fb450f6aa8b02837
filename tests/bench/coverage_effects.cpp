#include "bench/coverage_effects.h"

#include <cmath>

#include "base/rng.h"
#include "support/polygon_cuts.h"
#include "synth/roughness.h"
#include "synth/widened_scene.h"

namespace tapersight::testing {
namespace {

constexpr int kTurns = 4;

// Fine saw cuts and the sensor's noise stay: without them no interval is tried.
WidenedOptions plain_options() {
  WidenedOptions off;
  off.scanner_cross_gradient = off.print_cross_gradient = off.print_faults = off.joints = off.lift =
      off.curl = 0;
  off.jerks = off.carriage_waves = off.fractal = off.waver = off.kinks = off.bow = 0;
  off.figure = off.shadows = off.walls = off.sharpen = off.distortion = 0;
  off.psf = off.tone = off.encoding = false;
  return off;
}

ScanScene cropped(ScanScene scene) {
  scene.dpi = 300;
  scene.window_sheet_mm = fiducial_bounds(layout_of(scene));
  return scene;
}

ScanScene scan_with(std::uint64_t seed, const WidenedOptions& options) {
  return cropped(widened_scan_scene(seed, SceneProfile::kSmooth, options));
}

using Size = double WidenedOptions::*;
using Switch = bool WidenedOptions::*;

WidenedOptions with(Size effect) {
  WidenedOptions options = plain_options();
  options.*effect = 1;
  return options;
}

WidenedOptions with(Switch effect) {
  WidenedOptions options = plain_options();
  options.*effect = true;
  return options;
}

template <auto Effect>
ScanScene scan_of(std::uint64_t seed) {
  return scan_with(seed, with(Effect));
}

template <auto Effect>
PhotoScene photo_of(std::uint64_t seed) {
  return widened_photo_scene(seed, SceneProfile::kSmooth, with(Effect));
}

// The next of the seeds after `seed` whose scanner is of the wanted kind.
template <typename Wanted>
ScanScene first_scan(std::uint64_t seed, const WidenedOptions& options, const Wanted& wanted) {
  for (;; seed = stream_seed(seed, "another scanner")) {
    ScanScene scene = scan_with(seed, options);
    if (wanted(scene)) return scene;
  }
}

bool has_lens(const ScanScene& scene) {
  return scene.curl.border_mm > 0 || scene.strips.front().lift.far_mm > 0 ||
         scene.strips.front().lift.fence_mm > 0 || scene.strips.front().wall.mode != WallScene::Mode::kNone;
}

ScanScene jointed_scan(std::uint64_t seed) {
  return first_scan(seed, with(&WidenedOptions::joints),
                    [](const ScanScene& s) { return !s.scanner.joints.empty(); });
}

template <auto Effect>
ScanScene lens_scan(std::uint64_t seed) {
  return first_scan(seed, with(Effect), has_lens);
}

ScanScene plain_scan(std::uint64_t seed) {
  return scan_with(seed, plain_options());
}

PhotoScene plain_photo(std::uint64_t seed) {
  return widened_photo_scene(seed, SceneProfile::kSmooth, plain_options());
}

ScanScene whole_scan(std::uint64_t seed) {
  return cropped(widened_scan_scene(seed, seed % 2 == 0 ? SceneProfile::kSmooth : SceneProfile::kRough));
}

PhotoScene whole_photo(std::uint64_t seed) {
  return widened_photo_scene(seed, seed % 2 == 0 ? SceneProfile::kSmooth : SceneProfile::kRough);
}

// A scan function's straightened photo: what perspective is left changes the scale along the picture.
ScanScene straightened_scan(std::uint64_t seed) {
  constexpr double kHeightMm = 297;
  ScanScene scene = plain_scan(seed);
  Rng rng(stream_seed(seed, "straightened"));
  const double change = (rng.integer(0, 1) == 0 ? -1 : 1) * 0.001 * std::pow(8.0, rng.uniform());
  scene.scanner.cross_gradient = change / kHeightMm;
  // Perspective bends the other way by the same number: the scale along changes twice as fast.
  scene.scanner.carriage_quadratic_mm += change / kHeightMm * 150 * 150;
  return scene;
}

// Strip, sheet and columns of pixels agree, but for 0.1 px or so over the strip.
ScanScene scan_along_columns(std::uint64_t seed) {
  ScanScene scene = plain_scan(seed);
  Rng rng(stream_seed(seed, "along columns"));
  StripScene& strip = scene.strips.front();
  scene.page_rotation_deg = 90 * std::round(scene.page_rotation_deg / 90);
  scene.scanner.lens_cubic_mm = scene.scanner.lens_quadratic_mm = 0;
  scene.print_shear = scene.scanner.skew = 0;
  strip.angle_deg = 0.02 * rng.uniform(-1, 1);
  strip.left.roughness_um = strip.right.roughness_um = rng.uniform(1, 3);
  return scene;
}

ScanScene sharpened_along_columns(std::uint64_t seed) {
  ScanScene scene = scan_along_columns(seed);
  Rng rng(stream_seed(seed, "sharpened"));
  scene.scanner.sharpen.amount = rng.uniform(0.3, 1.2);
  scene.scanner.sharpen.radius_px = rng.uniform(0.6, 2);
  return scene;
}

// A growth ring or a burnt line close beside an edge for a part of its length.
ScanScene lined_scan(std::uint64_t seed) {
  ScanScene scene = plain_scan(seed);
  Rng rng(stream_seed(seed, "line along the edge"));
  StripScene& strip = scene.strips.front();
  BandScene line;
  const bool left = rng.integer(0, 1) == 0;
  const double edge = (left ? -1 : 1) * strip.width_mm / 2;
  const double inside = (left ? 1 : -1) * rng.uniform(0.1, 0.6);
  const double wide = rng.uniform(0.1, 0.4);
  const double lean = (left ? -0.5 : 0.5) * strip.taper + rng.uniform(-0.004, 0.004);
  line.low_mm = edge + inside - wide / 2;
  line.high_mm = edge + inside + wide / 2;
  line.low_lean = line.high_lean = lean;
  line.factor = rng.uniform(0.3, 0.8);
  line.waver_um = rng.uniform(0, 100);
  strip.bands.push_back(line);
  return scene;
}

template <auto Effect>
CoverageEffect both(const char* name, const char* size) {
  return {name, size, scan_of<Effect>, photo_of<Effect>};
}

template <auto Effect>
CoverageEffect scans_only(const char* name, const char* size) {
  return {name, size, scan_of<Effect>, nullptr};
}

}  // namespace

SeriesOfCuts cut_series(std::uint64_t seed, bool square) {
  using namespace polygon_cuts;
  constexpr double kBoardMm = 290, kRoughMm = 5;
  Rng rng(stream_seed(seed, "cut series"));
  // The board seats anew for every cut: each of two points of contact by this much. Blade, board and fence
  // give. Both assumed.
  const double seating_mm = 0.002 * std::pow(10.0, rng.uniform());
  const double give_mm = 0.002 * std::pow(10.0, rng.uniform());
  SeriesOfCuts series;
  series.fence = (square ? 0.05 : 1) * rng.uniform(-0.0015, 0.0015);
  Sled sled;
  Board board = rough_board(kTurns, kBoardMm, kRoughMm, rng);
  const auto as_seated = [&] {
    Sled now = sled;
    now.theta =
        series.fence + (std::sqrt(2.0) * seating_mm * rng.normal() + give_mm * rng.normal()) / kBoardMm;
    return now;
  };
  int against_fence = 0;
  for (int cut = 0; cut < kTurns; ++cut) {
    board = cut_off(board, against_fence, as_seated(), 4 * kRoughMm + 8, 100 + cut).kept;
    against_fence = 100 + cut;
  }
  const Cut last = cut_off(board, against_fence, as_seated(), sled.kerf_mm + rng.uniform(12, 20), 200);
  const StripWidths widths = measure(last.strip, 200, sled);
  series.strip_length_mm = widths.apart_mm / 0.7;  // the two places lie 15 % from the ends
  series.strip_taper = (widths.fence_end_mm - widths.far_end_mm) / widths.apart_mm;
  return series;
}

const std::vector<CoverageEffect>& coverage_effects() {
  using W = WidenedOptions;
  static const std::vector<CoverageEffect> effects = {
      {"plain", "smooth cuts of 3 to 12 um, noise", plain_scan, plain_photo},
      scans_only<&W::scanner_cross_gradient>("scanner-gradient", "cross scale, to 4e-6 per mm along"),
      both<&W::print_cross_gradient>("print-gradient", "cross scale, to 3e-6 per mm along"),
      both<&W::print_faults>("print-faults", "bends to 0.12 mm, bands to 40 um"),
      {"joints", "sensor chips off by 2 to 25 um", jointed_scan, nullptr},
      {"lift", "one end to 0.5 mm off the glass", lens_scan<&W::lift>, nullptr},
      {"curl", "sheet's borders to 0.6 mm up; photos 0.1 mm", lens_scan<&W::curl>, photo_of<&W::curl>},
      scans_only<&W::jerks>("jerks", "carriage slips to 20 um"),
      scans_only<&W::carriage_waves>("carriage", "waves to 25 um, yaw, jitter"),
      both<&W::fractal>("fractal", "1/f^0.5..2 edges, 1 to 8 um"),
      both<&W::waver>("waver", "2 to 20 um over 5 to 30 mm"),
      both<&W::kinks>("kinks", "to 20 um, 4 of 10 edges"),
      both<&W::bow>("bow", "1 to 60 um"),
      both<&W::figure>("figure", "grain of contrast 0.03 to 0.3"),
      scans_only<&W::shadows>("shadows", "beside and past the ends"),
      {"walls", "lens scanner, strip 3 to 32 mm thick", lens_scan<&W::walls>, nullptr},
      both<&W::sharpen>("sharpen", "unsharp masking to 1.3"),
      both<&W::psf>("psf", "box, disc, tent, long tail"),
      both<&W::tone>("tone", "gamma 1.8 to 2.4, curves"),
      both<&W::encoding>("jpeg", "quality 72 to 98, colour"),
      {"lens", "measured distortions", nullptr, photo_of<&W::distortion>},
      {"straightened", "scale changes by 0.1 to 0.8 % over the page", straightened_scan, nullptr},
      {"along-columns", "strip within 0.02 deg of the pixels", scan_along_columns, nullptr, true},
      {"sharp-columns", "the same, sharpened by 0.3 to 1.2", sharpened_along_columns, nullptr, true},
      {"line-inside", "a dark line 0.1 to 0.6 mm from an edge", lined_scan, nullptr},
      {"all", "everything at once, half of the edges rough", whole_scan, whole_photo},
  };
  return effects;
}

}  // namespace tapersight::testing
