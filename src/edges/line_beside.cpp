#include "edges/line_beside.h"

#include <Eigen/LU>
#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "edges/damped_fit.h"
#include "edges/side_profiles.h"
#include "imaging/blurred_step.h"
#include "numeric/dense.h"

namespace tapersight {
namespace {

constexpr int kSegments = 24;
// An edge on the glass is as sharp as the printed sheet; roughness within a segment widens it a little.
constexpr double kWidened = 1.07;
constexpr double kMostBlurRatio = 1.25;
constexpr double kClearlyBetter = 0.6;  // mean squares of two steps over one, to believe in two

constexpr double kLeastPixels = 3;  // in a sample's mean

std::vector<ProfileSegment> profiles_of(const ScanLines& lines, const SidePath& path, double outward,
                                        double inward) {
  auto segments = side_profiles(lines, path, kSegments, outward, inward);
  for (ProfileSegment& s : segments)
    s.samples.erase(std::remove_if(s.samples.begin(), s.samples.end(),
                                   [](const ProfileSample& p) { return p.pixels < kLeastPixels; }),
                    s.samples.end());
  return segments;
}

// Parameters of the shape; the levels are linear and projected out.
enum { kOffset, kLean, kBow, kBlur, kPart, kGap, kGapLean, kOuterBlur, kParameters };
constexpr int kOneStep = kPart;  // the parameters of one step alone
using Shape = std::array<double, kParameters>;

struct Problem {
  const std::vector<ProfileSegment>* segments;
  double inward_px;  // samples further inward than this behind the edge are the wood's own business
  int parameters;    // kOneStep, or kParameters for two
};

struct Linearised {
  Eigen::MatrixXd normal;
  Eigen::VectorXd right;
  double cost = 0;
  int used = 0;
};

// A strip that has bent since it was cut takes its side wall with it.
double bow_shape(double along) {
  return 1.5 * along * along - 0.5;
}

double edge_at(const Shape& p, double along) {
  return p[kOffset] + p[kLean] * along + p[kBow] * bow_shape(along);
}

// The shape's light (ground 0, face 1) and its derivatives.
double shape_at(const Shape& p, double along, double x, int parameters, double* by) {
  const double inner_x = x - edge_at(p, along);
  const BlurredStep::Exact inner = BlurredStep::exact(inner_x, p[kBlur]);
  const double part = parameters > kOneStep ? p[kPart] : 0;
  by[kOffset] = -(1 - part) * inner.slope;
  by[kLean] = by[kOffset] * along;
  by[kBow] = by[kOffset] * bow_shape(along);
  by[kBlur] = (1 - part) * inner.by_blur;
  if (parameters == kOneStep) return inner.value;
  // The band between the two lines cannot be narrower than nothing.
  const double gap = p[kGap] + p[kGapLean] * along;
  const double outer_x = gap > 0 ? inner_x + gap : inner_x;
  const BlurredStep::Exact outer = BlurredStep::exact(outer_x, gap > 0 ? p[kOuterBlur] : p[kBlur]);
  by[kPart] = outer.value - inner.value;
  by[kOffset] -= part * outer.slope;
  by[kLean] = by[kOffset] * along;
  by[kBow] = by[kOffset] * bow_shape(along);
  by[kGap] = gap > 0 ? part * outer.slope : 0;
  by[kGapLean] = by[kGap] * along;
  by[kOuterBlur] = gap > 0 ? part * outer.by_blur : 0;
  if (gap <= 0) by[kBlur] += part * outer.by_blur;
  return (1 - part) * inner.value + part * outer.value;
}

Linearised linearise(const Problem& problem, const Shape& p) {
  const int m = problem.parameters;
  Linearised out{Eigen::MatrixXd::Zero(m, m), Eigen::VectorXd::Zero(m), 0, 0};
  for (const ProfileSegment& segment : *problem.segments) {
    std::vector<ProfileSample> samples;
    const double end = edge_at(p, segment.along) + problem.inward_px;
    for (const ProfileSample& s : segment.samples)
      if (s.x <= end) samples.push_back(s);
    const auto n = static_cast<Eigen::Index>(samples.size());
    if (n < 6) continue;
    Eigen::MatrixX2d levels(n, 2);
    Eigen::MatrixXd by(n, m);
    Eigen::VectorXd light(n);
    std::array<double, kParameters> d{};
    for (Eigen::Index i = 0; i < n; ++i) {
      const ProfileSample& s = samples[static_cast<std::size_t>(i)];
      levels.row(i) << 1, shape_at(p, segment.along, s.x, m, d.data());
      for (int k = 0; k < m; ++k) by(i, k) = d[static_cast<std::size_t>(k)];
      light[i] = s.light;
    }
    const Eigen::Matrix2d inverse = (levels.transpose() * levels).inverse();
    const Eigen::Vector2d fitted = inverse * (levels.transpose() * light);
    if (!fitted.allFinite()) continue;
    by *= fitted[1];
    by -= levels * (inverse * (levels.transpose() * by));
    const Eigen::VectorXd r = light - levels * fitted;
    out.normal += gram(by);
    out.right += by.transpose() * r;
    out.cost += r.squaredNorm();
    out.used += static_cast<int>(n) - 2;
  }
  return out;
}

Shape moved(const Problem& problem, const Shape& p, const Eigen::VectorXd& d, double blur) {
  Shape next = p;
  for (int k = 0; k < problem.parameters; ++k) next[static_cast<std::size_t>(k)] += d[k];
  next[kBlur] =
      std::clamp(next[kBlur], 0.6 * blur, problem.parameters > kOneStep ? 1.8 * blur + 0.3 : 6 * blur);
  next[kPart] = std::clamp(next[kPart], -1.5, 2.5);
  next[kOuterBlur] = std::clamp(next[kOuterBlur], 0.6 * blur, 12 * blur);
  return next;
}

using Fit = DampedFit<Shape, Linearised>;

Fit fit_shape(const Problem& problem, const Shape& start, double blur) {
  return damped_fit(
      start, 40, 1e-5, [&](const Shape& p) { return linearise(problem, p); },
      [&](const Linearised& now, const Shape& p, double damping) -> std::optional<Shape> {
        Eigen::MatrixXd normal = now.normal;
        normal.diagonal() *= 1 + damping;
        normal.diagonal().array() += 1e-12;
        const Eigen::VectorXd d = solve_symmetric(normal, now.right);
        if (!d.allFinite()) return std::nullopt;
        return moved(problem, p, d, blur);
      });
}

// Standard uncertainty of the lean with everything free, less what it has with the second line known.
double lean_from_second_line(const Linearised& l, double blur) {
  // Profiles of one segment share its wood: far fewer of the samples are independent.
  constexpr double kShared = 4;
  const double variance = kShared * l.cost / std::max(1, l.used - kParameters);
  Eigen::MatrixXd normal = l.normal;
  // What is not seen at all is still not known worse than this.
  normal(kGap, kGap) += variance / (9 * blur * blur);
  normal(kGapLean, kGapLean) += variance / (4 * blur * blur);
  normal(kOuterBlur, kOuterBlur) += variance / (blur * blur);
  normal(kPart, kPart) += variance;
  const Eigen::MatrixXd all = solve_symmetric(normal, Eigen::MatrixXd::Identity(kParameters, kParameters));
  const Eigen::MatrixXd alone = inverse(normal.topLeftCorner<kOneStep, kOneStep>());
  return std::sqrt(std::max(0.0, variance * (all(kLean, kLean) - alone(kLean, kLean))));
}

// Mean square over the same samples, so that one and two steps can be compared.
double mean_square(const Linearised& l) {
  return l.used > 0 ? l.cost / l.used : 1e9;
}

// The edge may not wander outward to the other line: there it would look perfect, with nothing beside it.
bool strayed(const Shape& p, double blur, bool inner) {
  const double most = 2.5 * blur;
  return p[kOffset] - std::abs(p[kLean]) < -most || (!inner && p[kOffset] + std::abs(p[kLean]) > most);
}

// The best of several starts. inner: the path lies on the outer of the two lines.
std::optional<Fit> fit_two(const std::vector<ProfileSegment>& segments, const Fit& single, double blur,
                           double inward, double reach, bool inner) {
  const Problem two{&segments, inward, kParameters};
  std::optional<Fit> best;
  for (double gap = (inner ? 1.5 : 0.8) * blur; gap < reach - blur; gap *= 1.7)
    for (const double lean : {-0.5, 0.5})
      for (const double part : {0.3, 1.25}) {
        if (!inner && part > 1) continue;
        const double at = inner ? gap : 0;
        const Shape start{single.parameters[kOffset] + at,
                          single.parameters[kLean] + (inner ? lean * gap : 0),
                          single.parameters[kBow],
                          blur,
                          part,
                          gap,
                          lean * gap,
                          1.3 * blur};
        Fit fit = fit_shape(two, start, blur);
        if (strayed(fit.parameters, blur, inner)) continue;
        if (!best || mean_square(fit.last) < mean_square(best->last)) best = std::move(fit);
      }
  return best;
}

// Two lines, the inner one as sharp as what lies on the glass, and apart somewhere along the strip.
bool believable(const Fit& fit, const std::vector<ProfileSegment>& segments, double inward, double blur) {
  const Shape& p = fit.parameters;
  if (p[kBlur] > kMostBlurRatio * blur || p[kOuterBlur] < 0.8 * blur) return false;
  if (std::abs(1 - p[kPart]) < 0.08 || std::abs(p[kPart]) < 0.04) return false;
  if (p[kGap] + std::abs(p[kGapLean]) < blur) return false;
  // One step over the same samples.
  const Problem same{&segments, inward + std::max(0.0, p[kOffset]), kOneStep};
  return mean_square(fit.last) < kClearlyBetter * mean_square(fit_shape(same, {0, 0, 0, blur}, blur).last);
}

}  // namespace

std::optional<FoundLineBeside> find_line_beside(const ScanLines& lines, const SidePath& path, double blur_px,
                                                double reach_px) {
  const double inward = 1.5 * blur_px + 1;
  const std::vector<ProfileSegment> segments = profiles_of(lines, path, reach_px, inward + reach_px);
  const Fit single = fit_shape({&segments, inward, kOneStep}, {0, 0, 0, blur_px}, blur_px);
  if (single.parameters[kBlur] < kWidened * blur_px) return std::nullopt;
  std::optional<Fit> best;
  for (const bool inner : {false, true}) {
    const auto fit = fit_two(segments, single, blur_px, inward, reach_px, inner);
    if (!fit || !believable(*fit, segments, inward, blur_px)) continue;
    if (!best || mean_square(fit->last) < mean_square(best->last)) best = fit;
  }
  if (!best) return std::nullopt;
  const Shape& p = best->parameters;
  FoundLineBeside found;
  found.edge_px = p[kOffset];
  found.edge_lean_px = p[kLean];
  found.edge_bow_px = p[kBow];
  found.part = p[kPart];
  found.gap_px = p[kGap];
  found.gap_lean_px = p[kGapLean];
  found.blur_px = p[kOuterBlur];
  found.u_lean_px = lean_from_second_line(best->last, blur_px);
  return found;
}

}  // namespace tapersight
