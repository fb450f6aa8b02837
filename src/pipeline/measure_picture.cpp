#include "pipeline/measure_picture.h"

#include <Eigen/Core>
#include <cmath>
#include <optional>
#include <utility>

#include "base/text.h"
#include "base/units.h"
#include "numeric/student_t.h"
#include "pipeline/measure_strips.h"
#include "pipeline/photo.h"
#include "pipeline/scan.h"
#include "pipeline/stages.h"

namespace tapersight {
namespace {

// A scanner's own scale: user tests show the sensor's axis up to 2.5 % off on lens scanners, a
// tenth of that on the carriage's; half of it stands for both.
const double kScannerScaleU = 0.012 / std::sqrt(3.0);

std::string percent_over_sheet(double per_mm, const SheetLayout& layout) {
  return fixed(100 * std::abs(per_mm) * layout.channel.height, 2);
}

// Without numbers: whoever shows it has them in the person's units.
void warn_of_bow(PictureMeasurement& m) {
  std::string which, how;
  int bowed = 0;
  for (int k = 0; k < 2; ++k) {
    const EdgeFit& edge = m.strip.edges[k];
    if (!is_bowed(edge)) continue;
    which = side_word(k);
    how += (bowed++ > 0 ? ", the " : "The ") + which + " one " +
           (edge.bow_mm > 0 ? "stands out in its middle" : "is hollow in its middle");
  }
  if (bowed == 0) return;
  m.warnings.push_back(
      {"edge-bowed",
       (bowed == 2 ? std::string("Neither long edge is straight")
                   : "The " + which + " long edge is not straight") +
           " (as on the sheet, fence end down). " + how +
           ". One angle does not describe the cut. Check the fence with a straightedge and hold "
           "the board still."});
}

// Only the scanner's part of it is in the taper, and which part that is no single scan can tell.
void warn_of_gradient(PictureMeasurement& m, const StripFitOptions& fit) {
  constexpr double kSeen = 2;  // standard uncertainties
  const double forged = m.strip.mean_width_mm() * std::abs(fit.cross_gradient_per_mm);
  const double interval = t_factor(kCoverage, m.strip.dof) * m.strip.u_taper;
  if (!fit.on_sheet_in_scan || forged < interval / 2 ||
      std::abs(fit.cross_gradient_per_mm) < kSeen * fit.cross_gradient_u)
    return;
  m.warnings.push_back(
      {"scale-gradient",
       "The picture's scale across changes from one end of the sheet to the other, by " +
           percent_over_sheet(fit.cross_gradient_per_mm, *m.layout) +
           " %. The scanner may do that, or the print, or an app that straightened a photo; the interval is "
           "widened to hold it. For a sharper result turn the strip end for end, leave the sheet as it is, "
           "scan again and give that scan with --reversed."});
}

void warn_of_columns(PictureMeasurement& m) {
  constexpr double kMuch = 0.5;  // of the whole uncertainty
  if (m.strip.u_of("phase") <= kMuch * m.strip.u_taper) return;
  m.warnings.push_back(
      {"along-pixels",
       "The strip lies so straight on the glass that its edges keep to one column of pixels, where they are "
       "less certain. The interval is widened for that. For a sharper result lay the strip a degree or two "
       "aslant and scan again."});
}

// A cut that wanders over centimetres is a taper of the strip in part, and not of the fence.
void warn_of_wander(PictureMeasurement& m) {
  constexpr double kMostlySlow = 0.7;  // of the lowest cosines: of even spectra less than one in twenty
  constexpr double kMatters = 0.7;     // of the whole uncertainty
  if (m.strip.u_of("edges") < kMatters * m.strip.u_taper || m.strip.slow_share < kMostlySlow) return;
  m.warnings.push_back(
      {"edge-wanders",
       "As pictured, the long edges wander slowly from side to side along the strip, and part of that may "
       "look like taper. The interval is widened to hold it. If another scan, elsewhere on the glass, shows "
       "the same, it is the cut: feed evenly and hold the board still."});
}

}  // namespace

Result<PictureMeasurement> measure_calibrated(const cv::Mat& grey, PictureMeasurement m,
                                              const StripSearch& search, const StripFitOptions& fit,
                                              const ToldOfStrip& told) {
  if (m.kind == PictureKind::kPhoto && !told.take.empty())
    return Failure{"take-unknown", "No line in this picture bears a letter.",
                   "Measure without --take: the answer names the lines if there is anything to choose."};
  Result<PictureMeasurement> measured =
      m.kind == PictureKind::kPhoto ? measure_photo(grey, std::move(m), search, fit, told.thickness_mm)
                                    : measure_scan(grey, std::move(m), search, fit, told.take);
  if (measured) warn_of_bow(*measured);
  if (measured) warn_of_gradient(*measured, fit);
  if (measured) warn_of_wander(*measured);
  if (measured) warn_of_columns(*measured);
  return measured;
}

namespace {

Eigen::Vector2d direction_of(PictureSide side) {
  switch (side) {
    case PictureSide::kTop:
      return {0, -1};
    case PictureSide::kLeft:
      return {-1, 0};
    case PictureSide::kRight:
      return {1, 0};
    case PictureSide::kBottom:
      break;
  }
  return {0, 1};
}

// The glass in true millimetres as the dpi say, origin at the picture's top left corner.
PlaneMap map_of_dpi(const cv::Size& size, double dpi_u, double dpi_v) {
  PlaneMap map;
  map.centre_px = {(size.width - 1) / 2.0, (size.height - 1) / 2.0};
  map.scale_px = {size.width / 2.0, size.height / 2.0};
  const Eigen::Vector2d half_mm(12.7 * size.width / dpi_u, 12.7 * size.height / dpi_v);
  map.coefficients = Eigen::MatrixX2d::Zero(3, 2);
  map.coefficients.row(0) = half_mm.transpose();
  map.coefficients(1, 0) = half_mm.x();
  map.coefficients(2, 1) = half_mm.y();
  return map;
}

Result<PictureMeasurement> measure_without_target(const cv::Mat& grey, const PictureOptions& options,
                                                  std::optional<double> dpi_u, std::optional<double> dpi_v) {
  if (const auto failure = check_picture_size(grey)) return *failure;
  if (options.scan_dpi) dpi_u = dpi_v = options.scan_dpi;
  if (!dpi_u || !dpi_v)
    return Failure{"no-dpi",
                   "The file does not say its dpi, and without the sheet nothing else tells the size.",
                   "Give the scan's resolution with --scan-dpi, or scan with the printed sheet."};
  PictureMeasurement m;
  m.model = "file-dpi";
  m.px_per_mm_x = *dpi_u / 25.4;
  m.px_per_mm_y = *dpi_v / 25.4;
  const double px_per_mm = std::sqrt(m.px_per_mm_x * m.px_per_mm_y);
  if (px_per_mm < kLeastPxPerMm)
    return Failure{"resolution-too-low", "The picture's resolution is too low to measure the strip.",
                   "Scan at 300 or 600 dpi."};
  m.map = map_of_dpi(grey.size(), *dpi_u, *dpi_v);
  m.blur_px = 1.2;  // a usual scanner's; there is no sheet to learn it from
  m.warnings.push_back({"without-target",
                        "Measured without the printed sheet, so the scanner's own error is in the "
                        "uncertainty. A second scan with "
                        "the strip turned end for end (--reversed) takes it out."});
  StripFitOptions fit;
  fit.uncalibrated = true;
  fit.scale_u = kScannerScaleU;
  fit.ratio_u = kScannerScaleU;
  const cv::Rect region = options.region_px.value_or(cv::Rect({0, 0}, grey.size()));
  StripSearch search;
  search.low_mm = m.map.sheet_from_picture({region.x - 0.5, region.y - 0.5});
  search.high_mm = m.map.sheet_from_picture({region.br().x - 0.5, region.br().y - 0.5});
  search.fence_direction = direction_of(options.fence_end);
  search.only_the_strip = false;
  search.side_margin_mm = 0.5;
  search.end_margin_mm = 0.5;
  search.least_length_mm = 80;
  search.least_aspect = 4;
  search.deadline = options.deadline;
  return measure_calibrated(grey, std::move(m), search, fit, {std::nullopt, options.take});
}

}  // namespace

Result<PictureMeasurement> measure_picture(const cv::Mat& grey, std::optional<double> dpi_u,
                                           std::optional<double> dpi_v, const PictureOptions& options) {
  return options.without_target ? measure_without_target(grey, options, dpi_u, dpi_v)
                                : measure_only_strip(grey, dpi_u, dpi_v, options);
}

}  // namespace tapersight
