#include "taper/clean_edges.h"

#include <Eigen/Core>
#include <algorithm>
#include <cmath>

#include "numeric/dense.h"

namespace tapersight {
namespace {

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
  curve.c = solve_symmetric(normal, right);
  return curve;
}

}  // namespace

Curve fit_curve(const std::vector<LocalPoint>& points, const Stretch& stretch) {
  return fit_curve(points, stretch, [](const LocalPoint& /*p*/) { return 1.0; });
}

namespace {

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
      if (!p.valid || p.position < low || p.position >= high) continue;
      ++all;
      out += !p.used;
    }
    return all == 0 || out > 0.3 * all;
  };
  for (double moved = 0; moved < most && ragged(far, far + step); moved += step) far += step;
  for (double moved = 0; moved < most && ragged(fence - step, fence); moved += step) fence -= step;
}

}  // namespace

CleanedEdges clean_edges(const EdgeTrace& trace, const SheetMap& map, const StripOutline& outline,
                         const StripFitOptions& options) {
  CleanedEdges c;
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

int places_inside(const CleanedEdges& c, int side) {
  const Stretch& used = c.used[side];
  return static_cast<int>(std::count_if(c.local[side].begin(), c.local[side].end(), [&](const LocalPoint& p) {
    return p.valid ? p.position > used.far && p.position < used.fence : !p.beyond;
  }));
}

namespace {

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

const Failure kNotFound{"edge-not-found", "One long edge of the strip cannot be made out from end to end.",
                        "Put a different tone behind the strip, brush off sawdust, and scan again."};

}  // namespace

Failure edge_too_ragged() {
  return {"edge-too-ragged", "Too much of one long edge is chipped, torn or hidden to measure it.",
          "Cut a clean strip, with a sharp blade and a backing board, and measure that."};
}

std::optional<Failure> unfit(const CleanedEdges& c, const StripFitOptions& options) {
  if (std::min(c.used[0].length(), c.used[1].length()) < 40)
    return Failure{"strip-too-short", "The strip is too short to measure.",
                   "Cut a strip at least 4 in (100 mm) long."};
  for (int k = 0; k < 2; ++k) {
    const int inside = places_inside(c, k);
    // Enough places, and none of the stretch without them for long.
    const auto enough = [&](bool LocalPoint::*such) {
      int count = 0;
      for (const LocalPoint& p : c.local[k]) count += p.*such;
      return count >= std::max(80.0, options.least_part_used * inside) &&
             longest_gap(c.local[k], c.used[k], such) <= 0.25 * c.used[k].length();
    };
    if (!enough(&LocalPoint::valid)) return kNotFound;
    if (!enough(&LocalPoint::used)) return edge_too_ragged();
    const double bow = -1.5 * fit_curve(c.local[k], c.used[k]).c[2];
    if (std::abs(bow) > options.most_bow_mm) return edge_not_straight();
  }
  return std::nullopt;
}

}  // namespace tapersight
