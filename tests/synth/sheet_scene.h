// The printed sheet of a synthetic picture, scanned or photographed.
//
// Frames: sheet = nominal millimetres of the printed layout; page = true millimetres from the page's middle,
// axes along the page's.
#pragma once
#include <Eigen/Geometry>
#include <vector>

#include "target/sheet_layout.h"

namespace tapersight {

struct StripScene;

// A piece of something lying on the sheet, print side: hides the print.
struct Patch {
  RectMm at_sheet_mm;
  double tone = 0.5;
};

// A slow displacement along a way.
struct Wave {
  double amplitude_um = 0;
  double period_mm = 100;
  double phase_rad = 0;
};

// How a printer's marks leave their places, from the page's middle, x across the paper's way and y along it.
// The sizes are those at the page's borders.
struct PrintFaults {
  double cross_gradient = 0;     // of the scale across, per mm along: x moves by this * x * y
  double bow_mm = 0;             // along, growing with the square of x: bent scan lines
  double cross_cubic_mm = 0;     // across, growing with the cube of x: the scanning lens
  double feed_quadratic_mm = 0;  // along, growing with the square of y: paper that starts slow
  std::vector<Wave> bands;       // along y: gears and rollers
  bool none() const {
    return cross_gradient == 0 && bow_mm == 0 && cross_cubic_mm == 0 && feed_quadratic_mm == 0 &&
           bands.empty();
  }
};

struct SheetScene {
  Paper paper = Paper::kA4;
  Channel channel = Channel::kOneStrip;
  bool has_target = true;                       // false: no sheet at all
  double print_scale_x = 1, print_scale_y = 1;  // true over nominal size
  double print_shear = 0;                       // x displacement per y
  PrintFaults print_faults;
  double ink_spread_mm = 0;  // every ink outline grows by this (negative: shrinks); below 0.2
  double paper_tone = 0.82, ink_tone = 0.04;
  std::vector<Patch> patches;
};

const SheetLayout& layout_of(const SheetScene& sheet);

// Without the print's faults.
Eigen::Affine2d page_from_sheet(const SheetScene& sheet);

// Where on the nominal sheet a printer with these faults puts a nominal point, and back (to 1e-9 mm).
Eigen::Vector2d printed_at(const SheetScene& sheet, const Eigen::Vector2d& nominal_mm);
Eigen::Vector2d nominal_of_printed(const SheetScene& sheet, const Eigen::Vector2d& printed_mm);

// Displacement of all waves at a place, mm.
double sum_of(const std::vector<Wave>& waves, double at_mm);

// Of a thing lying in the channel: its middle's offset from the channel's, along the page's axes, and its
// angle, clockwise.
Eigen::Affine2d page_from_thing(const SheetScene& sheet, const Eigen::Vector2d& offset_mm, double angle_deg);
Eigen::Affine2d page_from_strip(const SheetScene& sheet, const StripScene& strip);

bool under_patch(const SheetScene& sheet, const Eigen::Vector2d& at_sheet_mm);

}  // namespace tapersight
