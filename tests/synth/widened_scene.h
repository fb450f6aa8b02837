// Scenes drawn at random from more than the estimator's model holds: everything at once, over ranges that
// have nothing to do with src. Each range has its source, or "assumed", beside it.
#pragma once
#include <cstdint>
#include <vector>

#include "synth/camera.h"
#include "synth/photo_scene.h"
#include "synth/scan_scene.h"

namespace tapersight {

// A lens for a photo: CameraScene::radial, with the focal length in parts of half the picture's diagonal.
struct SceneLens {
  std::array<double, 6> radial = {0, 0, 0, 0, 0, 0};
  double focal = 1.24;
};

// A sensor at one ISO: variance of the signal a x + b, x = 1 where it clips.
struct SceneNoise {
  double a = 0, b = 0;
};

// What is true: StripTruth::taper is the cut's own, which a fence leaves; taper_as_drawn the strip's, waver,
// kinks and slow roughness included. An interval for the strip is to be held against the latter.

// Each effect has a stream of its own: switching one off or making it larger leaves all others as they were.
// The numbers multiply the drawn size; 0 leaves the effect out.
struct WidenedOptions {
  double scanner_cross_gradient = 1;  // the scanner's cross scale changes along the bed
  double print_cross_gradient = 1;    // the print's along the page
  double print_faults = 1;            // bent lines, uneven feed, bands
  double joints = 1;                  // of the sensor's chips
  double lift = 1;                    // of one end of the strip
  double curl = 1;                    // of the paper
  double jerks = 1;                   // of the carriage
  double carriage_waves = 1;          // jitter, yaw and wobble with them
  double roughness = 1;               // short roughness of the edges
  double fractal = 1;                 // their 1/f roughness
  double waver = 1;
  double kinks = 1;
  double bow = 1;
  double figure = 1;     // contrast of the wood's figure
  double shadows = 1;    // depth, of scans
  double walls = 1;      // 0: no side walls in view in scans
  double sharpen = 1;    // amount
  bool psf = true;       // false: a Gaussian of the same width
  bool tone = true;      // false: sRGB and no tone curve
  bool encoding = true;  // false: no JPEG, as grey or coloured as before
  double noise = 1;      // standard deviation
  double distortion = 1;
  // Lenses and sensors to draw from; empty: a few typed in by hand.
  std::vector<SceneLens> lenses;
  std::vector<SceneNoise> noises;
};

// Scans that a good tool measures: nothing in them must be refused. kSmooth and kRough as
// random_scan_scene's: 3 to 12 and 20 to 80 um, chips, tear-out, burns, streaks.
ScanScene widened_scan_scene(std::uint64_t seed, SceneProfile profile, const WidenedOptions& options = {});

// Photos likewise, 12 megapixels.
PhotoScene widened_photo_scene(std::uint64_t seed, SceneProfile profile, const WidenedOptions& options = {});

}  // namespace tapersight
