#include "edges/trace_edges.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <optional>

#include "imaging/blurred_step.h"

namespace tapersight {
namespace {

struct GroupFit {
  double shift_px = 0;  // of the edge from the path, inward
  double sigma_px = 0;
  double contrast = 0;
  double blur_px = 0;  // only from fit_with_blur
};

struct Group {
  const ScanLines* lines;
  const SidePath* path;
  int first, count;  // scan lines
  int half;          // the window's half width, px
  double inner;      // and how far it reaches inward of the edge, px
};

// Calls `row` with the place (px inward of the edge) and the light of every pixel of the window; returns
// false when the window leaves the picture.
template <typename Row>
bool visit(const Group& g, double shift, Row&& row) {
  for (int line = g.first; line < g.first + g.count; ++line) {
    const double at = g.path->place(line) + g.path->inward() * shift;
    const int middle = static_cast<int>(std::lround(at));
    if (middle - g.half < 0 || middle + g.half >= g.lines->places()) return false;
    for (int k = -g.half; k <= g.half; ++k) {
      const int place = middle + k;
      const double x = (place - at) * g.path->inward();
      if (x <= g.inner) row(x, g.lines->light(line, place));
    }
  }
  return true;
}

// Place and levels with the blur given. `start`: where the window lies at first, px inward from the path.
std::optional<GroupFit> fit_group(const Group& g, const BlurredStep& edge, double start) {
  double shift = start;
  double low = 0;
  double step = 0;
  Eigen::Matrix3d normal;
  double cost = 0;
  int samples = 0;
  bool settled = false;
  for (int pass = 0; pass < 8; ++pass) {
    normal.setZero();
    Eigen::Vector3d right = Eigen::Vector3d::Zero();
    cost = 0;
    samples = 0;
    const bool levels_only = pass == 0;
    const bool whole = visit(g, shift, [&](double x, double light) {
      const double e = edge.value(x);
      const double r = light - low - step * e;
      const Eigen::Vector3d j(1, e, levels_only ? 0 : -step * edge.slope(x));
      normal.noalias() += j * j.transpose();
      right += r * j;
      cost += r * r;
      ++samples;
    });
    if (!whole) return std::nullopt;
    if (levels_only) normal(2, 2) = 1;
    const Eigen::Vector3d d = normal.ldlt().solve(right);
    if (!d.allFinite()) return std::nullopt;
    low += d[0];
    step += d[1];
    if (levels_only) continue;
    const double move = std::clamp(d[2], -1.2, 1.2);
    shift += move;
    if (std::abs(shift - start) > g.half) return std::nullopt;
    settled = std::abs(move) < 2e-3;
    if (settled) break;
  }
  if (!settled || samples <= 3) return std::nullopt;
  GroupFit fit;
  fit.shift_px = shift;
  fit.contrast = step;
  fit.sigma_px = std::sqrt(cost / (samples - 3) * normal.inverse()(2, 2));
  return fit;
}

// The same with the blur free; only used to learn the blur.
std::optional<GroupFit> fit_with_blur(const Group& g, double blur, double start) {
  GroupFit fit;
  fit.blur_px = blur;
  double shift = start;
  double low = 0;
  double step = 0;
  for (int pass = 0; pass < 10; ++pass) {
    Eigen::Matrix4d normal = Eigen::Matrix4d::Zero();
    Eigen::Vector4d right = Eigen::Vector4d::Zero();
    const bool whole = visit(g, shift, [&](double x, double light) {
      const BlurredStep::Exact e = BlurredStep::exact(x, fit.blur_px);
      const double r = light - low - step * e.value;
      Eigen::Vector4d j(1, e.value, -step * e.slope, step * e.by_blur);
      if (pass == 0) j.tail<2>().setZero();
      normal.noalias() += j * j.transpose();
      right += r * j;
    });
    if (!whole) return std::nullopt;
    if (pass == 0) normal(2, 2) = normal(3, 3) = 1;
    const Eigen::Vector4d d = normal.ldlt().solve(right);
    if (!d.allFinite()) return std::nullopt;
    low += d[0];
    step += d[1];
    shift += std::clamp(d[2], -1.0, 1.0);
    fit.blur_px = std::clamp(fit.blur_px + std::clamp(d[3], -0.3, 0.3), 0.2, 1.0 * g.half);
    if (std::abs(shift - start) > g.half) return std::nullopt;
  }
  fit.shift_px = shift;
  fit.contrast = step;
  return fit;
}

double median_of(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

// Outward the window reaches well into the even ground. Inward lies wood: its fibres run along the edge for
// centimetres, and what they do to the fit is not averaged out, so the narrow window ends just inside the
// edge; the wide one is for pictures whose noise matters more than the wood's figure.
struct Window {
  int half;
  double inner;
};

Window narrow_window(double blur) {
  return {std::max(3, static_cast<int>(std::ceil(3.2 * blur + 1))), 0.6 + 0.7 * blur};
}
Window wide_window(double blur) {
  const int half = std::max(3, static_cast<int>(std::ceil(2.6 * blur + 1)));
  return {half, half + 1.0};
}

constexpr double kNoisySigmaPx = 0.12;  // of one scan line's place, above which the wide window may be better

// The edge's blur: the median over up to 120 groups spread along it.
double learn_blur(const ScanLines& lines, const SidePath& path, double blur, int per_group) {
  for (int pass = 0; pass < 2; ++pass) {
    std::vector<double> blurs;
    const int total = path.last_line() - path.first_line() + 1;
    const int step = std::max(per_group, total / 120);
    for (int line = path.first_line() + total / 20; line + per_group <= path.last_line() - total / 20;
         line += step) {
      const Window w = wide_window(blur);
      const Group g{&lines, &path, line, per_group, w.half + 1, w.inner + 1};
      if (const auto fit = fit_with_blur(g, blur, 0)) blurs.push_back(fit->blur_px);
    }
    if (blurs.size() < 10) return blur;
    blur = std::clamp(median_of(std::move(blurs)), 0.25, 12.0);
  }
  return blur;
}

// Median uncertainty of a single scan line's place, px; far too large when most fits fail.
double line_sigma(const ScanLines& lines, const SidePath& path, const BlurredStep& edge, Window window) {
  std::vector<double> sigmas;
  std::size_t failed = 0;
  const int total = path.last_line() - path.first_line() + 1;
  const int step = std::max(1, total / 200);
  for (int line = path.first_line() + total / 20; line <= path.last_line() - total / 20; line += step) {
    if (const auto fit = fit_group({&lines, &path, line, 1, window.half, window.inner}, edge, 0))
      sigmas.push_back(fit->sigma_px);
    else
      ++failed;
  }
  if (sigmas.size() < 10) return 10;
  return median_of(std::move(sigmas)) * (failed > sigmas.size() ? 3 : 1);
}

struct SidePlan {
  Window window;
  double sigma_px;
};

SidePlan plan_side(const ScanLines& lines, const SidePath& path, const BlurredStep& edge) {
  const SidePlan narrow{narrow_window(edge.blur_px()),
                        line_sigma(lines, path, edge, narrow_window(edge.blur_px()))};
  if (narrow.sigma_px < kNoisySigmaPx) return narrow;
  const SidePlan wide{wide_window(edge.blur_px()),
                      line_sigma(lines, path, edge, wide_window(edge.blur_px()))};
  return wide.sigma_px < 0.7 * narrow.sigma_px ? wide : narrow;
}

void trace_side(const ScanLines& lines, const SidePath& path, const BlurredStep& edge, Window window,
                int per_group, int first, std::vector<EdgePoint>& points) {
  const int half = window.half;
  double start = 0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const int line = first + static_cast<int>(i) * per_group;
    const Group g{&lines, &path, line, per_group, half, window.inner};
    auto fit = fit_group(g, edge, start);
    if (!fit && start != 0) fit = fit_group(g, edge, 0);
    EdgePoint& p = points[i];
    if (!fit) {
      start = 0;
      continue;
    }
    const double middle = line + (per_group - 1) / 2.0;
    p.picture_px = lines.picture_px(middle, path.place(middle) + path.inward() * fit->shift_px);
    p.sigma_px = fit->sigma_px;
    p.contrast = fit->contrast;
    p.valid = true;
    // The next window follows a rough edge, but comes back to the path from a chip.
    start = std::clamp(0.8 * fit->shift_px, -0.7 * half, 0.7 * half);
  }
  // A fit whose contrast is far from the edge's own has locked on something else.
  std::vector<double> contrasts;
  for (const EdgePoint& p : points)
    if (p.valid) contrasts.push_back(p.contrast);
  if (contrasts.empty()) return;
  const double usual = median_of(std::move(contrasts));
  for (EdgePoint& p : points)
    if (p.valid && (p.contrast / usual < 0.3 || p.contrast / usual > 3)) p.valid = false;
}

}  // namespace

EdgeTrace trace_edges(const ScanLines& lines, const SidePath& side_0, const SidePath& side_1,
                      const TraceOptions& options) {
  const SidePath* sides[2] = {&side_0, &side_1};
  EdgeTrace trace;
  const int first = std::max(side_0.first_line(), side_1.first_line());
  const int last = std::min(side_0.last_line(), side_1.last_line());
  std::vector<BlurredStep> edges;
  std::vector<SidePlan> plans;
  for (int k = 0; k < 2; ++k) {
    trace.blur_px[k] = learn_blur(lines, *sides[k], options.blur_px[k], 2);
    edges.emplace_back(trace.blur_px[k]);
    plans.push_back(plan_side(lines, *sides[k], edges.back()));
    const double needed = std::ceil(std::pow(plans.back().sigma_px / options.aim_sigma_px, 2));
    trace.lines_per_point = std::max(
        trace.lines_per_point, static_cast<int>(std::min(needed, static_cast<double>(options.most_lines))));
  }
  const int groups = std::max(0, (last - first + 1) / trace.lines_per_point);
  for (int i = 0; i < groups; ++i)
    trace.line_px.push_back(first + i * trace.lines_per_point + (trace.lines_per_point - 1) / 2.0);
  for (int k = 0; k < 2; ++k) {
    trace.points[k].resize(static_cast<std::size_t>(groups));
    const auto i = static_cast<std::size_t>(k);
    trace_side(lines, *sides[k], edges[i], plans[i].window, trace.lines_per_point, first, trace.points[k]);
  }
  return trace;
}

}  // namespace tapersight
