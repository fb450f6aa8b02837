#include "bench/edge_limits.h"

#include <algorithm>
#include <cmath>

#include "base/rng.h"
#include "bench/edge_bound.h"
#include "bench/issue_scenes.h"
#include "imaging/parallel.h"
#include "numeric/student_t.h"
#include "synth/roughness.h"

namespace tapersight::testing {
namespace {

constexpr int kSmoothPictures = 4;
constexpr double kMarginMm = 2;  // left out at each end by measure_strip

EdgePatch random_patch(const LimitCell& cell, std::uint64_t seed) {
  Rng rng(seed);
  EdgePatch patch;
  patch.blur_px = cell.blur_px;
  patch.roughness_um = cell.roughness_um;
  patch.correlation_mm = cell.correlation_mm;
  patch.gaussian = cell.gaussian;
  patch.lines = cell.roughness_um > 0 ? 1200 : 600;
  patch.tilt_deg = rng.uniform(-3, 3);
  patch.taper = rng.uniform(-0.01, 0.01);
  patch.phase_px = rng.uniform(0, 1);
  patch.seed = seed;
  return patch;
}

double bound_of(const EdgePatch& patch, double noise_levels) {
  const double used_mm = patch.lines * patch.mm_per_px() - 2 * kMarginMm;
  double variance = 0;
  for (int side = 0; side < 2; ++side) {
    EdgeView view;
    view.ground = patch.ground[static_cast<std::size_t>(side)];
    view.face = patch.face;
    view.blur_px = patch.blur_px * std::hypot(1, patch.lean(side));
    view.noise_levels = noise_levels;
    view.encoding = patch.encoding;
    view.lean = patch.lean(side);
    view.place_phase = patch.place(side) - std::floor(patch.place(side));
    view.rows = static_cast<int>(used_mm / patch.mm_per_px());
    const EdgeBound bound = edge_bound(view);
    if (patch.roughness_um > 0) {
      // White noise of the places, spread over a length.
      EdgeScene edge;
      edge.roughness_um = patch.roughness_um;
      edge.correlation_mm = patch.correlation_mm;
      edge.gaussian = patch.gaussian;
      const double sd_mm = bound.place_sd_px * patch.mm_per_px();
      variance += best_slope_variance(edge, used_mm, sd_mm * sd_mm * patch.mm_per_px());
    } else {
      // An angle: the lean's change is larger by 1 / cos^2.
      variance += std::pow(bound.lean_u / (1 + patch.lean(side) * patch.lean(side)), 2);
    }
  }
  return variance;
}

}  // namespace

LimitResult run_cell(const LimitCell& cell, int trials, std::uint64_t seed) {
  const int pictures = cell.roughness_um > 0 ? trials : kSmoothPictures;
  const int each = std::max(1, trials / pictures);
  std::vector<LimitResult> parts(static_cast<std::size_t>(pictures));
  in_parallel(pictures, [&](int i) {
    const std::uint64_t own = stream_seed(seed + static_cast<std::uint64_t>(i), "limit cell");
    const EdgePatch patch = random_patch(cell, own);
    const cv::Mat light = patch_light(patch);
    LimitResult& part = parts[static_cast<std::size_t>(i)];
    part.bound = bound_of(patch, cell.noise_levels);
    for (int k = 0; k < each; ++k) {
      const cv::Mat codes =
          patch_codes(patch, light, cell.noise_levels, own + 1 + static_cast<std::uint64_t>(k));
      const PatchResult r = measure_patch(patch, codes);
      if (!r.measured) {
        ++part.failed;
        continue;
      }
      ++part.measured;
      part.mean_square += r.taper_error * r.taper_error;
      part.mean_u_square += r.u * r.u;
      part.covered += std::abs(r.taper_error) <= t_factor(0.95, r.dof) * r.u;
    }
  });
  LimitResult sum;
  for (const LimitResult& part : parts) {
    sum.measured += part.measured;
    sum.failed += part.failed;
    sum.covered += part.covered;
    sum.mean_square += part.mean_square;
    sum.mean_u_square += part.mean_u_square;
    sum.bound += part.bound / pictures;
  }
  sum.mean_square /= std::max(1, sum.measured);
  sum.mean_u_square /= std::max(1, sum.measured);
  return sum;
}

}  // namespace tapersight::testing
