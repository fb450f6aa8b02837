#include "pipeline/photo.h"

#include <Eigen/Geometry>
#include <Eigen/LU>
#include <Eigen/SVD>
#include <algorithm>
#include <array>
#include <cmath>

#include "base/text.h"
#include "edges/raised_edge.h"
#include "edges/raised_strip.h"
#include "edges/region_view.h"
#include "edges/trace_edges.h"
#include "numeric/descriptive.h"

namespace tapersight {
namespace {

constexpr double kMostBlurMm = 0.3, kBlurAlwaysFinePx = 2.2;
constexpr double kLeastPhotoPxPerMm = 3.5;
constexpr double kLeastForeshortening = 0.72;      // 44 degrees
constexpr double kLeastContrast = 0.03;            // light of paper minus light of ink
constexpr double kLeastSeen = 0.8;                 // of the fiducials
constexpr double kMostClipped = 0.5;               // of what should be paper
constexpr double kMostGlare = 0.03;                // of the channel in plain white
constexpr double kAllSeen = 0.94;                  // of the fiducials, when nothing lies on them
constexpr double kReachPx = 2.5, kReachMm = 0.35;  // how far the outline's sides may be off
constexpr double kMostWider = 1.15;                // an edge's blur over the sheet's
// What the wood's figure forges: this much, and of what the trace expects of it over the whole edge this
// part, for the residuals, which show its slow wandering, count the rest already. Of 458 generated photos,
// smooth and rough, on paper and on the dark channel, the errors over u are then 0.9 to 1.0 rms (0.7 to 0.9
// with all of it).
constexpr double kFigurePx = 0.015, kFigureBeyondResiduals = 0.65;
constexpr double kLeastApart = 1;  // of two lines, in blurs
constexpr double kUnevenly = 0.1;  // how much two lines' tones, one to the other, may change from end to end
constexpr int kLeastPlaces = 200, kMostLines = 24;  // along an edge; scan lines that are taken together
// Left out, fiducials of a sheet that lies within its paper's thickness, printed with what printers do, are
// predicted to 0.025 mm or better (widened generator, seed 91733351); what that forges is a row of the budget
// (u_of_sheet). Beyond this the paper stands up somewhere, a strip on it need not lie still, and taping it
// down costs nothing.
constexpr double kMostLeftOutMm = 0.03;
// A phone's main camera: focal length over half the picture's diagonal (24 to 28 mm on film), from memory.
constexpr double kFocal = 1.2, kFocalU = 0.1;
constexpr double kUsualThicknessMm = 13, kThicknessU = 6;

// The smaller over the larger scale of the picture at the sheet's middle.
double foreshortening(const CameraView& view) {
  const Eigen::JacobiSVD<Eigen::Matrix2d> svd(view.derivative(view.middle_px));
  return svd.singularValues()[1] / svd.singularValues()[0];
}

// Part of the saddles in the picture whose paper is plain white.
double clipped_paper(const cv::Mat& grey, const FoundSheet& sheet, const CameraView& view) {
  int seen = 0, clipped = 0;
  for (const Saddle& saddle : sheet.layout->saddles) {
    const double side = saddle.ink_upper_left ? 1 : -1;
    const Eigen::Vector2d p = view.picture_from_sheet(saddle.at_mm + Eigen::Vector2d(2 * side, -2));
    const int u = static_cast<int>(std::lround(p.x())), v = static_cast<int>(std::lround(p.y()));
    if (u < 0 || v < 0 || u >= grey.cols || v >= grey.rows) continue;
    ++seen;
    clipped += grey.at<uchar>(v, u) >= 252;
  }
  return seen > 0 ? clipped / static_cast<double>(seen) : 0;
}

const Failure kNotFlat{
    "sheet-not-flat", "The printed sheet is not flat.",
    "Tape the sheet to the bench, or weigh its corners down outside the chessboards, and take the photo "
    "again."};

// The taper of the outline's sides, seen in the picture, as a view of the sheet tells it.
double taper_by(const CameraView& view, const std::array<Eigen::Vector2d, 4>& corners_px) {
  Eigen::Vector2d run[2];
  for (int k = 0; k < 2; ++k)
    run[k] = (view.sheet_from_picture(corners_px[2 * static_cast<std::size_t>(k) + 1]) -
              view.sheet_from_picture(corners_px[2 * static_cast<std::size_t>(k)]))
                 .normalized();
  return run[0].x() * run[1].y() - run[0].y() * run[1].x();
}

// What a sheet that is not flat forges (standard uncertainty of the outline's taper), from the views that
// each leave a part of it out.
double u_of_sheet(const SheetMap& map, const StripOutline& outline,
                  const std::vector<CameraView>& without_part) {
  std::array<Eigen::Vector2d, 4> corners_px;
  for (int k = 0; k < 2; ++k) {
    corners_px[2 * static_cast<std::size_t>(k)] = map.picture_from_sheet(outline.on_side(k, outline.far_mm));
    corners_px[2 * static_cast<std::size_t>(k) + 1] =
        map.picture_from_sheet(outline.on_side(k, outline.fence_mm));
  }
  std::vector<double> tapers;
  for (const CameraView& view : without_part) tapers.push_back(taper_by(view, corners_px));
  return jackknife_u(tapers);
}

// Why fiducials are missing.
Failure hidden(const cv::Mat& grey, const FoundSheet& sheet, const CameraView& view) {
  int outside = 0, white = 0, missing = 0;
  for (const Saddle& saddle : sheet.layout->saddles) {
    if (std::any_of(sheet.saddles.begin(), sheet.saddles.end(),
                    [&](const Correspondence& c) { return c.sheet_mm == saddle.at_mm; }))
      continue;
    ++missing;
    const Eigen::Vector2d p = view.picture_from_sheet(saddle.at_mm);
    const int u = static_cast<int>(std::lround(p.x())), v = static_cast<int>(std::lround(p.y()));
    if (u < 4 || v < 4 || u >= grey.cols - 4 || v >= grey.rows - 4)
      ++outside;
    else
      white += grey.at<uchar>(v, u) >= 250;
  }
  if (2 * outside > missing)
    return {"target-cut-off", "Part of the printed sheet is outside the picture.",
            "Step back until both chessboards are whole in the frame, and take the photo again."};
  if (3 * white > missing)
    return {"glare", "A bright reflection hides part of the printed sheet.",
            "Move the lamp, or turn the sheet until the shine is gone, and take the photo again."};
  return {"target-covered", "Part of the printed sheet is hidden by something that lies on it.",
          "Lay the strip within the open channel, clear of the chessboards, and uncover the rest."};
}

// What keeps the strip from being found, if it is to be seen.
Failure why_no_strip(const cv::Mat& grey, const PictureMeasurement& m, const StripSearch& search,
                     const Failure& failure) {
  const RegionView view = view_region(grey, m.map, search.low_mm, search.high_mm);
  const double white = cv::countNonZero(view.code >= 252) / static_cast<double>(view.code.total());
  if (white > kMostGlare)
    return {"glare", "A bright reflection lies on the strip or beside it.",
            "Move the lamp, or turn sheet and strip until the shine is gone, and take the photo again."};
  if (static_cast<double>(m.saddles.size()) < kAllSeen * m.points_printed)
    return {"strip-not-in-channel", "Something lies on the chessboards, and no strip lies in the channel.",
            "Lay the strip along the open channel, clear of the chessboards."};
  return failure;
}

double row_px_per_px(const Eigen::Vector2d& run) {
  return run.norm() / std::max(std::abs(run.x()), std::abs(run.y()));
}

bool clipped_face(const ScanLines& lines, const SidePath& path, double px_per_mm) {
  int clipped = 0, all = 0, worst = 0;
  const int step = std::max(1, (path.last_line() - path.first_line()) / 400);
  // In ten stretches: a reflection may lie on a part only.
  for (int part = 0; part < 10; ++part) {
    clipped = all = 0;
    for (int k = part * 40; k < part * 40 + 40; ++k) {
      const int line = path.first_line() + k * step;
      if (line > path.last_line()) break;
      const int place = static_cast<int>(std::lround(path.place(line) + path.inward() * 1.5 * px_per_mm));
      if (place < 0 || place >= lines.places()) continue;
      ++all;
      clipped += lines.code(line, place) >= 253;
    }
    worst += all > 0 && 2 * clipped > all;
  }
  return worst >= 1;
}

// From the sheet as it is seen (Hartley and Zisserman, section 8.1.1).
CameraPlace place_of(const CameraView& view) {
  Eigen::Matrix3d g = view.homography.inverse();
  g.topRows<2>() /= kFocal;
  g *= 2 / (g.col(0).norm() + g.col(1).norm());
  if (g(2, 2) < 0) g = -g;
  Eigen::Matrix3d rotation;
  rotation << g.col(0).normalized(), g.col(1).normalized(), g.col(0).cross(g.col(1)).normalized();
  const Eigen::Vector3d centre = -rotation.inverse() * g.col(2);
  return {centre.head<2>(), std::abs(centre.z())};
}

// Widths of the strip's face, seen `thickness` above the sheet: the sheet's millimetres times (h - t) / h.
// Where the camera sees a side wall it is not known which of its arrises was traced: half the wall's width in
// view is taken off, give or take. Without thickness a usual one is taken, give or take.
void correct_widths(PictureMeasurement& m, std::optional<double> thickness_mm) {
  const CameraPlace camera = place_of(*m.map.camera());
  const double t = thickness_mm.value_or(kUsualThicknessMm);
  const double t_u = thickness_mm ? 0.1 : kThicknessU;
  StripMeasurement& s = m.strip;
  const double shrink = 1 - t / camera.height_mm;
  const Eigen::Vector2d across(s.along.y(), -s.along.x());
  const double foot = (camera.foot_mm - s.centre_mm).dot(across);
  double wall = 0;
  for (int k = 0; k < 2; ++k) {
    const double out = (k == 1 ? 1 : -1) * (foot - s.edges[k].level_mm);
    wall = std::max(wall, out * t / camera.height_mm);
  }
  const double width = s.mean_width_mm();
  const double u_scale = width * std::hypot(t_u, t * kFocalU / kFocal) / camera.height_mm;
  s.fence_end_width_mm = s.fence_end_width_mm * shrink - wall / 2;
  s.far_end_width_mm = s.far_end_width_mm * shrink - wall / 2;
  s.u_width_mm = std::sqrt(s.u_width_mm * s.u_width_mm + u_scale * u_scale + wall * wall / 12 +
                           std::pow(wall * t_u / t, 2));
}

const Failure kUnclear{
    "edges-unclear",
    "The strip's long edges hardly stand out in this photo. Light against dark counts, colour does not.",
    "Lay light wood on the sheet with the dark channel ('tapersight target --dark-channel'). Light dark wood "
    "from "
    "another side. Go closer, and take the photo again."};

const Failure kFaceClipped{
    "glare", "A bright reflection lies on the strip, or its face is plain white.",
    "Move the lamp, or turn sheet and strip until the shine is gone; make the picture darker."};

// One side of the outline on its edge. `beside_px`: what a line that is too close to be told from the edge
// may turn it by, over half of it.
struct RaisedSide {
  SidePath path;
  RaisedEdge edge;
  double blur_px = 1;  // to trace it with
  double beside_px = 0;
};

std::optional<RaisedSide> choose_side(const ScanLines& lines, const SidePath& path, double px_per_mm,
                                      RaisedEdgeOptions options) {
  RaisedSide side{path, {}};
  auto edge = fit_raised_edge(lines, path, options);
  if (edge && edge->gap_px > 0 && edge->gap_px < kLeastApart * edge->blur_px) {
    // No place can tell two lines as near: an arris hardly in view, or one rough edge.
    side.beside_px = kUnevenly * edge->second_step() / std::abs(edge->step) * edge->gap_px / 2;
    options.second_line = false;
    edge = fit_raised_edge(lines, path, options);
  }
  if (!edge) return std::nullopt;
  side.edge = std::move(*edge);
  side.blur_px = std::clamp(side.edge.blur_px, options.blur_px, kMostWider * options.blur_px);
  if (!(side.edge.gap_px > 0) && side.edge.blur_px > most_sharp_blur_px(options.blur_px, px_per_mm)) {
    // Two equal lines 2 e apart widen the edge by e.
    const double gap = 2 * std::sqrt(std::pow(side.edge.blur_px, 2) - std::pow(options.blur_px, 2));
    side.beside_px = kUnevenly * gap / 2;
  }
  side.path.shift(side.edge.place_px(), side.edge.lean_px);
  return side;
}

Result<StripMeasurement> measure_along(const cv::Mat& grey, PictureMeasurement& m, StripFitOptions fit,
                                       const Deadline& deadline) {
  const Eigen::Vector2d run =
      m.map.picture_from_sheet(m.outline.point(10, 0)) - m.map.picture_from_sheet(m.outline.point(-10, 0));
  const ScanLines lines(grey, std::abs(run.y()) >= std::abs(run.x()));
  fit.pixel_mm = 1 / std::sqrt(m.px_per_mm_x * m.px_per_mm_y);
  fit.sheet_u = u_of_sheet(m.map, m.outline, m.views_without_part);
  fit.sheet_dof = static_cast<double>(m.views_without_part.size()) - 1;
  if (fit.sheet_u > kMostUTaper) return kNotFlat;
  const SidePath paths[2] = {SidePath(lines, m.map, m.outline, 0), SidePath(lines, m.map, m.outline, 1)};
  const auto px_per_mm = [&](double line) {
    return std::abs(paths[1].place(line) - paths[0].place(line)) / m.outline.width_mm();
  };
  TraceOptions trace;
  trace.raised = true;
  trace.px_per_mm = px_per_mm((paths[0].first_line() + paths[0].last_line()) / 2.0);
  RaisedEdgeOptions options;
  options.blur_px = m.blur_px * row_px_per_px(run);
  options.reach_px = std::max(kReachPx, kReachMm * trace.px_per_mm);
  std::vector<SidePath> sides;
  for (int k = 0; k < 2; ++k) {
    options.gap_grows =
        (px_per_mm(paths[k].last_line()) - px_per_mm(paths[k].first_line())) / 2 / trace.px_per_mm;
    auto side = choose_side(lines, paths[k], trace.px_per_mm, options);
    if (deadline.passed()) return took_too_long();
    if (!side) return kUnclear;
    if (clipped_face(lines, side->path, trace.px_per_mm)) return kFaceClipped;
    fit.beside_mm = std::hypot(fit.beside_mm, side->beside_px / trace.px_per_mm);
    trace.scale_grows[k] = options.gap_grows;
    trace.blur_px[k] = side->blur_px;
    trace.ground_slope[k] = side->edge.ground_slope();
    trace.second[k] = side->edge.second_step();
    trace.second_px[k] = side->edge.second_px();
    sides.push_back(std::move(side->path));
  }
  const int count =
      std::min(paths[0].last_line() - paths[0].first_line(), paths[1].last_line() - paths[1].first_line()) +
      1;
  trace.most_lines = std::clamp(count / kLeastPlaces, 1, kMostLines);
  trace.deadline = deadline;
  m.trace = trace_edges(lines, sides[0], sides[1], trace);
  if (deadline.passed()) return took_too_long();
  fit.figure_px = std::hypot(kFigurePx, kFigureBeyondResiduals * std::hypot(m.trace.figure_over_all_px[0],
                                                                            m.trace.figure_over_all_px[1]));
  Result<StripMeasurement> strip = measure_strip(m.trace, m.map, m.outline, fit);
  const bool unclear = strip ? strip->u_taper > kMostUTaper : strip.failure().code == "edge-not-found";
  if (unclear) return kUnclear;
  return strip;
}

}  // namespace

std::optional<Failure> too_small(const FoundSheet& sheet) {
  if (sheet.px_per_mm >= kLeastPhotoPxPerMm) return std::nullopt;
  return Failure{"too-small", "The sheet is too small in the picture.",
                 "Go closer until the sheet fills the frame; do not zoom."};
}

std::optional<Failure> photo_trouble(const cv::Mat& grey, const FoundSheet& sheet, const CameraFit& camera) {
  if (!camera.good)
    return Failure{
        "target-covered", "Too little of the printed sheet can be seen.",
        "Uncover the chessboards on both sides of the channel and get the whole sheet into the picture."};
  const CameraView& view = camera.view;
  if (sheet.contrast < kLeastContrast)
    return Failure{"under-exposed", "The photo is too dark.",
                   "Give the bench more light, or tap on the sheet so "
                   "that the phone exposes for it, and take the photo again."};
  if (clipped_paper(grey, sheet, view) > kMostClipped)
    return Failure{"over-exposed", "The photo is too bright: the paper is plain white.",
                   "Tap on the sheet so that the phone exposes for it, or make the picture darker."};
  if (sheet.blur_px > std::max(kBlurAlwaysFinePx, kMostBlurMm * sheet.px_per_mm))
    return Failure{
        "too-blurred", "The photo is blurred.",
        "Rest the phone on something or hold it with both hands, tap on the sheet to focus, and take "
        "it again."};
  if (auto small = too_small(sheet)) return small;
  if (foreshortening(view) < kLeastForeshortening)
    return Failure{"too-oblique", "The phone was held too far to one side.",
                   "Hold the phone above the strip's middle, looking straight down, and take it again."};
  if (static_cast<double>(sheet.saddles.size()) < kLeastSeen * sheet.saddles_printed)
    return hidden(grey, sheet, view);
  if (camera.left_out_rms_mm > kMostLeftOutMm) return kNotFlat;
  return std::nullopt;
}

Result<PictureMeasurement> measure_photo(const cv::Mat& grey, PictureMeasurement m, const StripSearch& search,
                                         const StripFitOptions& fit, std::optional<double> thickness_mm) {
  Result<StripOutline> outline = find_raised_strip(grey, m.map, search, m.blur_px, place_of(*m.map.camera()));
  if (search.deadline.passed()) return took_too_long();
  if (!outline) return why_no_strip(grey, m, search, outline.failure());
  m.outline = *outline;
  Result<StripMeasurement> strip = measure_along(grey, m, fit, search.deadline);
  if (!strip) return strip.failure();
  m.strip = std::move(*strip);
  correct_widths(m, thickness_mm);
  if (!thickness_mm)
    m.warnings.push_back({"thickness-unknown",
                          "The strip's thickness is not known, so its widths are uncertain. The taper is "
                          "not. Give --thickness if "
                          "you want the widths."});
  return m;
}

}  // namespace tapersight
