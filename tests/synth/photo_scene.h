// What a synthetic phone photo shows: the printed sheet on a bench, the strip lying on its channel.
//
// Frames as in sheet_scene.h and camera.h (the bench frame's x, y are the page frame's), the strip frame as
// in scan_scene.h. Pixel frame: (0, 0) = centre of the top left pixel of the picture as it is looked at.
// Tones are linear reflectances; a level surface of reflectance 1 in full light gives light 1.
#pragma once
#include <Eigen/Core>
#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "synth/camera.h"
#include "synth/scan_scene.h"
#include "synth/sheet_scene.h"

namespace tapersight {

// A strip with a thickness. StripScene::wall and ::shadow belong to scanners and are not used here.
struct PhotoStripScene : StripScene {
  double thickness_mm = 12;
  // How much further out the bottom arris lies than the top one: a blade off square. Parallel to it.
  double bevel_left_mm = 0, bevel_right_mm = 0;
  bool arrises_share_roughness = true;  // false: the bottom arris has a roughness (and chips) of its own
  double wall_tone = 1;                 // reflectance of the side walls over that of the face
  double end_tone = 0.7;                // of the end grain over that of the face
};

// One lamp or window and the even light of a room.
struct LightScene {
  double direct = 0.5;                    // part of a level surface's light that comes from the lamp
  Eigen::Vector2d shadow_run = {0.5, 0};  // the shadow of a point h above the bench lies h * this away
  double lamp_size = 0.15;                // half the change of shadow_run over the lamp: the penumbra
  double occlusion = 1;     // how much of the room's light things standing on the bench take away, 0..1
  double second_share = 0;  // part of `direct` that comes from a second lamp ...
  Eigen::Vector2d second_run = {-0.5, 0};  // ... whose shadow_run is this ...
  double second_size = 0.15;               // ... and whose lamp_size this
  double tilt_x = 0, tilt_y = 0;           // relative change of light over half the picture's diagonal
  double vignetting = 0;                   // part of the light lost in the corners (square law)
  double veil = 0;                         // light added everywhere: flare
  std::array<double, 3> tint = {1, 1, 1};  // red : green : blue of colour pictures
};

// The mirror image of a window or lamp on what is smooth: light added in a soft-edged rectangle.
struct GlareScene {
  Eigen::Vector2d at_mm = {0, 0};  // its middle, bench frame
  Eigen::Vector2d half_mm = {12, 30};
  double angle_deg = 0;
  double soft_mm = 5;  // the edges fade over this much on both sides
  double strength = 0.5;
  bool on_strip = true, on_sheet = false;
};

struct BenchScene {
  double tone = 0.25;
  std::array<double, 3> tint = {1.3, 1, 0.6};
  double grain_contrast = 0.2;  // 0: a plain board
  double plank_mm = 130;        // width; 0: no joints
  double angle_deg = 10;
};

// What the phone does between light and file, besides EncodingScene.
struct PhoneScene {
  double blur_px = 0.9;             // standard deviation of the blur, in light
  PsfScene psf;                     // its shape
  double motion_px = 0;             // length of a straight motion blur
  double motion_deg = 0;            // its direction in the picture
  double noise_levels = 1.5;        // standard deviation, code values
  double noise_a = 0, noise_b = 0;  // of the signal, as ScannerScene's
  double sharpen = 0;               // code += sharpen * (code - blurred code)
  double sharpen_radius_px = 1.2;   // standard deviation of that blur
  int exif_orientation = 1;         // 1..8: how the file's pixels are turned (EXIF tag 0x0112)
};

// A corner of the sheet that stands up, as a page does that was folded or rolled.
struct CornerScene {
  int corner = 0;        // 0: top left, then clockwise
  double height_mm = 3;  // of its tip
  double reach_mm = 40;  // how far from the tip, along the diagonal, it begins to rise
};

struct PhotoScene : SheetScene {
  std::uint64_t seed = 1;  // of everything random: same scene, same bytes
  CameraScene camera;
  LightScene light;
  BenchScene bench;
  PhoneScene phone;
  // colour, transfer, exposure; jpeg_quality 0: the picture has not been through JPEG
  EncodingScene encoding;
  std::vector<GlareScene> glares;
  // The sheet as a cylinder: its middle line this much higher than its two borders when positive, the borders
  // this much higher than the middle line when negative. The strip rests on the middle.
  double sagitta_mm = 0;
  bool bulge_along_y = false;  // the height changes along y instead of x
  std::vector<CornerScene> corners;
  std::vector<PhotoStripScene> strips = {PhotoStripScene()};
  std::vector<TagScene> tags;  // lying flat on the sheet, face up
};

// A 12-megapixel scene drawn at random, the whole target in the picture: distance 250..700 mm (the closer
// ones only where the target fits), tilt 0..25 degrees, any roll, |k1| <= 0.05, strip thickness 6..20 mm,
// dark, middle and light wood on white paper, JPEG 70..95. Strip edges as random_scan_scene's; kRough adds
// chips, burns, bows, mild glare and a sheet off flat by up to 0.1 mm.
PhotoScene random_photo_scene(std::uint64_t seed, SceneProfile profile);

// Narrower, and a second strip of the same wood laid 2 to 12 mm beside it, nearly parallel.
void lay_another_beside(PhotoScene& scene);

// The channel printed black, as `tapersight target --dark-channel` does.
void darken_channel(PhotoScene& scene);

// The same scene seen by a phone of 12, 24 or 50 megapixels. Blur and sharpening stay as they are in pixels.
void set_megapixels(int megapixels, PhotoScene& scene);

enum class RejectReason {
  kBlurred,
  kTooSmall,
  kTooOblique,
  kGlare,
  kUnderexposed,
  kOverexposed,
  kTargetCutOff,
  kTargetHidden,
  kStripNotInChannel,
  kNoStrip,
  kTwoStrips,
  kBrokenStrip,
  kSheetNotFlat,
  kNoTarget,
};

// "blurred", "too-small" ...: stable names for files and messages.
std::string reason_name(RejectReason reason);

struct RejectScene {
  std::string name;  // of a file, without ending
  RejectReason reason = RejectReason::kBlurred;
  PhotoScene scene;
};

// Photos that must be refused, every one otherwise good.
std::vector<RejectScene> reject_photo_scenes();

}  // namespace tapersight
