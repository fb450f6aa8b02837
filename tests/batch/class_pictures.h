// A small folder of scans for the tests of a batch, rendered once a process.
#pragma once
#include <string>

#include "base/files.h"
#include "support/temp_dir.h"
#include "synth/render_scan.h"
#include "synth/scan_file.h"

namespace tapersight::testing {

inline StripScene class_strip(double offset_x_mm, double taper, bool fence_end_up) {
  StripScene strip;
  strip.length_mm = 180;
  strip.width_mm = 14;
  strip.taper = taper;
  strip.offset_x_mm = offset_x_mm;
  strip.angle_deg = fence_end_up ? 180.4 : 0.3;
  strip.left.roughness_um = strip.right.roughness_um = 5;
  return strip;
}

// Benches 1 to 3 with their tags side by side on the wide sheet, the middle one upside down.
inline ScanScene three_strips() {
  ScanScene scene;
  scene.seed = 5;
  scene.channel = Channel::kWide;
  scene.window_sheet_mm = fiducial_bounds(layout_of(scene));
  scene.strips = {class_strip(-40, 0.002, false), class_strip(0, -0.001, true),
                  class_strip(38, 0.0012, false)};
  for (int i = 0; i < 3; ++i)
    scene.tags.push_back(tag_at_fence_end(scene.strips[static_cast<std::size_t>(i)], i + 1));
  return scene;
}

inline ScanScene one_strip(double taper) {
  ScanScene scene;
  scene.seed = 8;
  scene.window_sheet_mm = fiducial_bounds(layout_of(scene));
  scene.strips = {class_strip(0, taper, false)};
  return scene;
}

// scans/: three.png (benches 1 to 3), bench-07.png, whose.png (a strip that nothing names), broken.jpg (no
// picture), notes.txt; and roster.csv, in which bench 9 has no picture.
struct ClassFolder {
  TempDir dir;
  std::string scans() const { return dir.file("scans"); }
  std::string roster() const { return dir.file("roster.csv"); }
};

inline void write_class_folder(const ClassFolder& folder) {
  std::filesystem::create_directory(folder.scans());
  const auto scan = [&](const char* name, const ScanScene& scene) {
    if (!write_scan(folder.scans() + "/" + name, render_scan(scene).image, scene.dpi))
      throw std::runtime_error("no scan");
  };
  scan("three.png", three_strips());
  scan("bench-07.png", one_strip(0.003));
  scan("whose.png", one_strip(0.001));
  const bool written =
      write_file_whole(folder.scans() + "/broken.jpg", "no picture").ok() &&
      write_file_whole(folder.scans() + "/notes.txt", "no picture either").ok() &&
      write_file_whole(folder.roster(),
                       "bench,pivot distance,tolerance,fence end readings,far end readings\r\n"
                       "1,45 in,2thou/12in,\".5581, .5582\",\".5440, .5441\"\r\n"
                       "2,45 in,2thou/12in,,\r\n3,,2thou/12in,,\r\n"
                       "7,45 in,2thou/12in,,\r\n9,45 in,,,\r\n")
          .ok();
  if (!written) throw std::runtime_error("no files");
}

inline const ClassFolder& class_folder() {
  static const ClassFolder& folder = []() -> const ClassFolder& {
    static const ClassFolder made;
    write_class_folder(made);
    return made;
  }();
  return folder;
}

}  // namespace tapersight::testing
