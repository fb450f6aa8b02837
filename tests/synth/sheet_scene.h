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

struct SheetScene {
  Paper paper = Paper::kA4;
  Channel channel = Channel::kOneStrip;
  bool has_target = true;                       // false: no sheet at all
  double print_scale_x = 1, print_scale_y = 1;  // true over nominal size
  double print_shear = 0;                       // x displacement per y
  double ink_spread_mm = 0;  // every ink outline grows by this (negative: shrinks); below 0.2
  double paper_tone = 0.82, ink_tone = 0.04;
  std::vector<Patch> patches;
};

const SheetLayout& layout_of(const SheetScene& sheet);

Eigen::Affine2d page_from_sheet(const SheetScene& sheet);

// Of a thing lying in the channel: its middle's offset from the channel's, along the page's axes, and its
// angle, clockwise.
Eigen::Affine2d page_from_thing(const SheetScene& sheet, const Eigen::Vector2d& offset_mm, double angle_deg);
Eigen::Affine2d page_from_strip(const SheetScene& sheet, const StripScene& strip);

bool under_patch(const SheetScene& sheet, const Eigen::Vector2d& at_sheet_mm);

}  // namespace tapersight
