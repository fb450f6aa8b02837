// What a synthetic flatbed scan shows: plain options, every length in true millimetres on the glass.
//
// Frames (all x to the right, y down as the picture shows them):
//   sheet   nominal millimetres of the printed layout (target/sheet_layout.h)
//   glass   true millimetres; x along the sensor, y along the carriage, origin at the bed's middle
//   strip   true millimetres; origin at the strip's middle, y (called u) along the strip towards the fence
//           end, x (called v) across; at strip angle 0 parallel to the page's axes
//   pixel   (0, 0) = centre of the top left pixel
// Tones are linear reflectances 0..1, not code values. "Left" and "right" are those of the strip frame.
#pragma once
#include <Eigen/Core>
#include <array>
#include <cstdint>
#include <vector>

#include "synth/face_scene.h"
#include "synth/sheet_scene.h"
#include "target/sheet_layout.h"

namespace tapersight {

enum class StripSide { kNone, kLeft, kRight };

// How one long edge leaves its straight line.
struct EdgeScene {
  double roughness_um = 0;      // rms of the stationary Gaussian roughness
  double correlation_mm = 0.5;  // its correlation length c
  bool gaussian = false;        // covariance exp(-(d/c)^2) instead of exp(-d/c)
  double bow_um = 0;            // sagitta over the whole length, zero at the ends; positive bulges outwards
  int chips = 0;                // chips broken out, at random places; they only remove wood
  double chip_depth_mm = 0.4;   // deepest chip
  double chip_length_mm = 3;    // longest chip along the edge
  // Slow waver: a Gaussian process, covariance exp(-(d/c)^2). Where a blade leads or a board rides up.
  double waver_um = 0;   // its rms
  double waver_mm = 40;  // c
  // A kink: two straight pieces that meet this far out of the chord.
  double kink_um = 0;  // positive outwards
  double kink_at = 0;  // where, in parts of the length from the middle, -0.5..0.5
  // Roughness without a length of its own: spectrum f^-exponent for waves shorter than `fractal_longest_mm`.
  double fractal_um = 0;  // rms
  double fractal_exponent = 1;
  double fractal_longest_mm = 100;
};

// How the two ends leave their square cut.
struct EndScene {
  double roughness_um = 20;  // rms along the end's cut
  int splinters = 0;         // splinters and tears per end, adding or removing wood
  double splinter_mm = 1.5;  // the longest: how far along the strip it reaches
  double tear_um = 200;      // how far it moves the long edge at most
};

struct BurnMark {
  StripSide edge = StripSide::kLeft;
  double at_mm = 0;       // middle, along the strip (u)
  double length_mm = 12;  // along the strip
  double depth_mm = 2;    // into the strip
  double darkness = 0.6;  // part of the light lost in the middle
};

// The look of the wood's face.
struct WoodScene {
  double tone = 0.45;                           // mean reflectance before the marks below
  std::array<double, 3> tint = {1.3, 1, 0.55};  // red : green : blue for colour pictures, luminance kept
  double tone_drift = 0;                        // relative change of tone, far end to fence end
  double grain_contrast = 0;                    // relative amplitude of the growth rings and fibres
  double ring_mm = 2.2;                         // mean distance of growth rings
  double grain_slope = 0.01;                    // run-out of the grain against the strip's axis, mm/mm
  double grain_wave_mm = 0.3;                   // slow sideways waviness of the grain
  int dark_lines = 0;                           // streaks along the grain, sharp as an edge
  double dark_line_contrast = 0.9;              // part of the light lost in them
  double fibre_mm = 0.12;                       // correlation length of the fibres across the grain
  double fibre_length_mm = 35;                  // how far along the grain they change
  double saw_period_mm = 1.6;                   // distance of the saw marks across the strip
  double saw_contrast = 0;                      // their relative amplitude
  std::vector<BurnMark> burns;
};

// The side wall that a scanner with a lens sees beside the face on the glass.
struct WallScene {
  enum class Mode {
    kNone,
    kLens,  // the arris away from the glass is seen at x * Z / (Z + t), x from the sensor's middle
    kBand,  // a band of constant width on `band_side`
  };
  Mode mode = Mode::kNone;
  double thickness_mm = 12;       // t
  double lens_distance_mm = 300;  // Z
  StripSide band_side = StripSide::kLeft;
  double band_mm = 1;
  double tone = 0.2;             // reflectance of the wall as lit
  double far_arris_blur_mm = 0;  // standard deviation of the far arris' extra blur
};

// A shadow on what lies beside the strip.
struct ShadowScene {
  StripSide side = StripSide::kNone;
  double width_mm = 2;  // from the edge to the middle of the fading
  double depth = 0.5;   // part of the light lost beside the edge
  double soft_mm = 1;   // the fading takes this much on both sides of `width_mm`
};

// A shadow past one end of the strip, as wide as the strip: a lamp on one side of the carriage.
struct EndShadowScene {
  bool fence_end = true;
  double length_mm = 10;  // from the end to the middle of the fading
  double depth = 0.5;     // part of the light lost
  double soft_mm = 2;     // the fading takes this much on both sides of `length_mm`, and along the sides
  double sideways = 0;    // it drifts across by this much per mm past the end
};

// A band along the strip between two straight lines, on the wood, on the ground beside it, or on both: a glue
// line, sapwood, a pencil line, a worn arris, tape, a burn, chalk, a hard shadow. Its borders are where
// somebody may see the strip's edge.
struct BandScene {
  double low_mm = 0, low_lean = 0;    // borders in the strip frame: v = low_mm + low_lean * u ...
  double high_mm = 0, high_lean = 0;  // ... and v = high_mm + high_lean * u
  bool on_face = true, on_ground = false;
  double factor = 1;     // of the light that comes from there; or, ...
  double cover = -1;     // ... from 0 on: what lies over it sends back this much instead
  double past_mm = 0;    // how far past the strip's ends it goes on
  double soft_mm = 0;    // its borders fade over this much
  double waver_um = 0;   // amplitude of both borders' common waver
  double waver_mm = 60;  // and its period along the strip
};

// How far the ends of the strip's lower face lie off the glass. A scanner with a lens sees a point h above
// the glass at x * Z / (Z + h), so the strip looks narrower there.
struct LiftScene {
  double far_mm = 0, fence_mm = 0;
  double lens_distance_mm = 300;  // Z
};

struct StripScene {
  double length_mm = 240;
  double width_mm = 16;    // at the middle, between the straight cuts
  double taper = 0;        // (width at fence end - width at far end) / length
  double offset_x_mm = 0;  // the strip's middle from the channel's, along the page's axes
  double offset_y_mm = 0;
  double angle_deg = 0;  // clockwise in the picture of an upright page
  EdgeScene left, right;
  EndScene ends;
  WoodScene wood;
  FaceScene face;  // with a photograph: in the place of the wood's grain and streaks
  WallScene wall;
  ShadowScene shadow;
  std::vector<ShadowScene> more_shadows;  // on the other side, or a second lamp's
  std::vector<EndShadowScene> end_shadows;
  std::vector<BandScene> bands;
  LiftScene lift;
  double break_gap_mm = 0;    // above 0: broken in two, this far apart
  double break_at_mm = 0;     // where (u)
  double break_shift_mm = 0;  // sideways shift of the far piece
};

// A printed tag (target/tag_layout.h) lying in the channel.
struct TagScene {
  int bench = 1;
  double offset_x_mm = 0;  // the marker's middle from the channel's middle, along the page's axes
  double offset_y_mm = 0;
  double angle_deg = 0;  // clockwise in the picture of an upright page; 0: its pointer points up
  double paper_tone = 0.82, ink_tone = 0.04;
};

// The carriage slips at one place and rings on: a step and a decaying oscillation behind it.
struct Jerk {
  double at_mm = 0;      // along the bed
  double step_um = 0;    // displacement that stays
  double ring_um = 0;    // first swing
  double ring_mm = 2;    // its period along the bed
  double decay_mm = 6;   // it falls to 1/e over this
  double soft_mm = 0.3;  // the step takes this long
};

// Where two chips of a sensor meet.
struct SensorJoint {
  double x_mm = 0;     // along the sensor, nominally; taken to the nearest border of two pixels
  double gap_um = 0;   // what lies beyond sees this much further along the sensor (negative: overlap)
  double step_um = 0;  // and this much further along the carriage's way
};

// Shapes of a blur, all with the same standard deviation.
enum class Psf {
  kGaussian,
  kBox,       // a pixel's light as a square: cheap resampling, a moving carriage
  kDisc,      // out of focus
  kTent,      // twice a box: linear interpolation
  kLongTail,  // a Gaussian and around it a wide halo of stray light, which comes on top of that deviation
};

struct PsfScene {
  Psf shape = Psf::kGaussian;
  double tail_share = 0.05;  // kLongTail: part of the light in the halo
  double tail_px = 6;        // kLongTail: its standard deviation; half of it goes three times as far
};

// Unsharp masking on code values.
struct SharpenScene {
  double amount = 0;       // code += amount * (code - blurred code) ...
  double radius_px = 1.2;  // standard deviation of that blur
  double threshold = 0;    // ... where they differ by more than this, code values
};

// How the scanner's pixels lie on the glass: displacements say where a pixel looks, less where it should.
struct ScannerScene {
  double scale_x = 1, scale_y = 1;    // true over nominal pixel pitch
  double skew = 0;                    // y displacement per x: a sensor not square to its way
  double lens_cubic_mm = 0;           // x displacement at the sensor's end, growing with the cube of x ...
  double lens_quadratic_mm = 0;       // ... and with the square of x
  double sensor_half_width_mm = 108;  // where that end is
  double carriage_quadratic_mm = 0;   // y displacement 150 mm from the bed's middle, growing with y^2 ...
  double carriage_cubic_mm = 0;       // ... and with y^3
  std::vector<Wave> carriage_waves;   // y displacement along y
  std::vector<Wave> wobble_waves;     // x displacement along y
  std::vector<Wave> yaw_waves;  // y displacement at the sensor's end, growing with x: a turning carriage
  double jitter_um = 0;         // rms shift of single rows, in x and in y each
  double jitter_correlation_mm = 0.5;
  double cross_gradient = 0;  // of the scale along the sensor, per mm along the bed: x moves by this * x * y
  std::vector<SensorJoint> joints;
  std::vector<Jerk> carriage_jerks;  // y displacement along y
  std::vector<Jerk> wobble_jerks;    // x displacement along y
  double blur_px = 0.7;              // standard deviation of the optics' blur, in light
  PsfScene psf;
  double noise_levels = 1;    // standard deviation of the noise, in code values
  double light_fall_off = 0;  // part of the light lost at the sensor's ends (square law)
  double light_tilt = 0;      // relative change of light along x, end to end
  double light_drift = 0;     // relative change of light along y over 300 mm
  // Noise of the signal, added before encoding: variance a x + b, x the light over what clips.
  double noise_a = 0, noise_b = 0;
  SharpenScene sharpen;  // after the noise
};

struct EncodingScene {
  enum class Transfer { kSrgb, kGamma, kLinear };
  Transfer transfer = Transfer::kSrgb;
  double gamma = 2.2;   // for kGamma: code = 255 * light^(1/gamma)
  double s_curve = 0;   // then code -= s / (2 pi) * sin(2 pi code), code 0..1: darker shadows; below 1
  double mid_lift = 0;  // then code += 4 m code (1 - code): brighter middle tones; |m| below 0.25
  double black_code = 0, white_code = 1;  // then stretched so that these become 0 and 1, and clipped
  double exposure = 1;                    // light is multiplied by this before encoding
  bool colour = false;                    // CV_8UC3 (B, G, R) instead of CV_8UC1
  int jpeg_quality = 0;                   // 1..100: the picture has gone through JPEG; 0: not
  // How JPEG keeps colour: as the encoder sees fit, or whole, halved across, halved both ways.
  enum class Chroma { kEncoders, k444, k422, k420 };
  Chroma chroma = Chroma::kEncoders;
};

// Paper that does not lie flat on the glass where the strip does not press it: higher towards its left and
// right borders, as the square of the distance. Seen by a scanner with a lens.
struct CurlScene {
  double border_mm = 0;           // height at the middle of those borders
  double twist = 0;               // there times 1 + twist at the fence end, 1 - twist at the far end
  double lens_distance_mm = 300;  // as LiftScene's
};

struct ScanScene : SheetScene {
  std::uint64_t seed = 1;  // of everything random: same scene, same bytes
  int dpi = 300;
  double page_rotation_deg = 0;  // clockwise in the picture
  double page_offset_x_mm = 0;   // the page's middle from the bed's middle
  double page_offset_y_mm = 0;
  CurlScene curl;
  double ground_tone = 0.03;  // the scanner's lid
  int dust_specks = 0;        // anywhere on the glass
  std::vector<StripScene> strips = {StripScene()};
  std::vector<TagScene> tags;
  RectMm window_sheet_mm;       // the picture shows the bounds of this part of the sheet ...
  double window_margin_mm = 3;  // ... and this much around it; width 0: the whole page
  ScannerScene scanner;
  EncodingScene encoding;
};

// The blocks and the channel of a sheet, for small quick pictures (window_sheet_mm).
RectMm fiducial_bounds(const SheetLayout& layout);

// Patches at random places of the blocks until they hide this fraction of the saddles, as strips of tape
// would.
std::vector<Patch> random_patches(const SheetLayout& layout, double fraction, std::uint64_t seed);

// The tag of `bench` at the strip's fence end, its paper `gap_mm` beyond it, `aside_mm` (v of the strip) off
// its middle line and turned by `askew_deg`.
TagScene tag_at_fence_end(const StripScene& strip, int bench, double gap_mm = 0.5, double aside_mm = 0,
                          double askew_deg = 0);

enum class SceneProfile { kSmooth, kRough };

// A scene drawn at random: pose, print, wood, ground, scanner faults, strip. kSmooth: fine saw cut, roughness
// 3..12 um rms; kRough: 20..80 um rms, chips, tear-out, burns, dark streaks, shadows, side walls.
ScanScene random_scan_scene(std::uint64_t seed, SceneProfile profile);

}  // namespace tapersight
