#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <optional>

#include "base/text.h"
#include "pipeline/photo.h"
#include "pipeline/stages.h"
#include "target/find_sheet.h"
#include "target/fit_camera.h"
#include "target/fit_plane.h"
#include "target/sheet_sharpening.h"

namespace tapersight {
namespace {

// Printers: each direction within about 0.5 % of true (from memory: engines vary more than their rules),
// taken as a rectangular distribution. A rule on a bar: read to 0.25 mm.
constexpr double kRoot3 = 1.7320508075688772;
constexpr double kPrintScaleU = 0.005 / kRoot3;
constexpr double kRuleReadingMm = 0.25 / kRoot3;
// A print's scales along and across differ by some 0.3 %, and so do a scanner's (standard deviations, from
// memory; no modern study is known). Where both are looked at, half of the difference that is seen is the
// print's, give or take 0.3 % / sqrt(2).
constexpr double kScaleRatioU = 0.003;

// Fiducials left out of the fit are predicted worse than this when the sheet is bent: 0.125 mm on the glass,
// far above what scanners and printers do to a flat sheet.
constexpr double kUsualLeftOutPx = 0.2;  // below, nothing but a scan is thought of
constexpr double kMostLeftOutPx = 1.5;   // at 300 dpi; more at finer resolutions
constexpr double kPerspective = 0.012;   // change of the scale over the sheet: no scanner does that
constexpr double kFlatMm = 0.05;         // left-out error of a sheet that is flat, or nearly

// How much the picture's scale changes over the sheet, as a part of itself.
double perspective_of(const CameraView& view, const SheetLayout& layout) {
  double low = 1e9, high = 0;
  for (const Saddle& saddle : layout.saddles) {
    const double d = std::abs(view.derivative(view.picture_from_sheet(saddle.at_mm)).determinant());
    low = std::min(low, d);
    high = std::max(high, d);
  }
  return std::sqrt(high / low) - 1;
}

struct Calibration {
  PictureKind kind;
  std::optional<CameraFit> camera;  // of a photo
  std::optional<PlaneFit> plane;
};

// Is it one of the resolutions that scanners have? A photo has any.
bool is_scan_resolution(double px_per_mm) {
  constexpr double kTolerance = 0.015;  // scanner's and print's scale
  for (const double dpi : {75, 96, 100, 120, 150, 200, 240, 300, 400, 600, 800, 1200, 1600, 2400, 4800})
    if (std::abs(25.4 * px_per_mm / dpi - 1) < kTolerance) return true;
  return false;
}

// Does a camera's view explain the sheet better than a scanner does? From straight above both do as well, and
// the resolution tells.
bool looks_like_photo(const CameraFit& camera, const FoundSheet& sheet, double scanner_left_out_mm) {
  if (!camera.good) return false;
  if (camera.left_out_rms_mm < 0.7 * scanner_left_out_mm) return true;
  if (camera.left_out_rms_mm > 1.2 * scanner_left_out_mm) return false;
  // A sheet that is not flat may look like a little perspective.
  const bool flat = camera.left_out_rms_mm < kFlatMm;
  if (flat && !is_scan_resolution(sheet.px_per_mm)) return true;
  return perspective_of(camera.view, *sheet.layout) > (flat ? kPerspective : 4 * kPerspective);
}

Result<Calibration> as_photo(const cv::Mat& grey, const FoundSheet& sheet, CameraFit camera) {
  if (const auto trouble = photo_trouble(grey, sheet, camera)) return *trouble;
  return Calibration{PictureKind::kPhoto, std::move(camera), std::nullopt};
}

// A scan's map, or why there is none.
Result<Calibration> as_scan(const FoundSheet& sheet, const Result<PlaneFit>& plane) {
  if (sheet.px_per_mm < kLeastPxPerMm)
    return Failure{"resolution-too-low", "The picture's resolution is too low to measure the strip.",
                   "Scan at 300 or 600 dpi."};
  if (sheet.blur_px > 0.25 * sheet.px_per_mm)
    return Failure{"too-blurred", "The picture is too blurred to measure the strip.",
                   "Press the sheet and the strip flat on clean glass and scan again; for a photo, hold "
                   "still and tap to "
                   "focus."};
  if (!plane) return plane.failure();
  if (plane->left_out_rms_px > kMostLeftOutPx * std::max(1.0, sheet.px_per_mm / 12))
    return Failure{"sheet-distorted", "The printed sheet is not flat on the glass.",
                   "Press the sheet flat under the lid and scan again."};
  return Calibration{PictureKind::kScan, std::nullopt, *plane};
}

// Does the file state the resolution that the sheet shows, as only a scanner can know it?
bool states_its_scale(const FoundSheet& sheet, std::optional<double> dpi) {
  return dpi && std::abs(*dpi / 25.4 / sheet.px_per_mm - 1) < 0.05;
}

// Takes the picture for what it is, or for what the person says.
Result<Calibration> calibrate(const cv::Mat& grey, const FoundSheet& sheet, std::optional<PictureKind> kind,
                              std::optional<double> dpi) {
  const auto camera = [&] { return fit_camera(sheet.saddles, grey.cols, grey.rows); };
  if (kind == PictureKind::kPhoto) return as_photo(grey, sheet, camera());
  const Result<PlaneFit> plane = fit_plane(sheet.saddles);
  if (kind == PictureKind::kScan || states_its_scale(sheet, dpi)) return as_scan(sheet, plane);
  const double fine = std::max(1.0, sheet.px_per_mm / 12);  // limits hold at 300 dpi
  const bool whole = plane.ok() && plane->seen_whole;
  const bool any_scanner =
      whole && plane->left_out_rms_px <= kUsualLeftOutPx * fine && is_scan_resolution(sheet.px_per_mm);
  if (!any_scanner && (whole || sheet.saddles.size() >= 40)) {
    CameraFit fit = camera();
    const double left_out_px = plane.ok() ? plane->left_out_rms_px : kMostLeftOutPx * fine;
    // Of a sheet that is mostly hidden only perspective tells.
    const bool hidden = plane.ok() ? !whole : plane.failure().code == "target-covered";
    if (looks_like_photo(fit, sheet, left_out_px / sheet.px_per_mm) &&
        (!hidden || perspective_of(fit.view, *sheet.layout) > kPerspective))
      return as_photo(grey, sheet, std::move(fit));
  }
  if (sheet.px_per_mm < kLeastPxPerMm && sheet.saddles.size() >= 40 && std::max(grey.cols, grey.rows) >= 3000)
    return as_photo(grey, sheet,
                    camera());  // too coarse for a scan of the whole glass, too large for another
  return as_scan(sheet, plane);
}

void take_camera(const CameraFit& camera, PictureMeasurement& m) {
  m.map = camera.view;
  m.views_without_part = camera.without_part;
  m.model = camera.view.name();
  m.points_used = camera.points_used;
  const Eigen::Matrix2d px_by_mm = camera.view.derivative(camera.view.middle_px).inverse();
  m.px_per_mm_x = px_by_mm.col(0).norm();
  m.px_per_mm_y = px_by_mm.col(1).norm();
  m.residual_rms_px = camera.residual_rms_mm * std::sqrt(m.px_per_mm_x * m.px_per_mm_y);
}

void take_scanner(const PlaneFit& plane, PictureMeasurement& m) {
  m.map = plane.map;
  m.model = plane.map.name();
  m.points_used = plane.points_used;
  m.residual_rms_px = plane.residual_rms_px;
  m.px_per_mm_x = plane.px_per_mm_x;
  m.px_per_mm_y = plane.px_per_mm_y;
}

// Pixels per mm on the sheet over what the file says.
double found_over_stated(const PictureMeasurement& m, double dpi_u, double dpi_v) {
  return 25.4 * std::sqrt(m.px_per_mm_x * m.px_per_mm_y / (dpi_u * dpi_v));
}

// The file's dpi along the sheet's y over that along its x.
double stated_ratio(const PictureMeasurement& m, double dpi_u, double dpi_v) {
  const Eigen::Matrix2d d = m.map.derivative(m.map.centre_px());
  return std::abs(d(0, 0)) > std::abs(d(0, 1)) ? dpi_v / dpi_u : dpi_u / dpi_v;
}

void warn_of_dpi(PictureMeasurement& m, std::optional<double> dpi_u, std::optional<double> dpi_v) {
  if (!dpi_u || !dpi_v) return;
  const double stated = std::sqrt(*dpi_u * *dpi_v);
  const double found = stated * found_over_stated(m, *dpi_u, *dpi_v);
  if (std::abs(found / stated - 1) < 0.01) return;
  m.warnings.push_back(
      {"dpi-disagrees",
       "The file says " + fixed(stated, 0) + " dpi, but the printed sheet shows " + fixed(found, 1) +
           " dpi. Was the sheet printed at actual size? Measure its bars with a rule and give "
           "them with --bar-x and --bar-y. The taper is not affected."});
}

// Puts the map into true millimetres as far as they are known, and says how well they are.
void apply_bars(PictureMeasurement& m, const PictureOptions& options, std::optional<double> dpi_u,
                std::optional<double> dpi_v, StripFitOptions& fit) {
  const SheetLayout& layout = *m.layout;
  const double rule_x = kRuleReadingMm / layout.bar_x.length_mm();
  const double rule_y = kRuleReadingMm / layout.bar_y.length_mm();
  // Without a rule the scanner is the second witness of the print's scale: they agree, or one of them is off
  // by what lies between them.
  const double scale_gap = dpi_u && dpi_v ? found_over_stated(m, *dpi_u, *dpi_v) - 1 : 0;
  const double ratio_gap =
      m.px_per_mm_x / m.px_per_mm_y * (dpi_u && dpi_v ? stated_ratio(m, *dpi_u, *dpi_v) : 1) - 1;
  const double ratio_u =  // a photo's perspective tells nothing of the print
      m.kind == PictureKind::kPhoto ? kScaleRatioU : std::hypot(kScaleRatioU / std::sqrt(2.0), ratio_gap / 2);
  fit.scale_u = options.bar_x_mm ? rule_x : std::max(kPrintScaleU, std::abs(scale_gap) / kRoot3);
  fit.ratio_u = options.bar_x_mm && options.bar_y_mm ? std::hypot(rule_x, rule_y) : ratio_u;
  const double x = options.bar_x_mm ? *options.bar_x_mm / layout.bar_x.length_mm() : 1;
  const double y = options.bar_y_mm ? *options.bar_y_mm / layout.bar_y.length_mm() : 1;
  m.map.stretch(x, y);
  m.px_per_mm_x /= x;
  m.px_per_mm_y /= y;
}

// The channel only as far as the sheet is seen on both sides of it.
void keep_within_sight(const PlaneFit& plane, double true_per_printed, StripSearch& channel) {
  if (plane.seen_whole) return;
  channel.low_mm.y() = std::max(channel.low_mm.y(), plane.seen_low_mm * true_per_printed);
  channel.high_mm.y() = std::min(channel.high_mm.y(), plane.seen_high_mm * true_per_printed);
  channel.sheet_hidden_beyond = true;
}

// The box around the channel in the picture, px.
cv::Rect region_of(const StripSearch& channel, const SheetMap& map) {
  Eigen::Vector2d low = map.picture_from_sheet(channel.low_mm), high = low;
  for (const double x : {channel.low_mm.x(), channel.high_mm.x()})
    for (const double y : {channel.low_mm.y(), channel.high_mm.y()}) {
      low = low.cwiseMin(map.picture_from_sheet({x, y}));
      high = high.cwiseMax(map.picture_from_sheet({x, y}));
    }
  return {cv::Point(cvFloor(low.x()), cvFloor(low.y())), cv::Point(cvCeil(high.x()), cvCeil(high.y()))};
}

// A halo along an edge is no line beside it: what the driver sharpened is taken back before the strip is
// looked at.
void take_back_sharpening(CalibratedPicture& picture) {
  PictureMeasurement& m = picture.m;
  const Sharpening sharpening = sharpening_of(sheet_profile(picture.grey, m.saddles, *m.layout));
  if (!(sharpening.amount > 0)) return;
  const double blur_px = blur_without(sharpening, picture.grey, m.saddles, *m.layout);
  if (!(blur_px > 0)) return;
  picture.grey = without_sharpening(picture.grey, sharpening, region_of(picture.channel, m.map));
  m.blur_px = blur_px;
}

}  // namespace

std::optional<Failure> check_picture_size(const cv::Mat& grey) {
  constexpr int kLeastSidePx = 64;
  if (std::min(grey.cols, grey.rows) >= kLeastSidePx) return std::nullopt;
  return Failure{"picture-too-small",
                 "The picture is only " + std::to_string(grey.cols) + " x " + std::to_string(grey.rows) +
                     " pixels large.",
                 "Scan sheet and strip at 300 or 600 dpi."};
}

Result<CalibratedPicture> calibrate_picture(const cv::Mat& grey, std::optional<double> dpi_u,
                                            std::optional<double> dpi_v, const PictureOptions& options) {
  if (const auto failure = check_picture_size(grey)) return *failure;
  Result<FoundSheet> sheet = find_sheet(grey, options.deadline);
  if (!sheet) return sheet.failure();
  const auto kind = !options.kind && options.by_camera ? PictureKind::kPhoto : options.kind;
  Result<Calibration> calibration = calibrate(grey, *sheet, kind, dpi_u);
  if (!calibration) return calibration.failure();

  CalibratedPicture picture;
  picture.grey = grey;
  PictureMeasurement& m = picture.m;
  m.kind = calibration->kind;
  m.layout = sheet->layout;
  m.points_printed = sheet->saddles_printed;
  m.blur_px = sheet->blur_px;
  m.saddles = std::move(sheet->saddles);
  if (m.kind == PictureKind::kPhoto) {
    take_camera(*calibration->camera, m);
  } else {
    take_scanner(*calibration->plane, m);
    picture.fit.on_sheet_in_scan = true;
    picture.fit.cross_gradient_per_mm = calibration->plane->cross_gradient.per_mm;
    picture.fit.cross_gradient_u = calibration->plane->cross_gradient.u;
    warn_of_dpi(m, dpi_u, dpi_v);
  }
  const Eigen::Vector2d printed_px_per_mm(m.px_per_mm_x, m.px_per_mm_y);
  if (m.kind == PictureKind::kPhoto)
    apply_bars(m, options, std::nullopt, std::nullopt, picture.fit);  // a phone's dpi mean nothing
  else
    apply_bars(m, options, dpi_u, dpi_v, picture.fit);
  const Eigen::Vector2d true_per_printed =
      printed_px_per_mm.cwiseQuotient(Eigen::Vector2d(m.px_per_mm_x, m.px_per_mm_y));

  const RectMm& channel = m.layout->channel;
  picture.channel.low_mm = Eigen::Vector2d(channel.x, channel.y).cwiseProduct(true_per_printed);
  picture.channel.high_mm = Eigen::Vector2d(channel.right(), channel.bottom()).cwiseProduct(true_per_printed);
  if (m.kind == PictureKind::kScan) {
    keep_within_sight(*calibration->plane, true_per_printed.y(), picture.channel);
    take_back_sharpening(picture);
  }
  picture.tags = std::move(sheet->tags);
  picture.told = {options.thickness_mm, options.take};
  return picture;
}

}  // namespace tapersight
