#include "edges/raised_edge.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>

#include "edges/damped_fit.h"
#include "edges/side_profiles.h"
#include "imaging/blurred_step.h"
#include "numeric/dense.h"
#include "numeric/descriptive.h"

namespace tapersight {
namespace {

constexpr int kMostSegments = 48, kLeastSegments = 12, kLeastLines = 10;
constexpr double kTail = 3.2, kTailPx = 1.5;
constexpr double kClearlyBetter = 0.6, kBetter = 0.85;
constexpr double kLeastGapBlurs = 1;  // two lines that are closer are one

std::vector<ProfileSegment> profiles_of(const ScanLines& lines, const SidePath& path, double reach,
                                        int most) {
  const int segments = std::clamp(lines_between_torn_ends(path) / kLeastLines, kLeastSegments, most);
  return side_profiles(lines, path, segments, reach, reach);
}

// A line's step and ramp at xi px inward of it, and their derivatives.
struct LineShape {
  double step, ramp, step_slope, step_by_blur, ramp_by_blur;
};

LineShape shape_at(double xi, double blur) {
  const BlurredStep::Exact e = BlurredStep::exact(xi, blur);
  return {e.value, xi * e.value + (blur * blur + 1.0 / 12) * e.slope, e.slope, e.by_blur, blur * e.slope};
}

// Levels of one segment or one line: ground, ground_slope, step, face_slope and, of two lines, inner_step.
using Levels = Eigen::Matrix<double, 5, 1>;
using LevelRow = Eigen::Matrix<double, 1, 5>;

struct Light {
  LevelRow by_level;
  double by_place, by_blur, by_gap;
};

// A sample's place and the shapes of both lines there; without a second line `inner` is the same.
struct SampleShape {
  double xi;
  bool two;
  LineShape outer, inner;
  LevelRow by_level() const {
    return (LevelRow() << 1, xi - outer.ramp, outer.step, inner.ramp, two ? inner.step : 0).finished();
  }
};

SampleShape sample_shape(double xi, double gap, double blur) {
  const LineShape outer = shape_at(xi, blur);
  return {xi, gap > 0, outer, gap > 0 ? shape_at(xi - gap, blur) : outer};
}

Light light_at(const SampleShape& shape, const Levels& l) {
  const LineShape& outer = shape.outer;
  const LineShape& inner = shape.inner;
  Light light;
  light.by_level = shape.by_level();
  light.by_place = -(l[1] * (1 - outer.step) + l[2] * outer.step_slope + l[3] * inner.step);
  light.by_blur = -l[1] * outer.ramp_by_blur + l[2] * outer.step_by_blur + l[3] * inner.ramp_by_blur;
  light.by_gap = 0;
  if (shape.two) {
    light.by_place -= l[4] * inner.step_slope;
    light.by_blur += l[4] * inner.step_by_blur;
    light.by_gap = -(l[3] * inner.step + l[4] * inner.step_slope);
  }
  return light;
}

enum { kOffset, kLean, kBlur, kGap, kParameters };
using Parameters = Eigen::Matrix<double, kParameters, 1>;
using Normal = Eigen::Matrix<double, kParameters, kParameters>;

struct Problem {
  const std::vector<ProfileSegment>* segments;
  double gap_grows;
  bool two;
  double least_x, most_x;  // the same samples for every fit that is compared
};

struct SegmentFit {
  Levels levels = Levels::Zero();
  double place_information = 0;  // of the place alone, levels free, over the noise's variance
  double place_px = 0;           // its own place, from the line's
  bool used = false;
};

struct Linearised {
  Normal normal = Normal::Zero();
  Parameters right = Parameters::Zero();
  double cost = 0, weight = 0;
  std::vector<SegmentFit> segments;
};

// A sample of a segment, seen from the line where it is thought to be.
struct SeenSample {
  SampleShape shape;
  LevelRow by_level;
  double light, weight;
};

using LevelMatrix = Eigen::Matrix<double, 5, 5>;
using Cross = Eigen::Matrix<double, 5, kParameters>;

// What the parameters do to the light, as they would if the levels followed them: by' = by - rows C with
// C = (rows' W rows + prior)^-1 rows' W by, in sums of the samples alone.
void add_segment(const std::vector<SeenSample>& samples, bool two, double along, double grown,
                 Linearised& out) {
  LevelMatrix rows_rows = LevelMatrix::Zero();
  Levels rows_light = Levels::Zero();
  double weight = 0;
  for (const SeenSample& s : samples) {
    rows_rows.noalias() += s.weight * s.by_level.transpose() * s.by_level;
    rows_light += s.weight * s.light * s.by_level.transpose();
    weight += s.weight;
  }
  LevelMatrix normal = rows_rows;
  normal.diagonal() += 1e-4 * weight / static_cast<double>(samples.size()) * Levels(0, 1, 1e-3, 1, 1e-3);
  if (!two) normal(4, 4) = 1;
  const Eigen::LDLT<LevelMatrix> solver(normal);
  SegmentFit fit;
  fit.levels = solver.solve(rows_light);
  if (!two) fit.levels[4] = 0;
  Normal by_by = Normal::Zero();
  Cross rows_by = Cross::Zero();
  Parameters by_r = Parameters::Zero();
  Levels rows_r = Levels::Zero();
  double cost = 0;
  for (const SeenSample& s : samples) {
    const Light light = light_at(s.shape, fit.levels);
    const Parameters by(light.by_place, light.by_place * along, light.by_blur, light.by_gap * grown);
    const double r = s.light - s.by_level * fit.levels;
    by_by.noalias() += s.weight * by * by.transpose();
    rows_by.noalias() += s.weight * s.by_level.transpose() * by.transpose();
    by_r += s.weight * r * by;
    rows_r += s.weight * r * s.by_level.transpose();
    cost += s.weight * r * r;
  }
  const Cross follow = solver.solve(rows_by);
  const Normal taken = follow.transpose() * rows_by;
  by_by += follow.transpose() * rows_rows * follow - taken - taken.transpose();
  by_r -= follow.transpose() * rows_r;
  out.normal += by_by;
  out.right += by_r;
  out.cost += cost;
  out.weight += weight;
  fit.place_information = by_by(kOffset, kOffset);
  if (fit.place_information > 0) fit.place_px = by_r[kOffset] / fit.place_information;
  fit.used = fit.levels.allFinite() && fit.place_information > 0;
  out.segments.push_back(fit);
}

Linearised linearise(const Problem& problem, const Parameters& p) {
  Linearised out;
  out.segments.reserve(problem.segments->size());
  std::vector<SeenSample> samples;
  for (const ProfileSegment& segment : *problem.segments) {
    const double grown = 1 + problem.gap_grows * segment.along;
    const double edge = p[kOffset] + p[kLean] * segment.along;
    const double gap = problem.two ? p[kGap] * grown : 0;
    samples.clear();
    for (const ProfileSample& s : segment.samples) {
      if (s.x < problem.least_x || s.x > problem.most_x) continue;
      const SampleShape shape = sample_shape(s.x - edge, gap, p[kBlur]);
      samples.push_back({shape, shape.by_level(), s.light, s.pixels});
    }
    constexpr std::size_t kMoreThanLevels = 4;
    if (samples.size() >= (problem.two ? 5U : 4U) + kMoreThanLevels)
      add_segment(samples, problem.two, segment.along, grown, out);
    else
      out.segments.emplace_back();
  }
  return out;
}

using Fit = DampedFit<Parameters, Linearised>;

Fit solve(const Problem& problem, const Parameters& start, const RaisedEdgeOptions& o, bool free_blur) {
  return damped_fit(
      start, 15, 1e-4, [&](const Parameters& p) { return linearise(problem, p); },
      [&](const Linearised& now, const Parameters& p, double damping) -> std::optional<Parameters> {
        Normal normal = now.normal;
        normal.diagonal() *= 1 + damping;
        if (!free_blur) normal(kBlur, kBlur) = 1e12;
        if (!problem.two) normal(kGap, kGap) = 1e12;
        normal.diagonal().array() += 1e-12;
        Parameters d = solve_symmetric_4(normal, now.right);
        if (!d.allFinite()) return std::nullopt;
        d = d.cwiseMax(-1).cwiseMin(1);
        Parameters next = p + d;
        next[kOffset] = std::clamp(next[kOffset], -1.5 * o.reach_px, 1.5 * o.reach_px);
        next[kBlur] = std::clamp(next[kBlur], 0.5 * o.blur_px, 4 * o.blur_px);
        if (problem.two) next[kGap] = std::clamp(next[kGap], kLeastGapBlurs * o.blur_px, 2 * o.reach_px + 8);
        return next;
      });
}

// A straight line through the segments' own places. Chips, and segments beyond the line's ends, are left out
// as long as most of them agree.
constexpr double kOutlier = 3.5, kLeastScatterPx = 0.1, kLeastAgreeing = 0.65;

struct Place {
  double along, off;
  bool used = true;
};

struct PlaceLine {
  double middle = 0, level = 0, lean = 0, spread = 0;
  double n = 0;
  double residual(const Place& p) const { return p.off - level - lean * (p.along - middle); }
};

PlaceLine line_through(const std::vector<Place>& places) {
  PlaceLine line;
  double so = 0, st = 0, stt = 0, sto = 0;
  for (const Place& p : places) {
    if (!p.used) continue;
    ++line.n;
    so += p.off;
    st += p.along;
    stt += p.along * p.along;
    sto += p.along * p.off;
  }
  if (!(line.n > 0)) return line;
  line.middle = st / line.n;
  line.level = so / line.n;
  line.spread = stt - st * st / line.n;
  if (line.spread > 0) line.lean = (sto - st * so / line.n) / line.spread;
  return line;
}

PlaceLine leave_out_outliers(std::vector<Place>& places) {
  PlaceLine line = line_through(places);
  for (int pass = 0; pass < 6; ++pass) {
    std::vector<double> sizes;
    sizes.reserve(places.size());
    for (const Place& p : places) sizes.push_back(std::abs(line.residual(p)));
    const double limit = kOutlier * std::max(kLeastScatterPx, 1.4826 * median(std::move(sizes)));
    for (Place& p : places) p.used = std::abs(line.residual(p)) <= limit;
    line = line_through(places);
  }
  if (line.n >= kLeastAgreeing * static_cast<double>(places.size())) return line;
  for (Place& p : places) p.used = true;
  return line_through(places);
}

void describe_scatter(const std::vector<ProfileSegment>& segments, const Linearised& last, RaisedEdge& edge) {
  std::vector<Place> places;
  for (std::size_t s = 0; s < segments.size(); ++s)
    if (last.segments[s].used)
      places.push_back({segments[s].along, std::clamp(last.segments[s].place_px, -5.0, 5.0)});
  edge.wander_px = edge.u_lean_px = 10;
  if (places.size() < 6) return;
  const PlaceLine line = leave_out_outliers(places);
  if (!(line.spread > 0)) return;
  double square = 0, next = 0, before = 0;
  for (const Place& p : places) {
    const double r = p.used ? line.residual(p) : 0;
    square += r * r;
    next += r * before;
    before = r;
  }
  const double correlation = square > 0 ? std::clamp(next / square, 0.0, 0.8) : 0;
  edge.wander_px = std::sqrt(square / line.n);
  edge.u_lean_px = std::sqrt(square / (line.n - 2) / line.spread * (1 + correlation) / (1 - correlation));
  const double half = 1.0 / static_cast<double>(segments.size());
  const auto used = [](const Place& p) { return p.used; };
  if (!places.front().used) edge.from = std::find_if(places.begin(), places.end(), used)->along - half;
  if (!places.back().used) edge.to = std::find_if(places.rbegin(), places.rend(), used)->along + half;
}

class LineFitter {
 public:
  LineFitter(const ScanLines& lines, const SidePath& path, const RaisedEdgeOptions& o)
      : o_(o),
        tail_(kTail * o.blur_px + kTailPx),
        segments_(profiles_of(lines, path, o.reach_px + 2 * tail_ + 8, kMostSegments)),
        coarse_(profiles_of(lines, path, o.reach_px + tail_, kLeastSegments)) {}

