#include "edges/trace_edges.h"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "edges/face_figure.h"
#include "edges/place_fit.h"
#include "imaging/blurred_step.h"
#include "imaging/parallel.h"
#include "numeric/descriptive.h"

namespace tapersight {
namespace {

struct GroupFit {
  double shift_px = 0;  // of the edge from the path, inward
  double sigma_px = 0;
  double contrast = 0;
  double ground = 0;   // light
  double noise = 0;    // of the residuals half way up the step, light
  double blur_px = 0;  // only from fit_with_blur
};

struct Group {
  const ScanLines* lines;
  const SidePath* path;
  int first, count;  // scan lines
  // The windows move by whole pixels, so that the place of a weak edge, with a shadow or rings in the
  // covariance, may go to and fro where one of them jumps. It is then known no better than that.
  bool patient = false;
};

// How the edge of one side looks, the same on all its scan lines.
struct EdgeShape {
  BlurredStep step;
  LineBeside beside;
  BlurredStep beside_step;

  // The light at x px inward of the edge, which lies `shift` px inward of the path: 0 on the ground, 1 on the
  // face.
  double value(double x, double shift) const {
    if (beside.part == 0) return step.value(x);
    return (1 - beside.part) * step.value(x) +
           beside.part * beside_step.value(x + std::max(0.0, shift + beside.gap_px));
  }
};

// A place has settled when it moves by less than kSettledPx; a patient group's, by less than kSettledPart of
// its standard deviation, or kPatientPx if that is less. From pass kWholeSteps on a patient group's moves are
// halved.
constexpr int kPasses = 8, kPatientPasses = 20, kWholeSteps = 7;
constexpr double kSettledPx = 2e-3, kSettledPart = 0.1, kPatientPx = 0.03;

// Place and levels, all else given. `start`: where the window lies at first, px inward from the path.
std::optional<GroupFit> fit_group(const Group& g, const EdgeShape& shape, const PlaceEstimator& estimator,
                                  double start) {
  const FitWindow window = estimator.window();
  const int n = window.samples();
  double shift = start;
  double low = 0;
  double step = 0;
  double cost = 0;
  double gain = 0;  // squared sum of what the residuals do to the place
  bool settled = false;
  const int samples = n * g.count;
  const auto rms_noise = [&] { return std::sqrt(cost / (samples - 3)); };
  const auto sigma_px = [&] { return rms_noise() * std::sqrt(gain) / g.count / std::abs(step); };
  for (int pass = 0; pass < (g.patient ? kPatientPasses : kPasses) && !settled; ++pass) {
    Eigen::Vector3d d = Eigen::Vector3d::Zero();
    cost = gain = 0;
    for (int line = g.first; line < g.first + g.count; ++line) {
      const double at = g.path->place(line) + g.path->inward() * shift;
      const int way = static_cast<int>(g.path->inward());
      const int first = static_cast<int>(std::lround(at)) - way * window.outward_px;
      const int last = first + way * (n - 1);
      if (std::min(first, last) < 0 || std::max(first, last) >= g.lines->places()) return std::nullopt;
      const double x0 = (first - at) * way;
      const PlaceOperator& rows = estimator.at(x0);
      const Eigen::VectorXd& noise = estimator.noise_at(x0);
      for (int i = 0; i < n; ++i) {
        const double r = g.lines->light(line, first + way * i) - low - step * shape.value(x0 + i, shift);
        d += r * rows.col(i);
        gain += rows(2, i) * rows(2, i) * noise[i] * noise[i];
        cost += r * r / (noise[i] * noise[i]);
      }
    }
    d /= g.count;
    if (!d.allFinite()) return std::nullopt;
    low += d[0];
    step += d[1];
    if (pass == 0 && std::abs(d[2]) > 0.8 * std::abs(step)) continue;  // levels first, far from the edge
    const double move = std::clamp(d[2] / step, -1.0, 1.0);
    if (!std::isfinite(move)) return std::nullopt;
    shift += g.patient && pass >= kWholeSteps ? move / 2 : move;
    if (std::abs(shift - start) > window.outward_px) return std::nullopt;
    const double enough =
        g.patient ? std::clamp(kSettledPart * sigma_px(), kSettledPx, kPatientPx) : kSettledPx;
    settled = pass > 0 && std::abs(move) < enough;
  }
  if (!settled) return std::nullopt;
  GroupFit fit;
  fit.shift_px = shift;
  fit.contrast = step;
  fit.ground = low;
  fit.noise = rms_noise();
  fit.sigma_px = sigma_px();
  return fit;
}

// Calls `row` with the place (px inward of the edge) and the light of every pixel within `half` px; returns
// false when the window leaves the picture.
template <typename Row>
bool visit(const Group& g, int half, double shift, Row&& row) {
  for (int line = g.first; line < g.first + g.count; ++line) {
    const double at = g.path->place(line) + g.path->inward() * shift;
    const int middle = static_cast<int>(std::lround(at));
    if (middle - half < 0 || middle + half >= g.lines->places()) return false;
    for (int place = middle - half; place <= middle + half; ++place)
      row((place - at) * g.path->inward(), g.lines->light(line, place));
  }
  return true;
}

// Place, levels and blur; only used to learn the blur.
std::optional<GroupFit> fit_with_blur(const Group& g, int half, double blur, const LineBeside& beside) {
  GroupFit fit;
  fit.blur_px = blur;
  double low = 0;
  double step = 0;
  for (int pass = 0; pass < 10; ++pass) {
    Eigen::Matrix4d normal = Eigen::Matrix4d::Zero();
    Eigen::Vector4d right = Eigen::Vector4d::Zero();
    const bool whole = visit(g, half, fit.shift_px, [&](double x, double light) {
      const BlurredStep::Exact e = BlurredStep::exact(x, fit.blur_px);
      const double own = 1 - beside.part;
      const double outer = beside.part == 0 || beside.gap_px + fit.shift_px <= 0
                               ? e.value
                               : BlurredStep::exact(x + fit.shift_px + beside.gap_px, beside.blur_px).value;
      const double value = own * e.value + beside.part * outer;
      const double r = light - low - step * value;
      Eigen::Vector4d j(1, value, -step * own * e.slope, step * own * e.by_blur);
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
    fit.shift_px += std::clamp(d[2], -1.0, 1.0);
    fit.blur_px = std::clamp(fit.blur_px + std::clamp(d[3], -0.3, 0.3), 0.2, 1.0 * half);
    if (std::abs(fit.shift_px) > half) return std::nullopt;
  }
  fit.contrast = step;
  return fit;
}

// The edge's blur: the median over up to 120 groups spread along it.
double learn_blur(const ScanLines& lines, const SidePath& path, double blur, int per_group,
                  const FoundLineBeside& beside) {
  for (int pass = 0; pass < 2; ++pass) {
    std::vector<double> blurs;
    const int half = std::max(3, static_cast<int>(std::ceil(2.6 * blur + 1))) + 1;
    const int total = path.last_line() - path.first_line() + 1;
    const int step = std::max(per_group, total / 120);
    for (int line = path.first_line() + total / 20; line + per_group <= path.last_line() - total / 20;
         line += step)
      if (const auto fit =
              fit_with_blur({&lines, &path, line, per_group}, half, blur, beside.at(path.along(line))))
        blurs.push_back(fit->blur_px);
    if (blurs.size() < 10) return blur;
    blur = std::clamp(median(std::move(blurs)), 0.25, 12.0);
  }
  return blur;
}

FitWindow window_for(double blur) {
  return {std::max(3, static_cast<int>(std::ceil(3.2 * blur + 1))),
          static_cast<int>(std::ceil(2.5 * blur)) + 2};
}

// Where the face is even, more of it tells its level better, and so does more of the ground. A narrow
// window's three unknowns leave 60 to 75 % of what a line knows of its place (tests/bench/edge_bound.h);
// with this one 73 to 91 % were reached (bench_limits, smooth edges).
constexpr int kFurtherOutPx = 16, kFurtherInPx = 20;
FitWindow wide_window_for(double blur, bool even_ground) {
  const FitWindow narrow = window_for(blur);
  return {narrow.outward_px + (even_ground ? kFurtherOutPx : 0),
          narrow.inward_px + static_cast<int>(std::ceil(4 * blur)) + kFurtherInPx};
}

// Is the ground beyond the narrow window as light as within it, all along? A shadow or another faint line may
// lie there.
bool is_ground_even(const ScanLines& lines, const SidePath& path, double blur, double step) {
  constexpr int kStretches = 12;
  constexpr double kEven = 0.004;  // of the step
  const int out = window_for(blur).outward_px;
  const int way = static_cast<int>(path.inward());
  const int total = path.last_line() - path.first_line() + 1;
  for (int s = 0; s < kStretches; ++s) {
    double beyond = 0, within = 0;
    for (int line = path.first_line() + total * s / kStretches;
         line < path.first_line() + total * (s + 1) / kStretches; ++line) {
      const int edge = static_cast<int>(std::lround(path.place(line)));
      const int furthest = edge - way * (out + kFurtherOutPx);
      if (std::min(furthest, edge) < 0 || std::max(furthest, edge) >= lines.places()) return false;
      for (int i = 0; i < kFurtherOutPx; ++i) beyond += lines.light(line, furthest + way * i);
      for (int i = 0; i < 2; ++i) within += kFurtherOutPx / 2.0 * lines.light(line, edge - way * (out - i));
    }
    if (std::abs(beyond - within) > kEven * step * kFurtherOutPx * total / kStretches) return false;
  }
  return true;
}

// It must be worth it: the wood's figure, which the wide window sees more of, counts against it. And the face
// must be as even there as the figure's model says: dark lines in it leave far larger residuals (plain faces
// up to 1.2 times those of the narrow window).
constexpr double kWideGain = 0.95;
constexpr double kMostResidual = 1.25;

// Of single scan lines spread along the side; medians.
struct LineQuality {
  double sigma_px = 10;  // of a line's place; far too large when most fits fail
  double noise = 0, step = 0;
  double ground = 100;  // over the step, with its sign
};

LineQuality line_quality(const ScanLines& lines, const SidePath& path, const EdgeShape& shape,
                         const PlaceEstimator& estimator, bool patient) {
  std::vector<double> sigmas, noises, steps, grounds;
  std::size_t failed = 0;
  const int total = path.last_line() - path.first_line() + 1;
  const int stride = std::max(1, total / 200);
  for (int line = path.first_line() + total / 20; line <= path.last_line() - total / 20; line += stride) {
    const auto fit = fit_group({&lines, &path, line, 1, patient}, shape, estimator, 0);
    if (!fit) {
      ++failed;
      continue;
    }
    sigmas.push_back(fit->sigma_px);
    noises.push_back(fit->noise);
    steps.push_back(std::abs(fit->contrast));
    grounds.push_back(fit->ground / fit->contrast);
  }
  LineQuality q;
  if (sigmas.size() < 10) return q;
  q.sigma_px = median(sigmas) * (failed > sigmas.size() ? 3 : 1);
  q.noise = median(noises);
  q.step = median(steps);
  q.ground = median(grounds);
  return q;
}

constexpr double kFibreMm = 0.12;  // correlation length of the wood's tone across the grain, of that order
constexpr double kFaceMm = 3;      // how far behind the edge its figure is looked at
// More lines share a figure than this, but the more weight is put on the blur's far tail, the more its exact
// form and the picture's compression matter.
constexpr double kMostCoherentLines = 16;
constexpr double kMostCoherentRaised = 32;
constexpr double kRaisedFaceMm = 1, kMostRings = 0.25;  // a side wall may be narrow; in parts of the step
constexpr int kMostRaised = 64;  // lines that a place of a raised strip's edge may be fitted to

constexpr double kBlurBeside = 0.2;  // how far from the sheet's an edge's blur may be with a line beside it

// An edge with another line beside it changes along the strip: it is taken in pieces.
constexpr int kPieces = 48;

struct Piece {
  EdgeShape shape;
  PlaceEstimator estimator;
};

struct SidePlan {
  std::vector<Piece> pieces;  // one, or kPieces from the first line to the last
  double line_sigma_px = 10;
  double figure_px = 0, figure_over_all_px = 0;  // see EdgeTrace

  const Piece& at(double along) const {
    const auto n = static_cast<double>(pieces.size());
    return pieces[static_cast<std::size_t>(std::clamp((along + 1) / 2 * n, 0.0, n - 1))];
  }
};

EdgeShape shape_of(double blur, const LineBeside& beside) {
  // A band of no width: the wall is hidden behind the face.
  const bool hidden = beside.part == 0 || beside.gap_px <= 0;
  return {BlurredStep(blur), hidden ? LineBeside{} : beside, BlurredStep(hidden ? 1 : beside.blur_px)};
}

SidePlan plan_side(const ScanLines& lines, const SidePath& path, double blur, const TraceOptions& options,
                   int side) {
  const FoundLineBeside& beside = options.beside[side];
  const double px_per_mm = options.px_per_mm;
  const EdgeShape shape = shape_of(blur, beside.at(0));
  const FitWindow window = window_for(blur);
  Disturbance disturbance;
  double coherent = 1;
  if (!options.raised) {
    const PlaceEstimator guess(shape.step, window, disturbance, shape.beside);
    disturbance.ground = line_quality(lines, path, shape, guess, options.raised).ground;
  }
  const PlaceEstimator first(shape.step, window, disturbance, shape.beside);
  const LineQuality seen = line_quality(lines, path, shape, first, options.raised);
  disturbance.figure_px = std::max(0.5, kFibreMm * px_per_mm);
  if (seen.step > 0) {
    const FaceFigure figure =
        measure_figure(lines, path, blur, disturbance.figure_px,
                       static_cast<int>(std::ceil((options.raised ? kRaisedFaceMm : kFaceMm) * px_per_mm)));
    disturbance.noise = seen.noise / seen.step;
    disturbance.figure = figure.light / seen.step;
    disturbance.coherent_lines =
        std::min(figure.coherent_lines, options.raised ? kMostCoherentRaised : kMostCoherentLines);
    coherent = figure.coherent_lines;
    if (options.raised) {
      disturbance.rings = std::min(figure.rings / seen.step, kMostRings);
      disturbance.rings_px = figure.rings_px;
      disturbance.ground_slope = options.ground_slope[side] / seen.step;
      disturbance.second = options.second[side] / seen.step;
    }
  }
  SidePlan plan;
  if (beside.part == 0 && !options.raised) {
    PlaceEstimator estimator(shape.step, window, disturbance, shape.beside);
    LineQuality quality = line_quality(lines, path, shape, estimator, options.raised);
    const bool even = is_ground_even(lines, path, blur, seen.step);
    PlaceEstimator wide(shape.step, wide_window_for(blur, even), disturbance, shape.beside);
    if (wide.place_sd_px() < kWideGain * estimator.place_sd_px()) {
      const LineQuality of_wide = line_quality(lines, path, shape, wide, options.raised);
      if (of_wide.noise < kMostResidual * quality.noise) {
        estimator = std::move(wide);
        quality = of_wide;
      }
    }
    plan.pieces.push_back({shape, std::move(estimator)});
    plan.line_sigma_px = quality.sigma_px;
  } else {
    const int pieces = beside.part == 0 && disturbance.second == 0 ? 1 : kPieces;
    for (int i = 0; i < pieces; ++i) {
      const double along = (2.0 * i + 1) / pieces - 1;
      EdgeShape here = shape_of(blur, beside.at(along));
      disturbance.second_px = options.second_px[side] * (1 + options.scale_grows[side] * along);
      PlaceEstimator estimator(here.step, window, disturbance, here.beside);
      plan.pieces.push_back({std::move(here), std::move(estimator)});
    }
    const Piece& middle = plan.at(0);
    plan.line_sigma_px = line_quality(lines, path, middle.shape, middle.estimator, options.raised).sigma_px;
  }
  plan.figure_px = plan.at(0).estimator.figure_px();
  plan.figure_over_all_px =
      plan.figure_px * std::sqrt(12 * coherent / (path.last_line() - path.first_line() + 1));
  return plan;
}

// `looks_at`: scan lines that a place is fitted to, if more than the `per_group` that it stands for.
void trace_side(const ScanLines& lines, const SidePath& path, const SidePlan& plan, int per_group,
                int looks_at, int first, bool raised, std::vector<EdgePoint>& points) {
  const int beyond = std::max(0, (looks_at - per_group) / 2);
  const double most_start = 0.7 * plan.at(0).estimator.window().outward_px;
  double start = 0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const int line = first + static_cast<int>(i) * per_group;
    points[i].beyond = line < path.first_line() || line + per_group - 1 > path.last_line();
    if (points[i].beyond) continue;
    // As many on both sides, or the place would stand for another line.
    const int more = std::min({beyond, line - path.first_line(), path.last_line() - line - per_group + 1});
    const Group g{&lines, &path, line - std::max(0, more), per_group + 2 * std::max(0, more), raised};
    const Piece& here = plan.at(path.along(line));
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
    trace_side(lines, *sides[k], plans[i], trace.lines_per_point, looks_at, first, options.raised,
               trace.points[k]);
  });
  return trace;
}

}  // namespace tapersight
