#include "pipeline/scan_sides.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "imaging/parallel.h"

namespace tapersight {
namespace {

// A strip's edge over the sheet's own edges: what more than this widens it is another line beside it.
constexpr double kMostBlurRatio = 1.12;
constexpr double kRoughWidens = 1.5;  // times its rms

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

// The path on the line, and what lies close beside it.
void take_line(const ScanView& view, const BorderCandidate& line, ScanSide& side) {
  follow(line, side.path);
  side.beside = find_line_beside(*view.lines, side.path, view.blur_px, kBesideReachBlurs * view.blur_px + 4);
  if (side.beside) side.path.shift(side.beside->edge_px, side.beside->edge_lean_px, side.beside->edge_bow_px);
}

BorderOptions border_options(const ScanView& view) {
  BorderOptions options;
  options.px_per_mm = view.px_per_mm;
  options.target_blur_px = view.blur_px;
  return options;
}

// From a side's outline to the other side's edge, where they are nearest.
double face_beside_px(const ScanSide& side, const ScanSide& other) {
  double least = HUGE_VAL;
  for (const int line : {side.path.first_line(), side.path.last_line()})
    least = std::min(least, (other.path.place(line) - side.outline.place(line)) * side.outline.inward());
  return least;
}

constexpr double kOtherSideMm = 2.5;  // what lies so near to the other edge is that side's business
constexpr double kMostBeyondMm = 5;   // tape and burns further outside belong to no edge

// The ground that lies beside a side from end to end, within the channel.
double ground_beside_mm(const StripOutline& outline, int which, const StripSearch& search) {
  double least = kMostBeyondMm;
  for (const double position : {outline.far_mm, outline.fence_mm}) {
    const Eigen::Vector2d at = outline.on_side(which, position);
    const Eigen::Vector2d outward = (which == 1 ? 1 : -1) * outline.across();
    for (int axis = 0; axis < 2; ++axis) {
      if (std::abs(outward[axis]) < 0.5) continue;
      const double border = outward[axis] > 0 ? search.high_mm[axis] : search.low_mm[axis];
      least = std::min(least, (border - at[axis]) / outward[axis] - search.side_margin_mm);
    }
  }
  return std::max(0.0, least);
}

Result<ScanSide> choose_side(const ScanView& view, const SheetMap& map, const StripOutline& outline,
                             int which) {
  const SidePath path(*view.lines, map, outline, which);
  BorderOptions options = border_options(view);
  options.inward_mm = 0.45 * outline.width_mm();
  Result<BorderCandidate> edge = choose_border(*view.lines, path, options);
  if (!edge) return edge.failure();
  if (view.deadline.passed()) return took_too_long();
  ScanSide side{path, std::move(*edge), {}, path, {}};
  take_line(view, side.edge, side);
  if (face_is_clipped(*view.lines, side.path))
    return Failure{"saturated", "The strip is over-exposed: its face is plain white.",
                   "Turn the scanner's automatic brightness off, or make the picture darker."};
  return side;
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
double doubled_mm(const EdgeTrace& trace, const StripMeasurement& strip, const ScanView& view) {
  const double px_per_mm = view.px_per_mm, sheet_blur_px = std::max(kLeastBlurPx, view.blur_px);
  double widest = 0;
  for (int k = 0; k < 2; ++k) {
    const EdgeFit& edge = strip.edges[k];
    const double blur = trace.blur_px[k];
    // Neighbouring scan lines are fitted together: roughness widens the edge a little.
    const double rough = kRoughWidens * roughness_within(edge, kRoughWithinMm) * px_per_mm;
    const double most = std::hypot(kMostBlurRatio * sheet_blur_px, rough, 0.1);
    if (!(sheet_blur_px > 0) || blur < most) continue;
    widest = std::max(widest, 2 * std::sqrt(blur * blur - sheet_blur_px * sheet_blur_px) / px_per_mm);
    if (-edge.bow_mm > std::max(0.02, 3 * edge.bow_u_mm)) widest = std::max(widest, -3 * edge.bow_mm);
  }
  return widest;
}

constexpr double kBesideToTellMm = 0.003;  // uncertainty over half the strip that is worth a warning

// How the sides are to be traced, and what of that goes into the budget.
TraceOptions plan_trace(const ScanSides& sides, double sheet_blur_px, double px_per_mm,
                        StripFitOptions& fit) {
  TraceOptions trace;
  trace.px_per_mm = px_per_mm;
  double beside_px = 0;
  for (int k = 0; k < 2; ++k) {
    const ScanSide& side = sides[static_cast<std::size_t>(k)];
    trace.blur_px[k] = std::max(kLeastBlurPx, std::min(side.edge.blur_px, 1.5 * sheet_blur_px + 0.5));
    if (!side.beside) continue;
    trace.beside[k] = *side.beside;
    trace.blur_px[k] = sheet_blur_px;
    fit.line_beside[k] = true;
    beside_px = std::hypot(beside_px, side.beside->u_lean_px);
  }
  fit.beside_mm = beside_px / px_per_mm;
  return trace;
}

}  // namespace

Result<ScanSides> choose_sides(const ScanView& view, const SheetMap& map, const StripOutline& outline,
                               const StripSearch& search) {
  std::array<std::optional<Result<ScanSide>>, 2> chosen;
  in_parallel(
      2, [&](int side) { chosen[static_cast<std::size_t>(side)] = choose_side(view, map, outline, side); });
  for (const auto& side : chosen)
    if (!*side) return side->failure();
  ScanSides sides{std::move(**chosen[0]), std::move(**chosen[1])};
  in_parallel(2, [&](int side) {
    const ScanSide& other = sides[static_cast<std::size_t>(1 - side)];
    ScanSide& here = sides[static_cast<std::size_t>(side)];
    BorderOptions options = border_options(view);
    options.outward_mm = ground_beside_mm(outline, side, search);
    options.inward_mm = face_beside_px(here, other) / view.px_per_mm - kOtherSideMm;
    if (options.inward_mm > 0) here.rivals = find_rivals(*view.lines, here.outline, here.edge, options);
  });
  return sides;
}

ScanSide with_line(const ScanView& view, const ScanSide& side, const BorderCandidate& line) {
  ScanSide other{side.outline, line, {}, side.outline, {}};
  take_line(view, line, other);
  return other;
}

Result<TracedSides> trace_sides(const ScanView& view, const ScanSides& sides, const PictureMeasurement& m,
                                StripFitOptions fit) {
  TraceOptions options = plan_trace(sides, view.blur_px, view.px_per_mm, fit);
  options.deadline = view.deadline;
  TracedSides traced;
  traced.trace = trace_edges(*view.lines, sides[0].path, sides[1].path, options);
  if (view.deadline.passed()) return took_too_long();
  Result<StripMeasurement> strip = measure_strip(traced.trace, m.map, m.outline, fit);
  if (!strip) return strip.failure();
  fit.doubled_mm = doubled_mm(traced.trace, *strip, view);
  if (fit.doubled_mm > 0) strip = measure_strip(traced.trace, m.map, m.outline, fit);
  if (!strip) return strip.failure();
  traced.strip = std::move(*strip);
  traced.fit = fit;
  traced.beside_matters = fit.doubled_mm > 0 || fit.beside_mm > kBesideToTellMm;
  return traced;
}

}  // namespace tapersight
