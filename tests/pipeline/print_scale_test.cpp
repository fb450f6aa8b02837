// A print that is stretched one way: the taper's interval says so, and the check bars put it right.
#include <gtest/gtest.h>

#include <cmath>

#include "numeric/student_t.h"
#include "pipeline/pictures.h"

namespace tapersight::testing {
namespace {

constexpr double kTaper = 0.012;

ScanScene stretched_scene(double print_x, double print_y) {
  ScanScene scene = plain_scene();
  scene.strips.front().taper = kTaper;
  scene.strips.front().wood.grain_contrast = 0;
  scene.print_scale_x = print_x;
  scene.print_scale_y = print_y;
  return scene;
}

StripMeasurement measured_strip(const ScanScene& scene, const PictureOptions& options = {}) {
  const auto m = measure_picture(render_scan(scene).image, scene.dpi, scene.dpi, options);
  if (!m) throw std::runtime_error(m.failure().text);
  return m->strip;
}

double U(const StripMeasurement& strip) {
  return t_factor(0.95, strip.dof) * strip.u_taper;
}

double scale_u(const StripMeasurement& strip) {
  for (const BudgetRow& row : strip.budget)
    if (row.source == "scale") return row.u;
  throw std::runtime_error("no such row");
}

// A sheet's millimetres across are `print_x` true ones, along `print_y`: the taper shows print_y / print_x
// times as large.
TEST(PrintScale, AStretchedPrintIsWithinTheInterval) {
  const StripMeasurement strip = measured_strip(stretched_scene(1.003, 0.998));
  EXPECT_NEAR(strip.taper, kTaper * 0.998 / 1.003, 1.5e-5) << "by the sheet's own millimetres";
  EXPECT_LE(std::abs(strip.taper - kTaper), U(strip));
  // The scanner shows a difference of 0.5 %: half of it the print's, beside the 0.3 % / sqrt(2) that stay
  // unseen.
  EXPECT_NEAR(scale_u(strip) / strip.taper, std::hypot(0.003 / std::sqrt(2.0), 0.0025), 2e-4);
}

TEST(PrintScale, TheBarsPutItRight) {
  const ScanScene scene = stretched_scene(1.003, 0.998);
  const SheetLayout& layout = sheet_layout(scene.paper);
  PictureOptions options;
  options.bar_x_mm = 1.003 * layout.bar_x.length_mm();
  options.bar_y_mm = 0.998 * layout.bar_y.length_mm();
  const StripMeasurement strip = measured_strip(scene, options);
  EXPECT_NEAR(strip.taper, kTaper, 1.5e-5);
  EXPECT_NEAR(strip.mean_width_mm(), scene.strips.front().width_mm, 0.02);
  EXPECT_LT(U(strip), 0.8 * U(measured_strip(scene)));
}

// The scanner's own stretch is taken out by the sheet, whose print is true here; who is right cannot be
// known.
TEST(PrintScale, AStretchedScannerDoesNotMoveTheTaperButWidensItsInterval) {
  ScanScene scene = stretched_scene(1, 1);
  const StripMeasurement before = measured_strip(scene);
  scene.scanner.scale_x *= 1.004;
  const StripMeasurement strip = measured_strip(scene);
  EXPECT_NEAR(strip.taper, kTaper, 1.5e-5);
  EXPECT_GT(scale_u(strip), 1.2 * scale_u(before));
}

}  // namespace
}  // namespace tapersight::testing
