#include "taper/measure_strip.h"

#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <optional>

#include "numeric/student_t.h"
#include "numeric/trend.h"
#include "taper/clean_edges.h"
#include "taper/taper_budget.h"

namespace tapersight {

bool is_bowed(const EdgeFit& edge) {
  constexpr double kConfidence = 0.997, kLeastMm = 0.01;
  const double limit = t_factor(kConfidence, edge.bow_dof) * edge.bow_u_mm;
  return std::abs(edge.bow_mm) > std::max(limit, kLeastMm);
}

namespace {

Trend trend_of(std::vector<TrendSample> samples) {
  std::sort(samples.begin(), samples.end(),
            [](const TrendSample& a, const TrendSample& b) { return a.at < b.at; });
  return fit_trend(samples);
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
  width.slow_share = std::max(low.slow_share, high.slow_share);
  width.length_power = std::min(low.length_power, high.length_power);
}

EdgeFit describe_edge(const Trend& t, const EdgeTrace& trace, int side, const CleanedEdges& edges) {
  const std::vector<LocalPoint>& local = edges.local[side];
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
  edge.bow_dof = t.curve_dof;
  for (std::size_t i = 0; i < local.size(); ++i) {
    const LocalPoint& p = local[i];
    if (!p.valid) continue;
    edge.residuals.push_back(
        {p.position, outward * (p.across - t.at(p.position)), p.used, trace.points[side][i].picture_px});
  }
  const int inside = places_inside(edges, side);
  edge.points_left_out = std::max(0, inside - edge.points_used);
  return edge;
}

double correlation_of(const CleanedEdges& edges) {
  const auto& local = edges.local;
  const Curve curve_0 = fit_curve(local[0], edges.used[0]);
  const Curve curve_1 = fit_curve(local[1], edges.used[1]);
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

// The strip's width where both edges are known; too few such places: nothing.
std::optional<Trend> width_along(const CleanedEdges& edges) {
  constexpr std::size_t kLeastPlaces = 80;
  const auto& [low, high] = edges.local;
  std::vector<TrendSample> widths;
  for (std::size_t i = 0; i < low.size(); ++i)
    if (low[i].used && high[i].used)
      widths.push_back({(low[i].position + high[i].position) / 2, high[i].across - low[i].across});
  if (widths.size() < kLeastPlaces) return std::nullopt;
  return trend_of(std::move(widths));
}

CombinedUncertainty sum_of(const std::vector<BudgetRow>& budget) {
  std::vector<UncertaintyPart> parts;
  parts.reserve(budget.size());
  for (const BudgetRow& row : budget) parts.push_back({row.u, row.dof});
  return combine(parts);
}

void state_widths(const Trend& width, double scale_u, StripMeasurement& m) {
  m.fence_end_width_mm = width.at(m.fence_mm);
  m.far_end_width_mm = width.at(m.far_mm);
  const double half = m.length_mm() / 2;
  m.u_width_mm = std::sqrt(width.u_level * width.u_level + half * half * width.u_slope * width.u_slope +
                           m.mean_width_mm() * m.mean_width_mm() * scale_u * scale_u);
}

}  // namespace

Failure edge_not_straight() {
  return {
      "edge-not-straight",
      "A long edge of the strip is not straight, or the strip's side or a shadow runs into it, so that no "
      "one angle describes the cut.",
      "Lay the strip flat and take the picture again; if that does not help, cut a new strip, the board "
      "held still, and check the fence with a straightedge."};
}

double StripMeasurement::u_of(const std::string& source) const {
  for (const BudgetRow& row : budget)
    if (row.source == source) return row.u;
  return 0;
}

Result<StripMeasurement> measure_strip(const EdgeTrace& trace, const SheetMap& map,
                                       const StripOutline& outline, const StripFitOptions& options) {
  const CleanedEdges edges = clean_edges(trace, map, outline, options);
  if (const auto failure = unfit(edges, options)) return *failure;
  std::optional<Trend> width = width_along(edges);
  if (!width) return edge_too_ragged();
  const Trend trends[2] = {trend_of_edge(edges.local[0]), trend_of_edge(edges.local[1])};
  // No carriage moves both edges of a photo alike, and its scan lines may meet the strip askew: there each
  // edge is taken by itself, over all its length.
  if (map.camera() != nullptr) take_apart(trends[0], trends[1], *width);

  StripMeasurement m;
  m.centre_mm = edges.frame.centre;
  m.along = edges.frame.along;
  m.far_mm = outline.far_mm;
  m.fence_mm = outline.fence_mm;
  for (int k = 0; k < 2; ++k) m.edges[k] = describe_edge(trends[k], trace, k, edges);
  m.edge_correlation = correlation_of(edges);
  m.taper = width->slope;
  m.slow_share = width->slow_share;
  m.length_power = width->length_power;
  m.budget = taper_budget(*width, m.edges, edges, trace, map, options);
  const CombinedUncertainty sum = sum_of(m.budget);
  m.u_taper = sum.u;
  m.dof = sum.dof;
  state_widths(*width, options.scale_u, m);
  return m;
}

}  // namespace tapersight
