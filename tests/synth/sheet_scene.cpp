#include "synth/sheet_scene.h"

#include <algorithm>
#include <cmath>

#include "synth/scan_scene.h"

namespace tapersight {
namespace {

Eigen::Vector2d page_middle(const SheetLayout& layout) {
  return {layout.page_width_mm / 2, layout.page_height_mm / 2};
}

// From nominal sheet millimetres to true ones, both from the page's middle.
Eigen::Matrix2d print_matrix(const SheetScene& sheet) {
  Eigen::Matrix2d print;
  print << sheet.print_scale_x, sheet.print_shear, 0, sheet.print_scale_y;
  return print;
}

}  // namespace

Eigen::Affine2d page_from_sheet(const SheetScene& sheet) {
  return Eigen::Affine2d(print_matrix(sheet)) * Eigen::Translation2d(-page_middle(layout_of(sheet)));
}

const SheetLayout& layout_of(const SheetScene& sheet) {
  return sheet_layout(sheet.paper, sheet.channel);
}

Eigen::Affine2d page_from_thing(const SheetScene& sheet, const Eigen::Vector2d& offset_mm, double angle_deg) {
  const RectMm& channel = layout_of(sheet).channel;
  const Eigen::Vector2d middle(channel.x + channel.width / 2, channel.y + channel.height / 2);
  const Eigen::Vector2d at = page_from_sheet(sheet) * middle + offset_mm;
  return Eigen::Translation2d(at) * Eigen::Affine2d(Eigen::Rotation2Dd(angle_deg * M_PI / 180));
}

Eigen::Affine2d page_from_strip(const SheetScene& sheet, const StripScene& strip) {
  return page_from_thing(sheet, {strip.offset_x_mm, strip.offset_y_mm}, strip.angle_deg);
}

bool under_patch(const SheetScene& sheet, const Eigen::Vector2d& at_sheet_mm) {
  return std::any_of(sheet.patches.begin(), sheet.patches.end(),
                     [&](const Patch& patch) { return patch.at_sheet_mm.contains(at_sheet_mm); });
}

}  // namespace tapersight