  const std::vector<ProfileSegment>& segments() const { return segments_; }

  // Wide and in few segments at first, to find the line; then as narrow as its blur allows.
  Fit single() const {
    Parameters start = Parameters::Zero();
    start[kBlur] = o_.blur_px;
    std::optional<Fit> best;
    for (const double at : {0.0, -o_.reach_px / 2, o_.reach_px / 2}) {
      start[kOffset] = at;
      Problem wide = window(Parameters::Zero(), o_.reach_px + tail_, o_.reach_px + tail_, false);
      wide.segments = &coarse_;
      keep_better(solve(wide, start, o_, false), best);
    }
    for (int pass = 0; pass < 2; ++pass)
      best = solve(window(best->parameters, tail_, tail_, false), best->parameters, o_, pass > 0);
    return *best;
  }

  // Two lines, where they leave clearly less of what is seen than the one.
  std::optional<Fit> pair(const Fit& single) const {
    const double reach = 2 * tail_;
    const Problem both = window(single.parameters, reach, reach, true);
    std::optional<Fit> best;
    for (double gap = 1.3 * o_.blur_px; gap < reach - 1; gap *= 1.5)
      for (const double at : {0.0, -gap}) {
        Parameters p = single.parameters;
        p[kOffset] += at;
        p[kBlur] = o_.blur_px;
        p[kGap] = gap;
        keep_better(solve(both, p, o_, false), best);
      }
    Problem one = both;
    one.two = false;
    const Fit same = solve(one, single.parameters, o_, true);
    const double enough = single.parameters[kBlur] > o_.most_blur_px ? kBetter : kClearlyBetter;
    if (!best || !(best->last.cost < enough * same.last.cost) || !(best->parameters[kGap] < reach - 1) ||
        !(best->parameters[kGap] > 1.02 * kLeastGapBlurs * o_.blur_px))
      return std::nullopt;
    Parameters p = best->parameters;
    for (int pass = 0; pass < 2; ++pass) {
      Problem narrow = window(p, tail_, p[kGap] * (1 + std::abs(o_.gap_grows)) + tail_, true);
      best = solve(narrow, p, o_, pass > 0);
      p = best->parameters;
    }
    return best;
  }

