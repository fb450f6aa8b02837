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

Eigen::Vector2d printed_at(const SheetScene& sheet, const Eigen::Vector2d& nominal_mm) {
  const PrintFaults& faults = sheet.print_faults;
  if (faults.none()) return nominal_mm;
  const Eigen::Vector2d half = page_middle(layout_of(sheet));
  const Eigen::Vector2d p = nominal_mm - half;
  const Eigen::Array2d n = p.array() / half.array();
  const double across = faults.cross_gradient * p.x() * p.y() + faults.cross_cubic_mm * n.x() * n.x() * n.x();
  const double along =
      faults.bow_mm * n.x() * n.x() + faults.feed_quadratic_mm * n.y() * n.y() + sum_of(faults.bands, p.y());
  return nominal_mm + Eigen::Vector2d(across, along);
}

Eigen::Vector2d nominal_of_printed(const SheetScene& sheet, const Eigen::Vector2d& printed_mm) {
  Eigen::Vector2d nominal = printed_mm;
  if (sheet.print_faults.none()) return nominal;
  for (int i = 0; i < 100; ++i) {  // fixed point: the faults change slowly
    const Eigen::Vector2d step = printed_mm - printed_at(sheet, nominal);
    nominal += step;
    if (step.norm() < 1e-10) break;
  }
  return nominal;
}

double sum_of(const std::vector<Wave>& waves, double at_mm) {
  double mm = 0;
  for (const Wave& wave : waves)
    mm += 1e-3 * wave.amplitude_um * std::sin(2 * M_PI * at_mm / wave.period_mm + wave.phase_rad);
  return mm;
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
