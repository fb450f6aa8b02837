#include "tools/testimage_scenes.h"

#include <utility>

namespace tapersight {
namespace {

ScanScene usual_scan(std::uint64_t seed, Paper paper) {
  ScanScene scene;
  scene.seed = seed;
  scene.paper = paper;
  scene.page_rotation_deg = 0.4;
  scene.page_offset_x_mm = 0.33;
  scene.page_offset_y_mm = -0.71;
  scene.print_scale_x = 0.9985;
  scene.print_scale_y = 1.0012;
  scene.ink_spread_mm = 0.015;
  scene.window_margin_mm = 1;
  ScannerScene& scanner = scene.scanner;
  scanner.scale_x = 1.0008;
  scanner.scale_y = 0.9991;
  scanner.lens_cubic_mm = 0.06;
  scanner.carriage_waves = {{6, 90, 0.3}, {2, 23, 1.1}};
  scanner.wobble_waves = {{4, 120, 2.0}};
  scanner.jitter_um = 1;
  scanner.blur_px = 0.75;
  scanner.noise_levels = 1.2;
  scanner.light_fall_off = 0.03;
  StripScene& strip = scene.strips.front();
  strip.length_mm = 235;
  strip.width_mm = 15;
  strip.angle_deg = 0.6;
  strip.left.roughness_um = strip.right.roughness_um = 7;
  strip.left.correlation_mm = strip.right.correlation_mm = 0.4;
  strip.wood.grain_contrast = 0.14;
  strip.wood.saw_contrast = 0.012;
  strip.ends.splinters = 1;
  return scene;
}

TestImage light_wood() {
  ScanScene scene = usual_scan(3, Paper::kA4);
  StripScene& strip = scene.strips.front();
  strip.taper = 0.00085;  // 0.2 mm over the strip
  strip.wood.tone = 0.52;
  strip.offset_x_mm = 2;
  return {"scans", "bench-03-a4-300dpi", "light wood, dark lid, fine saw", "", scene};
}

TestImage dark_wood() {
  ScanScene scene = usual_scan(7, Paper::kLetter);
  scene.ground_tone = 0.88;
  scene.page_rotation_deg = -1.1;
  scene.encoding.colour = true;
  StripScene& strip = scene.strips.front();
  strip.taper = -0.00042;
  strip.wood.tone = 0.16;
  strip.wood.tint = {1.7, 1, 0.55};
  strip.wood.tone_drift = 0.15;
  strip.angle_deg = -0.8;
  return {"scans", "bench-07-letter-300dpi", "dark wood, white lid, in colour", "", scene};
}

TestImage rough_edges() {
  ScanScene scene = usual_scan(11, Paper::kA4);
  scene.dust_specks = 25;
  StripScene& strip = scene.strips.front();
  strip.taper = 0.0019;
  strip.left.roughness_um = 45;
  strip.left.correlation_mm = 1.2;
  strip.left.chips = 4;
  strip.right.roughness_um = 30;
  strip.right.correlation_mm = 0.8;
  strip.right.chips = 2;
  strip.ends = {90, 4, 2.5, 250};
  strip.wood.grain_contrast = 0.25;
  strip.wood.dark_lines = 2;
  strip.wood.burns = {{StripSide::kRight, 40, 14, 1.5, 0.5}};
  return {"scans", "bench-11-a4-300dpi", "rough saw, chips, splinters, a burn, dark streaks", "", scene};
}

TestImage bowed() {
  ScanScene scene = usual_scan(12, Paper::kLetter);
  StripScene& strip = scene.strips.front();
  strip.taper = -0.0006;
  strip.left.bow_um = 180;
  strip.right.bow_um = -170;
  strip.length_mm = 220;
  return {"scans", "bench-12-letter-300dpi", "strip bowed by 0.18 mm since it was cut", "", scene};
}

TestImage turned(const std::string& name, double rotation_deg, std::uint64_t seed, Paper paper) {
  ScanScene scene = usual_scan(seed, paper);
  scene.page_rotation_deg = rotation_deg;
  scene.scanner.sensor_half_width_mm = 150;  // a large scanner
  StripScene& strip = scene.strips.front();
  strip.taper = 0.0011;
  strip.wood.tone = 0.4;
  return {"scans", name, "page turned on the glass", "", scene};
}

TestImage shadow_and_wall() {
  ScanScene scene = usual_scan(16, Paper::kA4);
  scene.ground_tone = 0.7;
  scene.page_offset_x_mm = 35;  // at the side of a large scanner's glass: 1.4 mm of wall in view
  scene.scanner.sensor_half_width_mm = 150;
  StripScene& strip = scene.strips.front();
  strip.taper = 0.0007;
  strip.wood.tone = 0.25;
  strip.offset_x_mm = 4;
  strip.wall.mode = WallScene::Mode::kLens;
  strip.wall.thickness_mm = 14;
  strip.wall.tone = 0.11;
  strip.wall.far_arris_blur_mm = 0.15;
  strip.shadow = {StripSide::kRight, 2.2, 0.3, 1.4};
  return {"scans", "bench-16-a4-300dpi", "grey lid, shadow on one side, side wall in view on the other", "",
          scene};
}

TestImage fine_crop() {
  ScanScene scene = usual_scan(18, Paper::kLetter);
  scene.dpi = 600;
  scene.page_rotation_deg = 180.7;
  scene.window_sheet_mm = fiducial_bounds(sheet_layout(scene.paper));
  StripScene& strip = scene.strips.front();
  strip.length_mm = 128;
  strip.width_mm = 12.7;
  strip.taper = -0.0013;
  return {"scans", "bench-18-letter-600dpi", "600 dpi, cropped, upside down", "", scene};
}

std::vector<TestImage> refusals() {
  std::vector<TestImage> all;
  ScanScene empty = usual_scan(21, Paper::kA4);
  empty.strips.clear();
  all.push_back({"rejects", "no-strip", "target without a strip", "no-strip", empty});

  ScanScene two = usual_scan(22, Paper::kA4);
  two.strips.push_back(two.strips.front());
  two.strips[0].offset_x_mm = -14;
  two.strips[1].offset_x_mm = 13;
  two.strips[1].angle_deg = -1.5;
  all.push_back({"rejects", "two-strips", "two strips in the channel", "two-strips", two});

  ScanScene coarse = usual_scan(23, Paper::kLetter);
  coarse.dpi = 75;
  all.push_back({"rejects", "75-dpi", "75 dpi: too coarse", "resolution-too-low", coarse});

  ScanScene blank = usual_scan(24, Paper::kA4);
  blank.strips.clear();
  blank.has_target = false;
  blank.scanner.light_fall_off = 0.005;  // a clean lid, evenly lit
  blank.ground_tone = 0.9;
  all.push_back({"rejects", "blank", "nothing on the glass", "blank-picture", blank});

  ScanScene no_target = usual_scan(25, Paper::kLetter);
  no_target.has_target = false;
  no_target.dpi = 150;
  all.push_back({"rejects", "no-target", "a strip without the target", "no-target", no_target});

  ScanScene broken = usual_scan(26, Paper::kLetter);
  broken.strips.front().break_gap_mm = 4;
  broken.strips.front().break_at_mm = 30;
  broken.strips.front().break_shift_mm = 0.8;
  all.push_back({"rejects", "broken-strip", "strip broken in two", "strip-broken", broken});
  return all;
}

}  // namespace

std::vector<TestImage> all_testimages() {
  std::vector<TestImage> all = {light_wood(),
                                dark_wood(),
                                rough_edges(),
                                bowed(),
                                turned("bench-14-a4-300dpi", 91.3, 14, Paper::kA4),
                                turned("bench-15-letter-300dpi", 178.2, 15, Paper::kLetter),
                                shadow_and_wall(),
                                fine_crop()};
  for (TestImage& image : refusals()) all.push_back(std::move(image));
  return all;
}

namespace {

// A phone held by hand over the bench, the lamp up left.
PhotoScene usual_photo(std::uint64_t seed, Paper paper) {
  PhotoScene scene;
  scene.seed = seed;
  scene.paper = paper;
  scene.print_scale_x = 1.0011;
  scene.print_scale_y = 0.9990;
  scene.ink_spread_mm = 0.02;
  scene.camera = phone_camera(12);
  scene.camera.distance_mm = 330;
  scene.camera.tilt_deg = 7;
  scene.camera.tilt_towards_deg = 200;
  scene.camera.roll_deg = 93;
  scene.camera.k1 = 0.03;
  scene.light.direct = 0.4;
  scene.light.shadow_run = {0.45, 0.2};
  scene.light.lamp_size = 0.3;
  scene.light.occlusion = 0.8;
  scene.light.tilt_x = 0.1;
  scene.phone.noise_levels = 1.2;
  scene.phone.sharpen = 0.4;
  scene.encoding.colour = true;
  scene.encoding.exposure = 0.75;
  scene.encoding.jpeg_quality = 80;
  PhotoStripScene& strip = scene.strips.front();
  strip.length_mm = 215;
  strip.width_mm = 17;
  strip.thickness_mm = 14;
  strip.angle_deg = -0.8;
  strip.left.roughness_um = strip.right.roughness_um = 8;
  return scene;
}

TestPhoto dark_wood_photo() {
  PhotoScene scene = usual_photo(2105, Paper::kLetter);
  PhotoStripScene& strip = scene.strips.front();
  strip.taper = 0.00071;
  strip.wood.tone = 0.12;
  scene.phone.exif_orientation = 6;
  return {"bench-05-letter-dark-wood", "dark wood on the open channel, phone held upright", "", scene};
}

PhotoScene light_wood_scene(std::uint64_t seed) {
  PhotoScene scene = usual_photo(seed, Paper::kA4);
  PhotoStripScene& strip = scene.strips.front();
  strip.taper = -0.00052;
  strip.wood.tone = 0.55;
  strip.wood.tint = {1.2, 1, 0.68};
  return scene;
}

TestPhoto dark_channel_photo() {
  PhotoScene scene = light_wood_scene(2109);
  darken_channel(scene);
  return {"bench-09-a4-dark-channel", "light wood on the dark channel", "", scene};
}

TestPhoto curled_sheet_photo() {
  PhotoScene scene = usual_photo(2110, Paper::kA4);
  scene.strips.front().wood.tone = 0.12;
  scene.sagitta_mm = 3;
  return {"curled-sheet", "the sheet bulges by 3 mm", "sheet-not-flat", scene};
}

}  // namespace

std::vector<TestPhoto> all_testphotos() {
  return {dark_wood_photo(), dark_channel_photo(), curled_sheet_photo()};
}

}  // namespace tapersight
