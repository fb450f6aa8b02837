#include "pipeline/scan.h"

#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "edges/locate_strip.h"
#include "pipeline/judge_rivals.h"
#include "pipeline/scan_sides.h"

namespace tapersight {
namespace {

bool lies_upright(const SheetMap& map, const StripOutline& outline) {
  const Eigen::Vector2d in_picture =
      map.picture_from_sheet(outline.point(10, 0)) - map.picture_from_sheet(outline.point(-10, 0));
  return std::abs(in_picture.y()) >= std::abs(in_picture.x());
}

const Warning kDoubledToTell{"edge-doubled",
                             "The strip's side or a narrow shadow lies close beside a long edge, and the "
                             "interval is widened for that. For a "
                             "sharper result press the strip flat on the middle of the glass."};

const Warning kAlongSensor{"strip-along-sensor",
                           "The strip lies across the scanner's travel, where an uneven carriage shows in "
                           "the taper. For a sharper result turn sheet and strip a quarter turn."};

Warning another_line(int side) {
  return {"another-line", std::string("Another line runs along the strip's ") + side_word(side) +
                              " edge and leans a little otherwise. The interval is widened to hold both."};
}

Warning told_edge(const std::string& letters) {
  return {"told-edge", "Which line is the strip's edge was taken as you said (--take " + letters + ")."};
}

const Failure kDoubled{
    "edge-doubled", "One long edge cannot be told from the strip's side or a shadow that runs into it.",
    "Press the strip flat on the glass, its clean sawn face down, lay it over the middle of "
    "the glass and scan again."};

// A strip whose own lines leave its taper more open than kMostUTaper helps nobody. What makes it so uncertain
// is the reason.
std::optional<Failure> too_uncertain(const StripMeasurement& strip) {
  const double own = std::hypot(strip.u_of("edges"), strip.u_of("bow"));
  const double beside =
      std::hypot(strip.u_of("line-beside"), strip.u_of("edge-doubled"), strip.u_of("rival"));
  const double figure = strip.u_of("figure");
  if (std::hypot(own, beside, figure) <= kMostUTaper) return std::nullopt;
  if (figure > std::max(own, beside)) return edge_not_found();
  return beside > own ? kDoubled : edge_not_straight();
}

constexpr double kSpreadToTell = 1e-5;  // of the taper: 0.1 thou over 12 in, far below what a shop can set

// From the outline on.
Result<StripMeasurement> measure_along(const cv::Mat& grey, PictureMeasurement& m, const StripSearch& search,
                                       StripFitOptions fit, const std::string& take) {
  const bool upright = lies_upright(m.map, m.outline);
  const ScanLines lines(grey, upright);
  const ScanView view{&lines, std::sqrt(m.px_per_mm_x * m.px_per_mm_y), m.blur_px, search.deadline};
  fit.pixel_mm = 1 / view.px_per_mm;
  fit.along_sensor = !upright;
  if (!upright) m.warnings.push_back(kAlongSensor);
  const Result<ScanSides> sides = choose_sides(view, m.map, m.outline, search);
  if (!sides) return sides.failure();
  Result<TracedSides> traced = trace_sides(view, *sides, m, fit);
  if (!traced) return traced.failure();
  if (view.deadline.passed()) return took_too_long();
  const RivalVerdict verdict = judge_rivals(view, *sides, *traced, m, fit);
  if (view.deadline.passed()) return took_too_long();
  const Result<TakenLines> taken = take_lines(*sides, verdict.open, take);
  if (!taken) return taken.failure();
  if (!taken->still_open.empty()) return edge_unclear(view, taken->still_open);
  if (!take.empty()) traced = trace_sides(view, taken->sides, m, fit);
  if (!traced) return traced.failure();
  if (verdict.spread_u > 0) {
    fit = traced->fit;
    fit.rival_u = verdict.spread_u;
    Result<StripMeasurement> with_spread = measure_strip(traced->trace, m.map, m.outline, fit);
    if (!with_spread) return with_spread.failure();
    traced->strip = std::move(*with_spread);
  }
  if (!take.empty()) m.warnings.push_back(told_edge(take));
  if (verdict.spread_u > kSpreadToTell) m.warnings.push_back(another_line(verdict.spread_side));
  if (traced->beside_matters) m.warnings.push_back(kDoubledToTell);
  m.trace = std::move(traced->trace);
  return std::move(traced->strip);
}

}  // namespace

Result<PictureMeasurement> measure_scan(const cv::Mat& grey, PictureMeasurement m, const StripSearch& search,
                                        const StripFitOptions& fit, const std::string& take) {
  const Result<StripOutline> outline = locate_strip(grey, m.map, search, m.blur_px);
  if (!outline) return outline.failure();
  if (search.deadline.passed()) return took_too_long();
  m.outline = *outline;
  Result<StripMeasurement> strip = measure_along(grey, m, search, fit, take);
  if (!strip) return strip.failure();
  if (const auto trouble = too_uncertain(*strip)) return *trouble;
  m.strip = std::move(*strip);
  return m;
}

}  // namespace tapersight