 private:
  static void keep_better(Fit fit, std::optional<Fit>& best) {
    if (!best || fit.last.cost < best->last.cost) best = std::move(fit);
  }

  Problem window(const Parameters& p, double outward, double inward, bool two) const {
    const double lean = std::abs(p[kLean]);
    return {&segments_, o_.gap_grows, two, p[kOffset] - lean - outward, p[kOffset] + lean + inward};
  }

  const RaisedEdgeOptions& o_;
  double tail_;  // of a line's blur, px
  std::vector<ProfileSegment> segments_, coarse_;
};

}  // namespace

double most_sharp_blur_px(double sheet_blur_px, double px_per_mm) {
  constexpr double kRoughMm = 0.07, kMostBlurRatio = 1.35, kAlwaysPx = 0.3;
  return std::hypot(kMostBlurRatio * sheet_blur_px, kRoughMm * px_per_mm, kAlwaysPx);
}

std::optional<RaisedEdge> fit_raised_edge(const ScanLines& lines, const SidePath& path,
                                          const RaisedEdgeOptions& o) {
  const LineFitter fitter(lines, path, o);
  Fit best = fitter.single();
  std::optional<Fit> pair;
  if (o.second_line) pair = fitter.pair(best);
  if (pair) best = std::move(*pair);
  RaisedEdge edge;
  edge.offset_px = best.parameters[kOffset];
  edge.lean_px = best.parameters[kLean];
  edge.blur_px = best.parameters[kBlur];
  edge.gap_px = pair ? best.parameters[kGap] : 0;
  edge.gap_grows = pair ? o.gap_grows : 0;
  std::vector<double> steps;
  for (const SegmentFit& s : best.last.segments) {
    edge.levels.push_back({s.levels[0], s.levels[1], s.levels[2], s.levels[4], s.levels[3]});
    if (!s.used) continue;
    steps.push_back(std::abs(s.levels[4]) > std::abs(s.levels[2]) ? s.levels[4] : s.levels[2]);
  }
  if (steps.size() < 6) return std::nullopt;
  edge.step = median(std::move(steps));
  describe_scatter(fitter.segments(), best.last, edge);
  return edge;
}

namespace {

template <typename Value>
double rms(const std::vector<EdgeLevels>& levels, Value&& value) {
  double square = 0;
  for (const EdgeLevels& l : levels) square += value(l) * value(l);
  return levels.empty() ? 0 : std::sqrt(square / static_cast<double>(levels.size()));
}

template <typename Value>
double median_of(const std::vector<EdgeLevels>& levels, Value&& value) {
  std::vector<double> all;
  all.reserve(levels.size());
  for (const EdgeLevels& l : levels) all.push_back(value(l));
  return all.empty() ? 0 : median(std::move(all));
}

}  // namespace

bool RaisedEdge::inner_is_stronger() const {
  return gap_px > 0 && rms(levels, [](const EdgeLevels& l) { return l.inner_step; }) >
                           rms(levels, [](const EdgeLevels& l) { return l.step; });
}

double RaisedEdge::second_step() const {
  if (!(gap_px > 0)) return 0;
  const bool inner = inner_is_stronger();
  return rms(levels, [&](const EdgeLevels& l) { return inner ? l.step : l.inner_step; });
}

double RaisedEdge::ground() const {
  return median_of(levels, [](const EdgeLevels& l) { return l.ground; });
}

double RaisedEdge::before() const {
  const bool inner = inner_is_stronger();
  return median_of(levels, [&](const EdgeLevels& l) { return inner ? l.ground + l.step : l.ground; });
}

double RaisedEdge::ground_slope() const {
  return rms(levels, [](const EdgeLevels& l) { return l.ground_slope; });
}

}  // namespace tapersight
