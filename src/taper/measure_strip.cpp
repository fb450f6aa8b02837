#include "taper/measure_strip.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <optional>

#include "numeric/student_t.h"
#include "numeric/trend.h"

namespace tapersight {

bool is_bowed(const EdgeFit& edge) {
  constexpr double kConfidence = 0.997, kLeastMm = 0.01;
  const double limit = t_factor(kConfidence, edge.bow_dof) * edge.bow_u_mm;
  return std::abs(edge.bow_mm) > std::max(limit, kLeastMm);
}

namespace {

struct LocalPoint {
  double position = 0;
  double across = 0;
  bool valid = false;   // the profile fit succeeded
  bool beyond = false;  // or was not asked for
  bool used = false;    // and it belongs to the edge
};

struct Frame {
  Eigen::Vector2d centre, along;
  Eigen::Vector2d across() const { return {along.y(), -along.x()}; }
};

std::vector<LocalPoint> to_frame(const std::vector<EdgePoint>& points, const SheetMap& map,
                                 const Frame& frame) {
  std::vector<LocalPoint> local(points.size());
  for (std::size_t i = 0; i < points.size(); ++i) {
    local[i].beyond = points[i].beyond;
    if (!points[i].valid) continue;
    const Eigen::Vector2d d = map.sheet_from_picture(points[i].picture_px) - frame.centre;
    local[i] = {d.dot(frame.along), d.dot(frame.across()), true, false, true};
  }
  return local;
}

// The used stretch of an edge.
struct Stretch {
  double far = 0, fence = 0;
  double length() const { return fence - far; }
};

struct Curve {
  double middle = 0, half = 1;
  Eigen::Vector3d c = Eigen::Vector3d::Zero();  // level, slope * half, bow term
  double at(double position) const {
    const double x = (position - middle) / half;
    return c[0] + c[1] * x + c[2] * (1.5 * x * x - 0.5);
  }
  double lean() const { return c[1] / half; }
};

template <typename Weight>
Curve fit_curve(const std::vector<LocalPoint>& points, const Stretch& stretch, Weight&& weight) {
  Curve curve;
  curve.middle = (stretch.far + stretch.fence) / 2;
  curve.half = stretch.length() / 2;
  Eigen::Matrix3d normal = 1e-9 * Eigen::Matrix3d::Identity();
  Eigen::Vector3d right = Eigen::Vector3d::Zero();
  for (const LocalPoint& p : points) {
    if (!p.used) continue;
    const double w = weight(p);
    const double x = (p.position - curve.middle) / curve.half;
    const Eigen::Vector3d t(1, x, 1.5 * x * x - 0.5);
    normal += w * t * t.transpose();
    right += w * p.across * t;
  }
  curve.c = normal.ldlt().solve(right);
  return curve;
}

Curve fit_curve(const std::vector<LocalPoint>& points, const Stretch& stretch) {
  return fit_curve(points, stretch, [](const LocalPoint& /*p*/) { return 1.0; });
}

// Least absolute deviations, by least squares reweighted (Huber and Ronchetti, Robust Statistics, 2009,
// 7.8): what is torn off on one side, up to nearly half of the edge, does not pull it.
Curve fit_curve_robustly(const std::vector<LocalPoint>& points, const Stretch& stretch, double least_mm) {
  constexpr int kPasses = 12;
  Curve curve = fit_curve(points, stretch);
  for (int pass = 0; pass < kPasses; ++pass) {
    const Eigen::Vector3d before = curve.c;
    curve = fit_curve(points, stretch, [&](const LocalPoint& p) {
      return 1 / std::max(least_mm, std::abs(p.across - curve.at(p.position)));
    });
    if ((curve.c - before).norm() < least_mm) break;
  }
  return curve;
}

double robust_sigma(std::vector<double> magnitudes) {
  if (magnitudes.empty()) return 0;
  const auto middle = magnitudes.begin() + static_cast<std::ptrdiff_t>(magnitudes.size() / 2);
  std::nth_element(magnitudes.begin(), middle, magnitudes.end());
  return 1.4826 * *middle;
}

// Leaves out what does not belong to the edge: residuals far from line and bow, with their surroundings.
void leave_out_outliers(std::vector<LocalPoint>& points, const Stretch& stretch, const StripFitOptions& o) {
  const auto within = [&](const LocalPoint& p) {
    return p.valid && p.position > stretch.far && p.position < stretch.fence;
  };
  for (LocalPoint& p : points) p.used = within(p);
  double limit = 1e9;
  for (int pass = 0; pass < 12; ++pass) {
    const Curve curve =
        pass == 0 ? fit_curve_robustly(points, stretch, o.least_sigma_mm) : fit_curve(points, stretch);
    std::vector<double> magnitudes;
    for (const LocalPoint& p : points)
      if (within(p)) magnitudes.push_back(std::abs(p.across - curve.at(p.position)));
    const double next = o.reject_sigma * std::max(o.least_sigma_mm, robust_sigma(magnitudes));
    // Tighten step by step.
    const bool last = pass > 2 && std::abs(next - limit) < 0.02 * limit;
    limit = pass == 0 ? 3 * next : next;
    for (LocalPoint& p : points) p.used = within(p) && std::abs(p.across - curve.at(p.position)) <= limit;
    if (last) break;
  }
  std::vector<bool> near(points.size(), false);
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (!points[i].valid || points[i].used) continue;
    for (std::size_t k = i; k-- > 0;) {
      if (points[k].valid && std::abs(points[k].position - points[i].position) > o.spread_mm) break;
      near[k] = true;
    }
    for (std::size_t k = i + 1; k < points.size(); ++k) {
      if (points[k].valid && std::abs(points[k].position - points[i].position) > o.spread_mm) break;
      near[k] = true;
    }
  }
  for (std::size_t i = 0; i < points.size(); ++i)
    if (near[i]) points[i].used = false;
}

// Moves an end inward while its 2 mm are mostly left out: torn or splintered.
void trim_ragged_ends(const std::vector<LocalPoint>& points, Stretch& stretch) {
  double& far = stretch.far;
  double& fence = stretch.fence;
  const double most = 0.12 * stretch.length();
  const double step = 2;
  const auto ragged = [&](double low, double high) {
    int all = 0;
    int out = 0;
    for (const LocalPoint& p : points) {
      if (p.valid && (p.position < low || p.position >= high)) continue;
      if (!p.valid) continue;
      ++all;
      out += !p.used;
    }
    return all == 0 || out > 0.3 * all;
  };
  for (double moved = 0; moved < most && ragged(far, far + step); moved += step) far += step;
  for (double moved = 0; moved < most && ragged(fence - step, fence); moved += step) fence -= step;
}

// Between places that are `such`: valid, or used.
double longest_gap(const std::vector<LocalPoint>& points, const Stretch& stretch, bool LocalPoint::*such) {
  std::vector<double> positions;
  for (const LocalPoint& p : points)
    if (p.*such && p.position > stretch.far && p.position < stretch.fence) positions.push_back(p.position);
  std::sort(positions.begin(), positions.end());
  double gap = 0;
  double last = stretch.far;
  for (const double p : positions) {
    gap = std::max(gap, p - last);
    last = p;
  }
  return std::max(gap, stretch.fence - last);
}

Trend trend_of(std::vector<TrendSample> samples) {
  std::sort(samples.begin(), samples.end(),
            [](const TrendSample& a, const TrendSample& b) { return a.at < b.at; });
  return fit_trend(samples);
}

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

Trend trend_of_edge(const std::vector<LocalPoint>& local) {
  std::vector<TrendSample> samples;
  for (const LocalPoint& p : local)
    if (p.used) samples.push_back({p.position, p.across});
  return trend_of(std::move(samples));
}

// The width's slope as the difference of the edges' own.
void take_apart(const Trend& low, const Trend& high, Trend& width) {
  width.slope = high.slope - low.slope;
  const CombinedUncertainty sum = combine({{low.u_slope, low.dof}, {high.u_slope, high.dof}});
  width.u_slope = sum.u;
  width.dof = sum.dof;
}

struct Cleaned {
  Frame frame;
  std::vector<LocalPoint> local[2];
  Stretch used[2];
  double length() const { return (used[0].length() + used[1].length()) / 2; }
};

Cleaned clean_edges(const EdgeTrace& trace, const SheetMap& map, const StripOutline& outline,
                    const StripFitOptions& options) {
  Cleaned c;
  c.frame = {outline.centre_mm, outline.along};
  // A scan's edges are compared line by line: where one is ragged, both are left out.
  const bool together = map.camera() == nullptr;
  for (int turn = 0; turn < 3; ++turn) {
    double lean = 0;
    for (int k = 0; k < 2; ++k) {
      c.used[k] = {outline.side_far_mm(k) + options.end_margin_mm,
                   outline.side_fence_mm(k) - options.end_margin_mm};
      c.local[k] = to_frame(trace.points[k], map, c.frame);
      leave_out_outliers(c.local[k], c.used[k], options);
    }
    for (int k = 0; k < 2; ++k) {
      if (k == 1 && together) c.used[1] = c.used[0];
      trim_ragged_ends(c.local[k], c.used[k]);
    }
    if (together) c.used[0] = c.used[1];
    for (int k = 0; k < 2; ++k) {
      leave_out_outliers(c.local[k], c.used[k], options);
      lean += fit_curve(c.local[k], c.used[k]).lean() / 2;
    }
    if (std::abs(lean) < 1e-7) break;
    // across = (along.y, -along.x): a positive lean turns `along` by adding lean * across.
    c.frame.along = (c.frame.along + lean * c.frame.across()).normalized();
  }
  return c;
}

// Places that could have been used, had their fits succeeded.
int lines_inside(const Cleaned& c, int side) {
  const Stretch& used = c.used[side];
  return static_cast<int>(std::count_if(c.local[side].begin(), c.local[side].end(), [&](const LocalPoint& p) {
    return p.valid ? p.position > used.far && p.position < used.fence : !p.beyond;
  }));
}

const Failure kNotFound{"edge-not-found", "One long edge of the strip cannot be made out from end to end.",
                        "Give the strip a ground of another tone, brush off sawdust, and scan again."};

const Failure kTooRagged{"edge-too-ragged",
                         "Too much of one long edge is chipped, torn or hidden to measure it.",
                         "Cut a clean strip, with a sharp blade and a backing board, and measure that."};

const Failure kNotStraight{
    "edge-not-straight",
    "A long edge of the strip is not straight, or the strip's side or a shadow runs into it, so that no one "
    "angle describes the cut.",
    "Lay the strip flat and take the picture again; if that does not help, cut a new strip, the board held "
    "still, and check the fence with a straightedge."};

std::optional<Failure> unfit(const Cleaned& c, const StripFitOptions& options) {
  if (std::min(c.used[0].length(), c.used[1].length()) < 40)
    return Failure{"strip-too-short", "The strip is too short to measure.",
                   "Cut a strip at least 4 in (100 mm) long."};
  for (int k = 0; k < 2; ++k) {
    const int inside = lines_inside(c, k);
    // Enough places, and none of the stretch without them for long.
    const auto enough = [&](bool LocalPoint::*such) {
      int count = 0;
      for (const LocalPoint& p : c.local[k]) count += p.*such;
      return count >= std::max(80.0, options.least_part_used * inside) &&
             longest_gap(c.local[k], c.used[k], such) <= 0.25 * c.used[k].length();
    };
    if (!enough(&LocalPoint::valid)) return kNotFound;
    if (!enough(&LocalPoint::used)) return kTooRagged;
    const double bow = -1.5 * fit_curve(c.local[k], c.used[k]).c[2];
    if (std::abs(bow) > options.most_bow_mm) return kNotStraight;
  }
  return std::nullopt;
}

EdgeFit describe_edge(const std::vector<LocalPoint>& local, const Trend& t, const EdgeTrace& trace, int side,
                      const Cleaned& c) {
  EdgeFit edge;
  const double outward = side == 1 ? 1 : -1;
  edge.points_used =
      static_cast<int>(std::count_if(local.begin(), local.end(), [](const LocalPoint& p) { return p.used; }));
  edge.level_mm = t.at(0);
  edge.lean = t.slope;
  edge.roughness_mm = t.rms;
  edge.correlation_mm = t.correlation_mm;
  edge.bow_mm = outward * t.bow();
  edge.bow_u_mm = t.u_bow();
  edge.bow_dof = t.dof;
  for (std::size_t i = 0; i < local.size(); ++i) {
    const LocalPoint& p = local[i];
    if (!p.valid) continue;
    edge.residuals.push_back(
        {p.position, outward * (p.across - t.at(p.position)), p.used, trace.points[side][i].picture_px});
  }
  const int inside = lines_inside(c, side);
  edge.points_left_out = std::max(0, inside - edge.points_used);
  return edge;
}

double correlation_of(const std::vector<LocalPoint>* local, const Cleaned& c) {
  const Curve curve_0 = fit_curve(local[0], c.used[0]);
  const Curve curve_1 = fit_curve(local[1], c.used[1]);
  double s00 = 0, s11 = 0, s01 = 0;
  for (std::size_t i = 0; i < local[0].size(); ++i) {
    if (!local[0][i].used || !local[1][i].used) continue;
    const double r0 = -(local[0][i].across - curve_0.at(local[0][i].position));
    const double r1 = local[1][i].across - curve_1.at(local[1][i].position);
    s00 += r0 * r0;
    s11 += r1 * r1;
    s01 += r0 * r1;
  }
  return s00 > 0 && s11 > 0 ? s01 / std::sqrt(s00 * s11) : 0;
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

// Beyond this (2 thou over 7.5 in) the lines may have been taken for each other altogether: of seven such in
// 1,500 of bench_scan's small scans one was five times as far off, and another by 5 thou.
constexpr double kMostTurned = 2.7e-4;

// A bow that counts: of an edge beside another line, and one so large that only one edge has. A strip that
// has sprung is hollow on one side by as much as it stands out on the other.
double bow_u(const EdgeFit (&edges)[2], const bool (&line_beside)[2], double length_mm) {
  constexpr double kCounts = 2, kCountsAlone = 5;  // standard uncertainties; less is roughness
  constexpr double kAloneMm = 0.05;
  double sum = 0;
  for (int k = 0; k < 2; ++k)
    if (line_beside[k] && std::abs(edges[k].bow_mm) > kCounts * edges[k].bow_u_mm)
      sum = std::hypot(sum, turned_by(edges[k].bow_mm, length_mm));
  const double alone = edges[0].bow_mm + edges[1].bow_mm;
  if (std::abs(alone) > std::max(kAloneMm, kCountsAlone * std::hypot(edges[0].bow_u_mm, edges[1].bow_u_mm)))
    sum = std::max(sum, turned_by(alone, length_mm));
  return sum;
}

}  // namespace

Result<StripMeasurement> measure_strip(const EdgeTrace& trace, const SheetMap& map,
                                       const StripOutline& outline, const StripFitOptions& options) {
  const Cleaned c = clean_edges(trace, map, outline, options);
  if (const auto failure = unfit(c, options)) return *failure;

  std::vector<TrendSample> widths;
  for (std::size_t i = 0; i < c.local[0].size(); ++i)
    if (c.local[0][i].used && c.local[1][i].used)
      widths.push_back({(c.local[0][i].position + c.local[1][i].position) / 2,
                        c.local[1][i].across - c.local[0][i].across});
  if (widths.size() < 80) return kTooRagged;
  Trend width = trend_of(widths);
  // No carriage moves both edges of a photo alike, and its scan lines may meet the strip askew: there each
  // edge is taken by itself, over all its length.
  const Trend edges[2] = {trend_of_edge(c.local[0]), trend_of_edge(c.local[1])};
  if (map.camera() != nullptr) take_apart(edges[0], edges[1], width);

  StripMeasurement m;
  m.centre_mm = c.frame.centre;
  m.along = c.frame.along;
  m.far_mm = outline.far_mm;
  m.fence_mm = outline.fence_mm;
  for (int k = 0; k < 2; ++k) m.edges[k] = describe_edge(c.local[k], edges[k], trace, k, c);
  m.taper = width.slope;
  m.edge_correlation = correlation_of(c.local, c);
  const double noise = std::hypot(noise_u(c.local[0], trace.points[0]), noise_u(c.local[1], trace.points[1]));
  m.budget.push_back({"edges", width.u_slope, width.dof,
                      "roughness of the sawn edges and noise of the picture",
                      std::min(kOfOnePicture * noise * options.pixel_mm, width.u_slope)});
  const double fitted = map_uncertainty(c.local, trace, map, c.frame.across());
  m.budget.push_back({"calibration", fitted, kInfiniteDof, "fit of the printed sheet's fiducials", fitted});
  if (options.uncalibrated) {
    // Half widths of rectangular distributions; the scale across changes with the way along the sensor.
    const double length = c.length();
    const double way = length * std::min(std::abs(m.along.x()), std::abs(m.along.y()));
    const double change =
        options.along_sensor ? kCarriageChange : kResidualChange + kSensorGradientPerMm * way;
    m.budget.push_back({"scanner", width.level * change / length / std::sqrt(3.0), kInfiniteDof,
                        "the scanner's own scale, changing along the strip; a printed sheet would show it", 0,
                        true});
  } else if (options.along_sensor) {
    // Each edge lies on its own few scan lines, so the carriage's unevenness between the fiducials does not
    // cancel: what the fiducials show of it, about two independent places of it under each edge.
    const double u = map.sigma_mm() * std::sqrt(2.0) * std::sqrt(12.0 / 2) / c.length();
    m.budget.push_back(
        {"carriage", u, kInfiniteDof, "the carriage's unevenness; lay the strip along its way", 0, true});
  }
  if (options.beside_mm > 0)
    m.budget.push_back({"line-beside", 2 * options.beside_mm / c.length(), kInfiniteDof,
                        "a side wall or shadow close beside the edge, fitted with it"});
  if (options.doubled_mm > 0)
    m.budget.push_back({"edge-doubled", options.doubled_mm / c.length(), kInfiniteDof,
                        "a narrow side wall or shadow that runs into the edge"});
  const double figure_px = map.camera() != nullptr
                               ? options.figure_px
                               : kFigureShare * std::hypot(trace.figure_px[0], trace.figure_px[1]);
  m.budget.push_back({"figure", figure_px * options.pixel_mm / c.length(), kInfiniteDof,
                      "the wood's figure along the edges; a finer scan shrinks it"});
  const double bow = bow_u(m.edges, options.line_beside, c.length());
  if (bow > kMostTurned) return kNotStraight;
  if (bow > 0)
    m.budget.push_back({"bow", bow, kInfiniteDof,
                        "an edge is not straight: another line beside it may be mixed up with it"});
  m.budget.push_back({"scale", std::abs(m.taper) * options.ratio_u, kInfiniteDof,
                      "scale of the print, across against along"});
  std::vector<UncertaintyPart> parts;
  for (const BudgetRow& row : m.budget) parts.push_back({row.u, row.dof});
  const CombinedUncertainty sum = combine(parts);
  m.u_taper = sum.u;
  m.dof = sum.dof;
  m.fence_end_width_mm = width.at(m.fence_mm);
  m.far_end_width_mm = width.at(m.far_mm);
  const double half = m.length_mm() / 2;
  m.u_width_mm = std::sqrt(width.u_level * width.u_level + half * half * width.u_slope * width.u_slope +
                           m.mean_width_mm() * m.mean_width_mm() * options.scale_u * options.scale_u);
  return m;
}

}  // namespace tapersight
