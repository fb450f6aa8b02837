// The whole way from a picture to what is said of the fence. Mostly without a sheet, since that is quick: a
// short strip on the glass; the rest of the time a coarse scan of sheet and strip.
#include <cmath>

#include "assess/measurement_report.h"
#include "fuzz/changed_picture.h"
#include "pipeline/measure_picture.h"
#include "report/json.h"
#include "report/text.h"
#include "synth/render_scan.h"

using namespace tapersight;
using namespace tapersight::testing;

namespace {

constexpr int kDpi = 150;

ScanScene scene_of(bool sheet) {
  ScanScene scene;
  scene.dpi = kDpi;
  scene.scanner.blur_px = 0.8;
  StripScene& strip = scene.strips.front();
  strip.width_mm = sheet ? 16 : 9;
  strip.length_mm = sheet ? 200 : 110;
  strip.taper = 0.002;
  strip.angle_deg = 0.4;
  strip.left.roughness_um = strip.right.roughness_um = 6;
  strip.wood.grain_contrast = 0.1;
  const SheetLayout& layout = sheet_layout(scene.paper);
  const Eigen::Vector2d middle(layout.channel.x + layout.channel.width / 2,
                               layout.channel.y + layout.channel.height / 2);
  scene.has_target = sheet;
  scene.window_sheet_mm = sheet ? fiducial_bounds(layout) : RectMm{middle.x() - 12, middle.y() - 60, 24, 120};
  return scene;
}

PictureOptions options_of(int byte, bool sheet) {
  PictureOptions options;
  options.without_target = !sheet;
  options.scan_dpi = sheet ? std::nullopt : std::optional<double>(kDpi);
  if (!sheet) options.fence_end = static_cast<PictureSide>(byte / 8 % 4);
  if (byte / 32 % 4 == 1) options.kind = PictureKind::kPhoto;
  if (byte / 32 % 4 == 2) options.kind = PictureKind::kScan;
  if (byte / 128 == 1 && sheet) options.bar_x_mm = 100.4;
  return options;
}

void require_measurement(const PictureMeasurement& m) {
  require(std::isfinite(m.strip.taper), "a taper is not finite");
  require(m.strip.u_taper > 0 && std::isfinite(m.strip.u_taper) && m.strip.dof > 0,
          "a taper without uncertainty");
  require(m.strip.length_mm() > 0 && m.strip.fence_end_width_mm > 0 && m.strip.far_end_width_mm > 0,
          "a strip of no size");
  for (const Warning& warning : m.warnings)
    require(!warning.code.empty() && !warning.text.empty(), "an empty warning");
}

void say(const Result<PictureMeasurement>& measured, const cv::Mat& grey, const PictureOptions& options) {
  MeasurementReport report;
  report.picture = {"bench-07.png", grey.cols, grey.rows, kDpi, kDpi};
  report.options = options;
  report.setup.pivot_distance_mm = 1000;
  report.measurement = measured;
  conclude(report);
  require(measurement_json(report).find("\"status\"") != std::string::npos, "a result without its status");
  if (accepted(report.measurement)) require(!measurement_text(report).empty(), "a result without words");
}

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  static const cv::Mat strip = render_scan(scene_of(false)).image, whole = render_scan(scene_of(true)).image;
  Draw draw(data, size);
  const int first = draw.byte();
  const bool sheet = first % 8 == 7;
  cv::Mat grey = (sheet ? whole : strip).clone();
  const bool decent = draw.empty() && (first == 0 || first == 7);
  change_picture(grey, draw);
  const PictureOptions options = options_of(first, sheet);
  const auto measured = measure_picture(grey, kDpi, kDpi, options);
  require(measured.ok() || !decent, "a decent picture is refused");
  if (accepted(measured)) require_measurement(*measured);
  say(measured, grey, options);
  return 0;
}
