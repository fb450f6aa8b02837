#include "edges/side_plan.h"

#include <cmath>
#include <utility>

#include "edges/face_figure.h"
#include "numeric/descriptive.h"

namespace tapersight {
namespace {

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

// An edge with another line beside it changes along the strip: it is taken in pieces.
constexpr int kPieces = 48;

EdgeShape shape_of(double blur, const LineBeside& beside) {
  // A band of no width: the wall is hidden behind the face.
  const bool hidden = beside.part == 0 || beside.gap_px <= 0;
  return {BlurredStep(blur), hidden ? LineBeside{} : beside, BlurredStep(hidden ? 1 : beside.blur_px)};
}

// What disturbs the side's scan lines, as its own picture shows it.
struct Disturbed {
  Disturbance each;     // a scan line
  double coherent = 1;  // so many neighbouring lines share the figure, without the estimator's limit
  double step = 0;      // of the edge, light
};

class SidePlanner {
 public:
  SidePlanner(const ScanLines& lines, const SidePath& path, double blur, const TraceOptions& options,
              int side)
      : lines_(lines),
        path_(path),
        blur_(blur),
        options_(options),
        side_(side),
        beside_(options.beside[side]),
        shape_(shape_of(blur, beside_.at(0))),
        window_(window_for(blur)) {}

  SidePlan plan() const {
    const Disturbed disturbed = learn_disturbance();
    SidePlan plan = beside_.part == 0 && !options_.raised ? plan_clean(disturbed) : plan_pieces(disturbed);
    plan.figure_px = plan.at(0).estimator.figure_px();
    plan.figure_over_all_px =
        plan.figure_px * std::sqrt(12 * disturbed.coherent / (path_.last_line() - path_.first_line() + 1));
    return plan;
  }

 private:
  LineQuality quality(const EdgeShape& shape, const PlaceEstimator& estimator) const {
    return line_quality(lines_, path_, shape, estimator, options_.raised);
  }

  Disturbed learn_disturbance() const {
    const bool raised = options_.raised;
    Disturbed d;
    if (!raised) d.each.ground = quality(shape_, {shape_.step, window_, d.each, shape_.beside}).ground;
    const LineQuality seen = quality(shape_, {shape_.step, window_, d.each, shape_.beside});
    d.step = seen.step;
    d.each.figure_px = std::max(0.5, kFibreMm * options_.px_per_mm);
    if (!(seen.step > 0)) return d;
    const double face_mm = raised ? kRaisedFaceMm : kFaceMm;
    const FaceFigure figure = measure_figure(lines_, path_, blur_, d.each.figure_px,
                                             static_cast<int>(std::ceil(face_mm * options_.px_per_mm)));
    d.each.noise = seen.noise / seen.step;
    d.each.figure = figure.light / seen.step;
    d.each.coherent_lines =
        std::min(figure.coherent_lines, raised ? kMostCoherentRaised : kMostCoherentLines);
    d.coherent = figure.coherent_lines;
    if (!raised) return d;
    d.each.rings = std::min(figure.rings / seen.step, kMostRings);
    d.each.rings_px = figure.rings_px;
    d.each.ground_slope = options_.ground_slope[side_] / seen.step;
    d.each.second = options_.second[side_] / seen.step;
    return d;
  }

  // Of a scan, with nothing beside the edge: in a wide window where that is better.
  SidePlan plan_clean(const Disturbed& disturbed) const {
    PlaceEstimator estimator(shape_.step, window_, disturbed.each, shape_.beside);
    LineQuality seen = quality(shape_, estimator);
    const bool even = is_ground_even(lines_, path_, blur_, disturbed.step);
    PlaceEstimator wide(shape_.step, wide_window_for(blur_, even), disturbed.each, shape_.beside);
    if (wide.place_sd_px() < kWideGain * estimator.place_sd_px()) {
      const LineQuality of_wide = quality(shape_, wide);
      if (of_wide.noise < kMostResidual * seen.noise) {
        estimator = std::move(wide);
        seen = of_wide;
      }
    }
    SidePlan plan;
    plan.pieces.push_back({shape_, std::move(estimator)});
    plan.line_sigma_px = seen.sigma_px;
    return plan;
  }

  // With another line beside the edge, or of a strip that stands up from the sheet.
  SidePlan plan_pieces(const Disturbed& disturbed) const {
    Disturbance here = disturbed.each;
    const int pieces = beside_.part == 0 && here.second == 0 ? 1 : kPieces;
    SidePlan plan;
    for (int i = 0; i < pieces; ++i) {
      const double along = (2.0 * i + 1) / pieces - 1;
      EdgeShape shape = shape_of(blur_, beside_.at(along));
      here.second_px = options_.second_px[side_] * (1 + options_.scale_grows[side_] * along);
      PlaceEstimator estimator(shape.step, window_, here, shape.beside);
      plan.pieces.push_back({std::move(shape), std::move(estimator)});
    }
    plan.line_sigma_px = quality(plan.at(0).shape, plan.at(0).estimator).sigma_px;
    return plan;
  }

  const ScanLines& lines_;
  const SidePath& path_;
  double blur_;
  const TraceOptions& options_;
  int side_;
  const FoundLineBeside& beside_;
  EdgeShape shape_;
  FitWindow window_;
};

}  // namespace

SidePlan plan_side(const ScanLines& lines, const SidePath& path, double blur, const TraceOptions& options,
                   int side) {
  return SidePlanner(lines, path, blur, options, side).plan();
}

}  // namespace tapersight
