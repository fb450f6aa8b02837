#include "pipeline/measure_picture.h"

#include <Eigen/Dense>
#include <array>
#include <cmath>
#include <optional>

#include "base/text.h"
#include "base/units.h"
#include "edges/choose_border.h"
#include "edges/find_strip.h"
#include "edges/line_beside.h"
#include "edges/trace_edges.h"
#include "imaging/parallel.h"
#include "numeric/student_t.h"
#include "pipeline/measure_strips.h"
#include "pipeline/photo.h"
#include "pipeline/stages.h"
#include "target/fit_camera.h"

namespace tapersight {
namespace {

// Printers: each direction within about 0.5 % of true (from memory: engines vary more than their rules),
// taken as a rectangular distribution. A rule on a bar: read to 0.25 mm.
constexpr double kRoot3 = 1.7320508075688772;
constexpr double kPrintScaleU = 0.005 / kRoot3;
// A strip's edge over the sheet's own edges: what more than this widens it is another line beside it.
constexpr double kMostBlurRatio = 1.12;
constexpr double kRoughWidens = 1.5;  // times its rms
constexpr double kRuleReadingMm = 0.25 / kRoot3;
// A print's scales along and across differ by some 0.3 %, and so do a scanner's (standard deviations, from
// memory; no modern study is known). Where both are looked at, half of the difference that is seen is the
// print's, give or take 0.3 % / sqrt(2).
constexpr double kScaleRatioU = 0.003;

// A scanner's own scale: user tests show the sensor's axis up to 2.5 % off on lens scanners, a
// tenth of that on the carriage's; half of it stands for both.
constexpr double kScannerScaleU = 0.012 / kRoot3;

// Fiducials left out of the fit are predicted worse than this when the sheet is bent: 0.125 mm on the glass,
// far above what scanners and printers do to a flat sheet.
constexpr double kUsualLeftOutPx = 0.2;  // below, nothing but a scan is thought of
constexpr double kMostLeftOutPx = 1.5;   // at 300 dpi; more at finer resolutions

struct SideChoice {
  SidePath path;
  BorderChoice border;
  std::optional<FoundLineBeside> beside;
};

// A line further outside than this lies beyond what the edge's fit looks at.
constexpr double kBesideReachBlurs = 8;

bool face_is_clipped(const ScanLines& lines, const SidePath& path) {
  int clipped = 0;
  int all = 0;
  for (int line = path.first_line(); line <= path.last_line(); line += 7) {
    const int place = static_cast<int>(std::lround(path.place(line) + path.inward() * 8));
    if (place < 0 || place >= lines.places()) continue;
    ++all;
    clipped += lines.code(line, place) >= 254;
  }
  return all > 0 && clipped > all / 4;
}

// Puts the side's path on the strip's edge.
Result<SideChoice> choose_side(const ScanLines& lines, const SheetMap& map, const StripOutline& outline,
                               int side, double px_per_mm, double blur_px) {
  SideChoice choice{SidePath(lines, map, outline, side), {}, {}};
  BorderOptions options;
  options.px_per_mm = px_per_mm;
  options.target_blur_px = blur_px;
  options.inward_mm = std::min(6.0, 0.45 * outline.width_mm());
  Result<BorderChoice> border = choose_border(lines, choice.path, options);
  if (!border) return border.failure();
  choice.border = *border;
  choice.path.shift(border->edge.offset_px, border->edge.lean_px);
  if (face_is_clipped(lines, choice.path))
    return Failure{"saturated", "The strip is over-exposed: its face is plain white.",
                   "Turn the scanner's automatic brightness off, or make the picture darker."};
  choice.beside = find_line_beside(lines, choice.path, blur_px, kBesideReachBlurs * blur_px + 4);
  if (choice.beside)
    choice.path.shift(choice.beside->edge_px, choice.beside->edge_lean_px, choice.beside->edge_bow_px);
  return choice;
}

bool lies_upright(const SheetMap& map, const StripOutline& outline) {
  const Eigen::Vector2d in_picture =
      map.picture_from_sheet(outline.point(10, 0)) - map.picture_from_sheet(outline.point(-10, 0));
  return std::abs(in_picture.y()) >= std::abs(in_picture.x());
}

constexpr double kRoughWithinMm = 1;

// Root mean square of the differences of places `apart_mm` from each other, over sqrt 2: what goes on within
// that length, and nothing of a slow change.
double roughness_within(const EdgeFit& edge, double apart_mm) {
  double square = 0;
  int pairs = 0;
  std::size_t other = 0;
  const auto& all = edge.residuals;
  for (const EdgeResidual& r : all) {
    if (!r.used) continue;
    while (other < all.size() &&
           (!all[other].used || std::abs(all[other].position_mm - r.position_mm) < apart_mm))
      ++other;
    if (other == all.size()) break;
    square += std::pow(all[other].residual_mm - r.residual_mm, 2) / 2;
    ++pairs;
  }
  return pairs > 0 ? std::sqrt(square / pairs) : edge.roughness_mm;
}

// A narrow side wall or shadow that runs into the edge was traced together with it: the edge is then wider
// than the optics make it, by e when two equal steps lie 2 e apart, and hollow where the two part. Returns
// how far apart the lines may be, mm; 0 when nothing points to it.
double doubled_mm(const PictureMeasurement& m, const StripMeasurement& strip, double sheet_blur_px,
                  double px_per_mm) {
  double widest = 0;
  for (int k = 0; k < 2; ++k) {
    const EdgeFit& edge = strip.edges[k];
    const double blur = m.trace.blur_px[k];
    // Neighbouring scan lines are fitted together: roughness widens the edge a little.
    const double rough = kRoughWidens * roughness_within(edge, kRoughWithinMm) * px_per_mm;
    const double most = std::hypot(kMostBlurRatio * sheet_blur_px, rough, 0.1);
    if (!(sheet_blur_px > 0) || blur < most) continue;
    widest = std::max(widest, 2 * std::sqrt(blur * blur - sheet_blur_px * sheet_blur_px) / px_per_mm);
    if (-edge.bow_mm > std::max(0.02, 3 * edge.bow_u_mm)) widest = std::max(widest, -3 * edge.bow_mm);
  }
  return widest;
}

constexpr double kMostDoubledMm = 0.1;     // 8 thou either way: a result that helps nobody
constexpr double kBesideToTellMm = 0.003;  // uncertainty over half the strip that is worth a warning

// The stages from the outline on, the same with and without target.
Result<StripMeasurement> measure_along(const cv::Mat& grey, PictureMeasurement& m, double sheet_blur_px,
                                       StripFitOptions fit_options) {
  const bool upright = lies_upright(m.map, m.outline);
  const ScanLines lines(grey, upright);
  fit_options.pixel_mm = 1 / std::sqrt(m.px_per_mm_x * m.px_per_mm_y);
  fit_options.along_sensor = !upright;
  if (!upright)
    m.warnings.push_back(
        {"strip-along-sensor",
         "The strip lies across the scanner's way, where the carriage's unevenness does not cancel: turn "
         "sheet and strip by a quarter turn for a sharper result."});
  const double px_per_mm = std::sqrt(m.px_per_mm_x * m.px_per_mm_y);
  std::array<std::optional<Result<SideChoice>>, 2> sides;
  in_parallel(2, [&](int side) {
    sides[static_cast<std::size_t>(side)] =
        choose_side(lines, m.map, m.outline, side, px_per_mm, sheet_blur_px);
  });
  TraceOptions trace_options;
  double beside_px = 0;
  int k = 0;
  for (const auto& side : sides) {
    if (!*side) return side->failure();
    const SideChoice& choice = **side;
    trace_options.blur_px[k] = std::max(0.4, std::min(choice.border.edge.blur_px, 1.5 * sheet_blur_px + 0.5));
    if (choice.beside) {
      trace_options.beside[k] = *choice.beside;
      fit_options.line_beside[k] = true;
      trace_options.blur_px[k] = sheet_blur_px;
      beside_px = std::hypot(beside_px, choice.beside->u_lean_px);
    }
    ++k;
  }
  trace_options.px_per_mm = px_per_mm;
  m.trace = trace_edges(lines, (*sides[0])->path, (*sides[1])->path, trace_options);
  fit_options.beside_mm = beside_px / px_per_mm;
  Result<StripMeasurement> strip = measure_strip(m.trace, m.map, m.outline, fit_options);
  if (!strip) return strip;
  fit_options.doubled_mm = doubled_mm(m, *strip, sheet_blur_px, px_per_mm);
  if (fit_options.doubled_mm > kMostDoubledMm)
    return Failure{"edge-doubled",
                   "One long edge cannot be told from the strip's side or a shadow that runs into it.",
                   "Press the strip flat on the glass, its clean sawn face down, lay it over the middle of "
                   "the glass and scan again."};
  if (fit_options.doubled_mm > 0) strip = measure_strip(m.trace, m.map, m.outline, fit_options);
  if (fit_options.doubled_mm > 0 || fit_options.beside_mm > kBesideToTellMm)
    m.warnings.push_back(
        {"edge-doubled",
         "The strip's side or a narrow shadow runs into a long edge or lies close beside it,"
         " and the interval is widened for that; press the strip flat on the glass and lay it over the "
         "middle of the glass, or well away from it, for a sharper result."});
  return strip;
}

void warn_of_bow(PictureMeasurement& m) {
  std::string which, how;
  int bowed = 0;
  for (int k = 0; k < 2; ++k) {
    const EdgeFit& edge = m.strip.edges[k];
    if (!is_bowed(edge)) continue;
    which = k == 1 ? "right" : "left";
    how += (bowed++ > 0 ? ", the " : "the ") + which + " one's middle " +
           (edge.bow_mm > 0 ? "stands out" : "is hollow") + " by " + fixed(std::abs(edge.bow_mm), 3) +
           " mm (" + fixed(std::abs(edge.bow_mm) / kMmPerThou, 1) + " thou; u = " + fixed(edge.bow_u_mm, 3) +
           " mm)";
  }
  if (bowed == 0) return;
  m.warnings.push_back(
      {"edge-bowed", (bowed == 2 ? std::string("Neither long edge is straight")
                                 : "The " + which + " long edge is not straight") +
                         " (as on the sheet, fence end down): " + how +
                         "; so one angle does not describe the cut. Check the fence with a straightedge "
                         "and hold the board still."});
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
      {"dpi-disagrees", "The file says " + fixed(stated, 0) + " dpi, but the printed sheet shows " +
                            fixed(found, 1) +
                            " dpi: check with a rule that the sheet was printed at actual size, and "
                            "give the bars with --bar-x and --bar-y; the taper is not affected."});
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

}  // namespace

Result<PictureMeasurement> measure_calibrated(const cv::Mat& grey, PictureMeasurement m,
                                              const StripSearch& search, const StripFitOptions& fit,
                                              std::optional<double> thickness_mm) {
  if (m.kind == PictureKind::kPhoto) {
    Result<PictureMeasurement> photo = measure_photo(grey, std::move(m), search, fit, thickness_mm);
    if (photo) warn_of_bow(*photo);
    return photo;
  }
  Result<StripOutline> outline = find_strip(grey, m.map, search);
  if (!outline) return outline.failure();
  m.outline = *outline;
  Result<StripMeasurement> strip = measure_along(grey, m, m.blur_px, fit);
  if (!strip) return strip.failure();
  m.strip = std::move(*strip);
  warn_of_bow(m);
  return m;
}

namespace {

constexpr double kPerspective = 0.012;  // change of the scale over the sheet: no scanner does that
constexpr double kFlatMm = 0.05;        // left-out error of a sheet that is flat, or nearly

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
  CameraFit camera;  // of a photo
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
  if (!camera.good)
    return Failure{
        "target-covered", "Too little of the printed sheet can be seen.",
        "Uncover the chessboards on both sides of the channel and get the whole sheet into the picture."};
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
  return Calibration{PictureKind::kScan, {}, *plane};
}

// Some pixels wide, no sheet and no strip can be seen, and the filters of the search have nothing to stand
// on.
std::optional<Failure> check_picture_size(const cv::Mat& grey) {
  constexpr int kLeastSidePx = 64;
  if (std::min(grey.cols, grey.rows) >= kLeastSidePx) return std::nullopt;
  return Failure{"picture-too-small",
                 "The picture is only " + std::to_string(grey.cols) + " x " + std::to_string(grey.rows) +
                     " pixels large.",
                 "Scan sheet and strip at 300 or 600 dpi."};
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
  const bool any_scanner =
      plane.ok() && plane->left_out_rms_px <= kUsualLeftOutPx * fine && is_scan_resolution(sheet.px_per_mm);
  if (!any_scanner && (plane.ok() || sheet.saddles.size() >= 40)) {
    CameraFit fit = camera();
    const double left_out_px = plane.ok() ? plane->left_out_rms_px : kMostLeftOutPx * fine;
    // Of a sheet that is mostly hidden only perspective tells.
    const bool hidden = !plane.ok() && plane.failure().code == "target-covered";
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

}  // namespace

Result<CalibratedPicture> calibrate_picture(const cv::Mat& grey, std::optional<double> dpi_u,
                                            std::optional<double> dpi_v, const PictureOptions& options) {
  if (const auto failure = check_picture_size(grey)) return *failure;
  Result<FoundSheet> sheet = find_sheet(grey);
  if (!sheet) return sheet.failure();
  const auto kind = !options.kind && options.by_camera ? PictureKind::kPhoto : options.kind;
  Result<Calibration> calibration = calibrate(grey, *sheet, kind, dpi_u);
  if (!calibration) return calibration.failure();

  CalibratedPicture picture;
  PictureMeasurement& m = picture.m;
  m.kind = calibration->kind;
  m.layout = sheet->layout;
  m.points_printed = sheet->saddles_printed;
  m.blur_px = sheet->blur_px;
  m.saddles = std::move(sheet->saddles);
  if (m.kind == PictureKind::kPhoto) {
    take_camera(calibration->camera, m);
  } else {
    take_scanner(*calibration->plane, m);
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
  picture.tags = std::move(sheet->tags);
  picture.thickness_mm = options.thickness_mm;
  return picture;
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
  m.warnings.push_back(
      {"without-target",
       "Measured by the file's dpi, without the printed sheet: the scanner's own error is in the "
       "uncertainty. A second scan with the strip turned end for end on the same spot, and the mean of "
       "both, would remove it."});
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
  return measure_calibrated(grey, std::move(m), search, fit);
}

}  // namespace

Result<PictureMeasurement> measure_picture(const cv::Mat& grey, std::optional<double> dpi_u,
                                           std::optional<double> dpi_v, const PictureOptions& options) {
  return options.without_target ? measure_without_target(grey, options, dpi_u, dpi_v)
                                : measure_only_strip(grey, dpi_u, dpi_v, options);
}

}  // namespace tapersight
