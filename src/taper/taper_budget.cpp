#include "taper/taper_budget.h"

#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <complex>

#include "numeric/student_t.h"
#include "taper/even_bow.h"

namespace tapersight {
namespace {

// Standard uncertainty of the taper from the map's parameters: the taper is a weighted sum of the points'
// places across, with the weights of a least-squares slope.
double map_uncertainty(const std::vector<LocalPoint>* local, const EdgeTrace& trace, const SheetMap& map,
                       const Eigen::Vector2d& across) {
  const std::size_t n = local[0].size();
  const std::size_t step = std::max<std::size_t>(1, n / 200);
  std::vector<std::size_t> chosen;
  std::vector<double> position;
  double mean = 0;
  for (std::size_t i = 0; i < n; i += step) {
    if (!local[0][i].used || !local[1][i].used) continue;
    chosen.push_back(i);
    position.push_back((local[0][i].position + local[1][i].position) / 2);
    mean += position.back();
  }
  mean /= static_cast<double>(std::max<std::size_t>(1, chosen.size()));
  double spread = 0;
  for (const double p : position) spread += (p - mean) * (p - mean);
  if (!(spread > 0)) return 0;
  std::vector<Eigen::Vector2d> pictures;
  std::vector<double> weights;
  for (std::size_t k = 0; k < chosen.size(); ++k)
    for (const int side : {0, 1}) {
      pictures.push_back(trace.points[side][chosen[k]].picture_px);
      weights.push_back((side == 1 ? 1 : -1) * (position[k] - mean) / spread);
    }
  return map.uncertainty_of(pictures, weights, across);
}

// Standard uncertainty of an edge's direction (px across per mm along) that the noise of its places alone,
// told by the fitted profiles, would make.
double noise_u(const std::vector<LocalPoint>& local, const std::vector<EdgePoint>& points) {
  double n = 0, sum = 0;
  for (const LocalPoint& p : local) {
    if (!p.used) continue;
    ++n;
    sum += p.position;
  }
  const double middle = sum / n;
  double spread = 0, noise = 0;
  for (std::size_t i = 0; i < local.size(); ++i) {
    if (!local[i].used) continue;
    const double square = (local[i].position - middle) * (local[i].position - middle);
    spread += square;
    noise += square * points[i].sigma_px * points[i].sigma_px;
  }
  return std::sqrt(noise) / spread;
}

// Scans of one strip, laid anew each time, scatter about twice as much as that: edges and figure meet the
// pixels elsewhere (mean Birge ratio of 40 smooth and 38 rough strips, four small scans of bench_scan's kind
// of each: 2.2 and 1.9).
constexpr double kOfOnePicture = 2;

// A sawn bow is even and hardly turns the fitted line. Another may be where two lines were taken for each
// other: then the line's direction can be anything that the edge has along the strip, from -4 bow / length to
// +4 bow / length about the one reported (a rectangular distribution).
double turned_by(double bow_mm, double length_mm) {
  return 4 * std::abs(bow_mm) / length_mm / std::sqrt(3.0);
}

// An even curve is a sawn edge's own; two lines taken for each other meet in a kink. Only where they run into
// each other within an edge's blur do they make an even curve too, and no larger one than that.
bool is_even_bow(const EdgeFit& edge, const std::vector<LocalPoint>& local, const Stretch& used,
                 double blur_mm) {
  const double kClear = std::log(1000.0);  // the odds at which the evidence decides
  return std::abs(edge.bow_mm) > blur_mm && log_odds_of_even_bow(local, used) > kClear;
}

// A bow that counts: of an edge beside another line, and one so large that only one edge has, unless it is
// seen to be even. A strip that has sprung is hollow on one side by as much as it stands out on the other.
double bow_u(const EdgeFit (&edges)[2], const CleanedEdges& cleaned, const EdgeTrace& trace,
             const StripFitOptions& options) {
  constexpr double kCounts = 2, kCountsAlone = 5;  // standard uncertainties; less is roughness
  constexpr double kAloneMm = 0.05;
  const double length_mm = cleaned.length();
  double sum = 0, alone = 0;
  for (int k = 0; k < 2; ++k) {
    const bool even =
        is_even_bow(edges[k], cleaned.local[k], cleaned.used[k], trace.blur_px[k] * options.pixel_mm);
    if (!even) alone += edges[k].bow_mm;
    if (!even && options.line_beside[k] && std::abs(edges[k].bow_mm) > kCounts * edges[k].bow_u_mm)
      sum = std::hypot(sum, turned_by(edges[k].bow_mm, length_mm));
  }
  if (std::abs(alone) > std::max(kAloneMm, kCountsAlone * std::hypot(edges[0].bow_u_mm, edges[1].bow_u_mm)))
    sum = std::max(sum, turned_by(alone, length_mm));
  return sum;
}

BudgetRow edges_row(const Trend& width, const CleanedEdges& edges, const EdgeTrace& trace, double pixel_mm) {
  const double noise =
      std::hypot(noise_u(edges.local[0], trace.points[0]), noise_u(edges.local[1], trace.points[1]));
  return {"edges", width.u_slope, width.dof, "roughness of the sawn edges and noise of the picture",
          std::min(kOfOnePicture * noise * pixel_mm, width.u_slope)};
}

BudgetRow calibration_row(const CleanedEdges& edges, const EdgeTrace& trace, const SheetMap& map) {
  const double fitted = map_uncertainty(edges.local, trace, map, edges.frame.across());
  return {"calibration", fitted, kInfiniteDof, "fit of the printed sheet's fiducials", fitted};
}

// Half widths of rectangular distributions; the scale across changes with the way along the sensor.
BudgetRow scanner_row(const Trend& width, const CleanedEdges& edges, bool along_sensor) {
  const double length = edges.length();
  const Eigen::Vector2d& along = edges.frame.along;
  const double way = length * std::min(std::abs(along.x()), std::abs(along.y()));
  const double change = along_sensor ? kCarriageChange : kResidualChange + kSensorGradientPerMm * way;
  return {"scanner",
          width.level * change / length / std::sqrt(3.0),
          kInfiniteDof,
          "the scanner's own scale, changing along the strip; a printed sheet would show it",
          0,
          true};
}

// Scanner and print may both have a scale across that changes along the sheet. The sheet shows the difference
// d of the two, the strip has the scanner's alone. With both of the same unknown size s, half of d is the
// scanner's, give or take s / sqrt(2); s is learned from the usual one and from d, an observation of sqrt(2)
// s. Nothing is taken off: which of the two it is, only the strip turned end for end tells.
BudgetRow gradient_row(const Trend& width, const StripFitOptions& options) {
  const double seen = std::hypot(options.cross_gradient_per_mm, options.cross_gradient_u);
  const double dof = kUsualGradientDof + 1;
  const double size_square =
      (kUsualGradientDof * kUsualGradientPerMm * kUsualGradientPerMm + seen * seen / 2) / dof;
  const double u = std::sqrt(seen * seen / 4 + size_square / 2);
  return {"scale-gradient",
          width.level * u,
          dof,
          "a scale across that changes along the sheet, the scanner's or the print's",
          0,
          true};
}

// An end of the strip that does not lie on the glass is seen narrower by a scanner with a lens, and nothing
// in the picture tells. Relative change of the width from end to end, as a standard deviation with the doubt
// of four degrees of freedom: 0.1 mm off the glass under a lens 300 mm away are 3e-4, a contact sensor sees
// none; 1.5e-4 for a scanner of either kind. Assumed; a larger splinter forges more than is stated.
BudgetRow lift_row(const Trend& width, const CleanedEdges& edges) {
  constexpr double kLiftChange = 1.5e-4, kLiftDof = 4;
  return {"lift", width.level * kLiftChange / edges.length(), kLiftDof,
          "an end of the strip that may not lie on the glass"};
}

// How far the places of one edge, turned by their phase within a pixel, add up to a lean: 0 where the edge
// crosses many columns of pixels, 2 pi times the columns over the length where it crosses less than one.
double lean_of_phase(const std::vector<LocalPoint>& local, const std::vector<EdgePoint>& points,
                     bool along_sensor) {
  double n = 0, sum = 0, spread = 0;
  for (const LocalPoint& p : local)
    if (p.used) n += 1, sum += p.position;
  std::complex<double> lean = 0;
  for (std::size_t i = 0; i < local.size(); ++i) {
    if (!local[i].used) continue;
    const double lever = local[i].position - sum / n;
    const double across_px = along_sensor ? points[i].picture_px.y() : points[i].picture_px.x();
    lean += lever * std::polar(1.0, 2 * M_PI * across_px);
    spread += lever * lever;
  }
  return std::abs(lean) / spread;
}

// An edge's blur is not quite the Gaussian of the fit, and what is missed depends on where in a pixel the
// edge lies. It shows in no residual while an edge keeps to one column. The size, in pixels, is that of
// generated scans (bench_coverage, along-columns and sharp-columns, seed 5823471190234417: 0.01 without
// sharpening, 0.015 with an amount of 0.3 to 1.2); stronger sharpening and other curves may make several
// times as much.
BudgetRow phase_row(const CleanedEdges& edges, const EdgeTrace& trace, const StripFitOptions& options) {
  constexpr double kPhasePx = 0.015;
  const double u = kPhasePx * options.pixel_mm *
                   std::hypot(lean_of_phase(edges.local[0], trace.points[0], options.along_sensor),
                              lean_of_phase(edges.local[1], trace.points[1], options.along_sensor));
  return {"phase", u, kInfiniteDof, "edges that lie along the pixels' columns; lay the strip slightly aslant",
          u};
}

// Each edge lies on its own few scan lines, so the carriage's unevenness between the fiducials does not
// cancel: what the fiducials show of it, about two independent places of it under each edge.
BudgetRow carriage_row(const CleanedEdges& edges, const SheetMap& map) {
  const double u = map.sigma_mm() * std::sqrt(2.0) * std::sqrt(12.0 / 2) / edges.length();
  return {
      "carriage", u,   kInfiniteDof, "unevenness of the scanner's carriage; lay the strip along its travel",
      0,          true};
}

BudgetRow figure_row(const CleanedEdges& edges, const EdgeTrace& trace, const SheetMap& map,
                     const StripFitOptions& options) {
  const double figure_px = map.camera() != nullptr
                               ? options.figure_px
                               : kFigureShare * std::hypot(trace.figure_px[0], trace.figure_px[1]);
  return {"figure", figure_px * options.pixel_mm / edges.length(), kInfiniteDof,
          "the wood's figure along the edges; a finer scan shrinks it"};
}

}  // namespace

std::vector<BudgetRow> taper_budget(const Trend& width, const EdgeFit (&fits)[2], const CleanedEdges& edges,
                                    const EdgeTrace& trace, const SheetMap& map,
                                    const StripFitOptions& options) {
  const double length = edges.length();
  std::vector<BudgetRow> rows;
  rows.push_back(edges_row(width, edges, trace, options.pixel_mm));
  rows.push_back(calibration_row(edges, trace, map));
  if (options.uncalibrated)
    rows.push_back(scanner_row(width, edges, options.along_sensor));
  else if (options.along_sensor)
    rows.push_back(carriage_row(edges, map));
  if (options.on_sheet_in_scan) rows.push_back(gradient_row(width, options));
  if (options.on_sheet_in_scan || options.uncalibrated) {
    rows.push_back(lift_row(width, edges));
    rows.push_back(phase_row(edges, trace, options));
  }
  if (options.beside_mm > 0)
    rows.push_back({"line-beside", 2 * options.beside_mm / length, kInfiniteDof,
                    "a side wall or shadow close beside the edge, fitted with it"});
  if (options.doubled_mm > 0)
    rows.push_back({"edge-doubled", options.doubled_mm / length, kInfiniteDof,
                    "a narrow side wall or shadow that runs into the edge"});
  if (options.sheet_u > 0)
    rows.push_back({"sheet", options.sheet_u, options.sheet_dof,
                    "a sheet that is not quite flat, or not printed quite evenly"});
  if (options.rival_u > 0)
    rows.push_back(
        {"rival", options.rival_u, kInfiniteDof, "another line along the strip that could be its edge"});
  rows.push_back(figure_row(edges, trace, map, options));
  const double bow = bow_u(fits, edges, trace, options);
  if (bow > 0)
    rows.push_back({"bow", bow, kInfiniteDof,
                    "an edge is not straight: another line beside it may be mixed up with it"});
  rows.push_back({"scale", std::abs(width.slope) * options.ratio_u, kInfiniteDof,
                  "scale of the print, across against along"});
  return rows;
}

}  // namespace tapersight
