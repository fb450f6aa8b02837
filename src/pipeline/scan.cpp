#include "pipeline/scan.h"

#include <Eigen/Core>
#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <utility>

#include "edges/choose_border.h"
#include "edges/find_strip.h"
#include "edges/line_beside.h"
#include "edges/trace_edges.h"
#include "imaging/parallel.h"

namespace tapersight {
namespace {

// A strip's edge over the sheet's own edges: what more than this widens it is another line beside it.
constexpr double kMostBlurRatio = 1.12;
constexpr double kRoughWidens = 1.5;  // times its rms

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

// Further from straight than this an edge is followed where it goes; the places' fits look a few pixels to
// both sides.
constexpr double kStraightPx = 0.5;

void follow(const BorderCandidate& edge, SidePath& path) {
  if (edge.straight_px > kStraightPx)
    path.follow(edge.curve_px);
  else
    path.shift(edge.offset_px, edge.lean_px);
}

// Puts the side's path on the strip's edge.
Result<SideChoice> choose_side(const ScanLines& lines, const SheetMap& map, const StripOutline& outline,
                               int side, double px_per_mm, double blur_px, const Deadline& deadline) {
  SideChoice choice{SidePath(lines, map, outline, side), {}, {}};
  BorderOptions options;
  options.px_per_mm = px_per_mm;
  options.target_blur_px = blur_px;
  options.inward_mm = std::min(6.0, 0.45 * outline.width_mm());
  Result<BorderChoice> border = choose_border(lines, choice.path, options);
  if (!border) return border.failure();
  if (deadline.passed()) return took_too_long();
  choice.border = *border;
  follow(border->edge, choice.path);
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
double doubled_mm(const PictureMeasurement& m, const StripMeasurement& strip, double px_per_mm) {
  const double sheet_blur_px = std::max(kLeastBlurPx, m.blur_px);
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

using Sides = std::array<SideChoice, 2>;

Result<Sides> choose_sides(const ScanLines& lines, const PictureMeasurement& m, double px_per_mm,
                           const Deadline& deadline) {
  std::array<std::optional<Result<SideChoice>>, 2> chosen;
  in_parallel(2, [&](int side) {
    chosen[static_cast<std::size_t>(side)] =
        choose_side(lines, m.map, m.outline, side, px_per_mm, m.blur_px, deadline);
  });
  for (const auto& side : chosen)
    if (!*side) return side->failure();
  return Sides{std::move(**chosen[0]), std::move(**chosen[1])};
}

// How the sides are to be traced, and what of that goes into the budget.
TraceOptions plan_trace(const Sides& sides, double sheet_blur_px, double px_per_mm, StripFitOptions& fit) {
  TraceOptions trace;
  trace.px_per_mm = px_per_mm;
  double beside_px = 0;
  for (int k = 0; k < 2; ++k) {
    const SideChoice& side = sides[static_cast<std::size_t>(k)];
    trace.blur_px[k] = std::max(kLeastBlurPx, std::min(side.border.edge.blur_px, 1.5 * sheet_blur_px + 0.5));
    if (!side.beside) continue;
    trace.beside[k] = *side.beside;
    trace.blur_px[k] = sheet_blur_px;
    fit.line_beside[k] = true;
    beside_px = std::hypot(beside_px, side.beside->u_lean_px);
  }
  fit.beside_mm = beside_px / px_per_mm;
  return trace;
}

const Failure kDoubled{
    "edge-doubled", "One long edge cannot be told from the strip's side or a shadow that runs into it.",
    "Press the strip flat on the glass, its clean sawn face down, lay it over the middle of "
    "the glass and scan again."};

const Warning kDoubledToTell{"edge-doubled",
                             "The strip's side or a narrow shadow lies close beside a long edge, and the "
                             "interval is widened for that. For a "
                             "sharper result press the strip flat on the middle of the glass."};

const Warning kAlongSensor{
    "strip-along-sensor",
    "The strip lies across the scanner's way, where the carriage's unevenness does not "
    "cancel. For a sharper result turn sheet and strip by a quarter turn."};

// From the outline on.
Result<StripMeasurement> measure_along(const cv::Mat& grey, PictureMeasurement& m, StripFitOptions fit,
                                       const Deadline& deadline) {
  const bool upright = lies_upright(m.map, m.outline);
  const ScanLines lines(grey, upright);
  const double px_per_mm = std::sqrt(m.px_per_mm_x * m.px_per_mm_y);
  fit.pixel_mm = 1 / px_per_mm;
  fit.along_sensor = !upright;
  if (!upright) m.warnings.push_back(kAlongSensor);
  const Result<Sides> sides = choose_sides(lines, m, px_per_mm, deadline);
  if (!sides) return sides.failure();
  TraceOptions trace = plan_trace(*sides, m.blur_px, px_per_mm, fit);
  trace.deadline = deadline;
  m.trace = trace_edges(lines, (*sides)[0].path, (*sides)[1].path, trace);
  if (deadline.passed()) return took_too_long();
  Result<StripMeasurement> strip = measure_strip(m.trace, m.map, m.outline, fit);
  if (!strip) return strip;
  fit.doubled_mm = doubled_mm(m, *strip, px_per_mm);
  if (fit.doubled_mm > kMostDoubledMm) return kDoubled;
  if (fit.doubled_mm > 0) strip = measure_strip(m.trace, m.map, m.outline, fit);
  if (fit.doubled_mm > 0 || fit.beside_mm > kBesideToTellMm) m.warnings.push_back(kDoubledToTell);
  return strip;
}

}  // namespace

Result<PictureMeasurement> measure_scan(const cv::Mat& grey, PictureMeasurement m, const StripSearch& search,
                                        const StripFitOptions& fit) {
  Result<StripOutline> outline = find_strip(grey, m.map, search);
  if (!outline) return outline.failure();
  if (search.deadline.passed()) return took_too_long();
  m.outline = *outline;
  Result<StripMeasurement> strip = measure_along(grey, m, fit, search.deadline);
  if (!strip) return strip.failure();
  m.strip = std::move(*strip);
  return m;
}

}  // namespace tapersight
