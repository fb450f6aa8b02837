#include "edges/group_fit.h"

#include <Eigen/Core>
#include <cmath>
#include <utility>
#include <vector>

#include "edges/trace_edges.h"
#include "numeric/dense.h"
#include "numeric/descriptive.h"

namespace tapersight {
namespace {

// A place has settled when it moves by less than kSettledPx; a patient group's, by less than kSettledPart of
// its standard deviation, or kPatientPx if that is less. From pass kWholeSteps on a patient group's moves are
// halved.
constexpr int kPasses = 8, kPatientPasses = 20, kWholeSteps = 7;
constexpr double kSettledPx = 2e-3, kSettledPart = 0.1, kPatientPx = 0.03;

}  // namespace

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
  for (int pass = 0; pass < kPatientPasses && !settled; ++pass) {
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
    shift += pass >= kWholeSteps ? move / 2 : move;
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

namespace {

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

// Place, levels and blur together; the blur.
std::optional<double> blur_of(const Group& g, int half, double blur, const LineBeside& beside) {
  double shift = 0;
  double low = 0;
  double step = 0;
  for (int pass = 0; pass < 10; ++pass) {
    Eigen::Matrix4d normal = Eigen::Matrix4d::Zero();
    Eigen::Vector4d right = Eigen::Vector4d::Zero();
    const bool whole = visit(g, half, shift, [&](double x, double light) {
      const BlurredStep::Exact e = BlurredStep::exact(x, blur);
      const double own = 1 - beside.part;
      const double outer = beside.part == 0 || beside.gap_px + shift <= 0
                               ? e.value
                               : BlurredStep::exact(x + shift + beside.gap_px, beside.blur_px).value;
      const double value = own * e.value + beside.part * outer;
      const double r = light - low - step * value;
      Eigen::Vector4d j(1, value, -step * own * e.slope, step * own * e.by_blur);
      if (pass == 0) j.tail<2>().setZero();
      normal.noalias() += j * j.transpose();
      right += r * j;
    });
    if (!whole) return std::nullopt;
    if (pass == 0) normal(2, 2) = normal(3, 3) = 1;
    const Eigen::Vector4d d = solve_symmetric_4(normal, right);
    if (!d.allFinite()) return std::nullopt;
    low += d[0];
    step += d[1];
    shift += std::clamp(d[2], -1.0, 1.0);
    blur = std::clamp(blur + std::clamp(d[3], -0.3, 0.3), 0.2, 1.0 * half);
    if (std::abs(shift) > half) return std::nullopt;
  }
  return blur;
}

}  // namespace

double learn_blur(const ScanLines& lines, const SidePath& path, double blur, int per_group,
                  const FoundLineBeside& beside) {
  for (int pass = 0; pass < 2; ++pass) {
    std::vector<double> blurs;
    const int half = std::max(3, static_cast<int>(std::ceil(2.6 * blur + 1))) + 1;
    const int total = path.last_line() - path.first_line() + 1;
    const int step = std::max(per_group, total / 120);
    for (int line = path.first_line() + total / 20; line + per_group <= path.last_line() - total / 20;
         line += step)
      if (const auto fit = blur_of({&lines, &path, line, per_group}, half, blur, beside.at(path.along(line))))
        blurs.push_back(*fit);
    if (blurs.size() < 10) return blur;
    blur = std::clamp(median(std::move(blurs)), kLeastBlurPx, 12.0);
  }
  return blur;
}

}  // namespace tapersight
