#include "edges/trace_edges.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "edges/group_fit.h"
#include "edges/side_plan.h"
#include "imaging/parallel.h"
#include "numeric/descriptive.h"

namespace tapersight {
namespace {

constexpr int kMostRaised = 64;      // lines that a place of a raised strip's edge may be fitted to
constexpr double kBlurBeside = 0.2;  // how far from the sheet's an edge's blur may be with a line beside it

// `looks_at`: scan lines that a place is fitted to, if more than the `per_group` that it stands for.
void trace_side(const ScanLines& lines, const SidePath& path, const SidePlan& plan, int per_group,
                int looks_at, int first, const TraceOptions& options, std::vector<EdgePoint>& points) {
  const bool raised = options.raised;
  const int beyond = std::max(0, (looks_at - per_group) / 2);
  const double most_start = 0.7 * plan.at(0).estimator.window().outward_px;
  double start = 0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const int line = first + static_cast<int>(i) * per_group;
    points[i].beyond = line < path.first_line() || line + per_group - 1 > path.last_line();
    if (points[i].beyond) continue;
    if (options.deadline.passed()) return;
    // As many on both sides, or the place would stand for another line.
    const int more = std::min({beyond, line - path.first_line(), path.last_line() - line - per_group + 1});
    const Group g{&lines, &path, line - std::max(0, more), per_group + 2 * std::max(0, more), raised};
    const SidePiece& here = plan.at(path.along(line));
    auto fit = fit_group(g, here.shape, here.estimator, start);
    if (!fit && start != 0) fit = fit_group(g, here.shape, here.estimator, 0);
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
    if (!raised) start = std::clamp(0.8 * fit->shift_px, -most_start, most_start);
  }
  // A fit whose contrast is far from the edge's own has locked on something else.
  std::vector<double> contrasts;
  for (const EdgePoint& p : points)
    if (p.valid) contrasts.push_back(p.contrast);
  if (contrasts.empty()) return;
  const double usual = median(std::move(contrasts));
  for (EdgePoint& p : points)
    if (p.valid && (p.contrast / usual < 0.3 || p.contrast / usual > 3)) p.valid = false;
}

// So many that a place is as good as aimed at, if one line's is as good as that.
int lines_for(double line_sigma_px, double aim_sigma_px, int most) {
  return static_cast<int>(std::min(std::ceil(std::pow(line_sigma_px / aim_sigma_px, 2)), double{1} * most));
}

}  // namespace

EdgeTrace trace_edges(const ScanLines& lines, const SidePath& side_0, const SidePath& side_1,
                      const TraceOptions& options) {
  const SidePath* sides[2] = {&side_0, &side_1};
  EdgeTrace trace;
  int first = std::max(side_0.first_line(), side_1.first_line());
  int last = std::min(side_0.last_line(), side_1.last_line());
  if (options.raised) {  // each side from end to end
    first = std::min(side_0.first_line(), side_1.first_line());
    last = std::max(side_0.last_line(), side_1.last_line());
  }
  std::array<SidePlan, 2> plans;
  in_parallel(2, [&](int k) {
    const FoundLineBeside& beside = options.beside[k];
    const double usual = options.blur_px[k];
    double& blur = trace.blur_px[k];
    blur = options.raised ? usual : learn_blur(lines, *sides[k], usual, 2, beside);
    // Beside another line the blur is hard to tell from the gap between them.
    if (beside.part != 0) blur = std::clamp(blur, (1 - kBlurBeside) * usual, (1 + kBlurBeside) * usual);
    SidePlan& plan = plans[static_cast<std::size_t>(k)];
    plan = plan_side(lines, *sides[k], blur, options, k);
    if (options.raised) trace.figure_over_all_px[k] = plan.figure_over_all_px;
  });
  for (int k = 0; k < 2; ++k) trace.figure_px[k] = plans[static_cast<std::size_t>(k)].figure_px;
  for (const SidePlan& plan : plans)
    trace.lines_per_point = std::max(trace.lines_per_point,
                                     lines_for(plan.line_sigma_px, options.aim_sigma_px, options.most_lines));
  const int groups = std::max(0, (last - first + 1) / trace.lines_per_point);
  for (int i = 0; i < groups; ++i)
    trace.line_px.push_back(first + i * trace.lines_per_point + (trace.lines_per_point - 1) / 2.0);
  in_parallel(2, [&](int k) {
    trace.points[k].resize(static_cast<std::size_t>(groups));
    const auto i = static_cast<std::size_t>(k);
    const int looks_at =
        options.raised ? lines_for(plans[i].line_sigma_px, options.aim_sigma_px, kMostRaised) : 0;
    trace_side(lines, *sides[k], plans[i], trace.lines_per_point, looks_at, first, options, trace.points[k]);
  });
  return trace;
}

}  // namespace tapersight
