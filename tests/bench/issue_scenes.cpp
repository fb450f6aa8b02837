#include "bench/issue_scenes.h"

#include <algorithm>
#include <cmath>

#include "base/rng.h"
#include "numeric/student_t.h"
#include "pipeline/measure_picture.h"
#include "synth/render_scan.h"
#include "synth/roughness.h"

namespace tapersight::testing {
namespace {

constexpr double kThou = 7500;  // over 7.5 in, per unit of taper

StripSide any_side(Rng& rng) {
  return rng.integer(0, 1) == 0 ? StripSide::kLeft : StripSide::kRight;
}

void draw_edge(Rng& rng, Edges edges, EdgeScene& edge) {
  const bool rough = edges == Edges::kRough;
  edge.roughness_um = rough ? rng.uniform(5, 30) : rng.uniform(1, 5);
  edge.correlation_mm = rough ? rng.uniform(0.3, 2) : 0.5;
  edge.gaussian = rng.integer(0, 1) == 1;
  edge.chips = rng.integer(0, 3);
  edge.chip_depth_mm = rng.uniform(0.1, 0.6);
  edge.chip_length_mm = rng.uniform(1, 5);
}

void draw_surroundings(Rng& rng, double ground_tone, StripScene& strip) {
  if (rng.integer(0, 2) == 0)
    strip.shadow = {any_side(rng), rng.uniform(0.8, 4), rng.uniform(0.1, 0.5), rng.uniform(0.5, 2)};
  // Ground as dark as the wood beside it leaves nothing to see: that is for the refusals.
  const double shaded = ground_tone * (1 - strip.shadow.depth);
  if (strip.shadow.side != StripSide::kNone && std::abs(shaded - strip.wood.tone) < 0.15) strip.shadow = {};
  if (rng.integer(0, 2) == 0) {
    strip.wall.mode = WallScene::Mode::kLens;
    strip.wall.thickness_mm = rng.uniform(6, 19);
    strip.wall.tone = strip.wood.tone * rng.uniform(0.3, 0.7);
    strip.wall.far_arris_blur_mm = rng.uniform(0.05, 0.3);
  }
}

// Solves T x = b for the symmetric Toeplitz matrix with first row r (Levinson; Golub and Van Loan, Matrix
// Computations, 4.7.3, from memory).
std::vector<double> solve_toeplitz(const std::vector<double>& r, const std::vector<double>& b) {
  const std::size_t n = b.size();
  std::vector<double> x(n), y(n), next(n);
  double beta = r[0];
  x[0] = b[0] / beta;
  if (n == 1) return x;
  y[0] = -r[1] / beta;
  for (std::size_t k = 1; k < n; ++k) {
    beta = beta * (1 - y[k - 1] * y[k - 1]);
    double sum = b[k];
    for (std::size_t i = 0; i < k; ++i) sum -= r[k - i] * x[i];
    const double mu = sum / beta;
    for (std::size_t i = 0; i < k; ++i) next[i] = x[i] + mu * y[k - 1 - i];
    next[k] = mu;
    std::copy(next.begin(), next.begin() + static_cast<std::ptrdiff_t>(k) + 1, x.begin());
    if (k + 1 == n) break;
    double reflection = -r[k + 1];
    for (std::size_t i = 0; i < k; ++i) reflection -= r[k - i] * y[i];
    reflection /= beta;
    // y as it stands solves the order-k problem: reversed it extends to order k + 1.
    for (std::size_t i = 0; i < k; ++i) next[i] = y[i] + reflection * y[k - 1 - i];
    next[k] = reflection;
    std::copy(next.begin(), next.begin() + static_cast<std::ptrdiff_t>(k) + 1, y.begin());
  }
  return x;
}

}  // namespace

double best_slope_variance(const EdgeScene& edge, double length_mm, double white_mm3) {
  constexpr double kStep = 0.1;
  const auto n = static_cast<std::size_t>(length_mm / kStep);
  const double variance = std::pow(edge.roughness_um / 1000, 2);
  std::vector<double> r(n);
  for (std::size_t i = 0; i < n; ++i) {
    const double d = static_cast<double>(i) * kStep / edge.correlation_mm;
    r[i] = variance * std::exp(edge.gaussian ? -d * d : -d);
  }
  r[0] += white_mm3 / kStep;
  // The middle of the positions is taken off: by symmetry slope and level are then uncorrelated.
  std::vector<double> t(n);
  for (std::size_t i = 0; i < n; ++i)
    t[i] = (static_cast<double>(i) - static_cast<double>(n - 1) / 2) * kStep;
  const std::vector<double> x = solve_toeplitz(r, t);
  double information = 0;
  for (std::size_t i = 0; i < n; ++i) information += t[i] * x[i];
  return 1 / information;
}

ScanScene issue_scene(std::uint64_t seed, Edges edges, const SceneOptions& options) {
  ScanScene scene = random_scan_scene(seed, SceneProfile::kSmooth);
  Rng rng(stream_seed(seed, edges == Edges::kRough ? "issue rough" : "issue smooth"));
  scene.page_rotation_deg = (options.across ? 90 : 0) + 180 * rng.integer(0, 1) + rng.uniform(-3, 3);
  scene.print_scale_y = scene.print_scale_x;
  scene.print_scale_y *= 1 + options.print_ratio_sd * rng.normal();
  scene.encoding.jpeg_quality = rng.integer(0, 1) == 0 ? 0 : rng.integer(75, 95);
  scene.dpi = options.small || rng.integer(0, 1) == 0 ? 300 : 600;
  scene.window_sheet_mm = fiducial_bounds(sheet_layout(scene.paper));
  StripScene& strip = scene.strips.front();
  strip.taper = rng.uniform(-0.01, 0.01);
  strip.length_mm = rng.uniform(190, 250);
  strip.offset_y_mm = rng.uniform(-0.4, 0.4) * (254 - strip.length_mm);
  draw_edge(rng, edges, strip.left);
  draw_edge(rng, edges, strip.right);
  strip.left.bow_um = 10 * rng.normal();
  strip.right.bow_um = 10 * rng.normal();
  strip.ends = {rng.uniform(20, 100), rng.integer(0, 3), rng.uniform(0.5, 2), rng.uniform(50, 300)};
  draw_surroundings(rng, scene.ground_tone, strip);
  scene.dust_specks = rng.integer(0, 30);
  return scene;
}

double best_taper_variance(const StripScene& strip) {
  constexpr double kWhite = 0.0003 * 0.0003 * 0.1;  // 0.3 um every 0.1 mm
  return best_slope_variance(strip.left, strip.length_mm, kWhite) +
         best_slope_variance(strip.right, strip.length_mm, kWhite);
}

Trial run_trial(const ScanScene& scene) {
  const RenderedScan scan = render_scan(scene);
  const double dpi = scene.dpi;
  const Result<PictureMeasurement> measured = measure_picture(scan.image, dpi, dpi);
  Trial trial;
  if (!measured) {
    trial.refused = measured.failure().code;
    return trial;
  }
  trial.error = measured->strip.taper - scan.truth.strips.front().taper;
  trial.u = measured->strip.u_taper;
  trial.dof = measured->strip.dof;
  trial.doubled = std::any_of(measured->warnings.begin(), measured->warnings.end(),
                              [](const Warning& w) { return w.code == "edge-doubled"; });
  trial.best_variance = best_taper_variance(scene.strips.front());
  return trial;
}

Summary summarise(const std::vector<Trial>& trials) {
  Summary s;
  std::vector<double> errors;
  double squares = 0, best = 0, u = 0;
  int covered = 0;
  for (const Trial& t : trials) {
    if (!t.refused.empty()) {
      ++s.refused;
      continue;
    }
    errors.push_back(std::abs(t.error) * kThou);
    squares += t.error * t.error;
    best += t.best_variance;
    u += t.u * t.u;
    covered += std::abs(t.error) <= t_factor(0.95, t.dof) * t.u;
  }
  s.measured = static_cast<int>(errors.size());
  if (errors.empty()) return s;
  std::sort(errors.begin(), errors.end());
  const auto at = [&](double part) {
    return errors[static_cast<std::size_t>(std::lround(part * static_cast<double>(errors.size() - 1)))];
  };
  const double n = s.measured;
  s.median_thou = at(0.5);
  s.p95_thou = at(0.95);
  s.worst_thou = errors.back();
  s.rms_thou = std::sqrt(squares / n) * kThou;
  s.covered = covered / n;
  s.mean_u_thou = std::sqrt(u / n) * kThou;
  s.over_best = std::sqrt(squares / best);
  return s;
}

}  // namespace tapersight::testing
