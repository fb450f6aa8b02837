#include <algorithm>
#include <cmath>
#include <cstdio>
#include <functional>
#include <string>
#include <vector>

#include "bench/edge_bound.h"
#include "bench/edge_limits.h"
#include "bench/limits_parts.h"
#include "imaging/parallel.h"
#include "numeric/student_t.h"
#include "pipeline/measure_picture.h"
#include "synth/render_scan.h"
#include "synth/roughness.h"
#include "synth/sensor.h"

namespace tapersight::testing {
namespace {

constexpr double kThou = 7500;

void print_cell(const std::string& name, const LimitResult& r) {
  const double c = r.coverage();
  std::printf("  %-34s %6d %5d  %5.2f +- %.2f  %5.1f +- %.1f %%  %9.4f\n", name.c_str(), r.measured, r.failed,
              r.efficiency(), r.efficiency() * std::sqrt(2.0 / r.measured), 100 * c,
              100 * std::sqrt(0.95 * 0.05 / r.measured), kThou * std::sqrt(r.mean_square));
  std::fflush(stdout);
}

std::string text(const char* format, double a, double b, const char* more = "") {
  char line[80];
  std::snprintf(line, sizeof line, format, a, b, more);
  return line;
}

// The whole pipeline on one small scan with many noises: the edges' figures hold there too.
void pipeline_cell(double blur, double noise, int trials) {
  ScanScene scene;
  scene.window_sheet_mm = fiducial_bounds(sheet_layout(scene.paper));
  scene.page_rotation_deg = 0.7;
  scene.scanner.blur_px = blur;
  StripScene& strip = scene.strips.front();
  strip.taper = 0.004;
  strip.ends.roughness_um = 0;
  const ScanTruth truth = make_truth(scene);
  const cv::Mat light = render_light(scene, truth);
  std::vector<double> errors(static_cast<std::size_t>(trials), NAN);
  std::vector<char> covered(errors.size(), 0);
  in_parallel(trials, [&](int k) {
    const cv::Mat codes =
        encode(light, scene.encoding, noise, stream_seed(static_cast<std::uint64_t>(k), "limits"));
    const auto m = measure_picture(codes, 300.0, 300.0);
    if (!m) return;
    const auto i = static_cast<std::size_t>(k);
    errors[i] = m->strip.taper - truth.strips.front().taper;
    covered[i] = std::abs(errors[i]) <= t_factor(0.95, m->strip.dof) * m->strip.u_taper;
  });
  EdgeView view;
  view.ground = scene.ground_tone;
  view.face = strip.wood.tone;
  view.blur_px = blur;
  view.noise_levels = noise;
  view.rows = static_cast<int>((strip.length_mm - 4) * 300 / 25.4);
  LimitResult r;
  double sum = 0;
  for (std::size_t i = 0; i < errors.size(); ++i) {
    if (std::isnan(errors[i])) {
      ++r.failed;
      continue;
    }
    ++r.measured;
    r.mean_square += errors[i] * errors[i];
    sum += errors[i];
    r.covered += covered[i];
  }
  r.mean_square /= std::max(1, r.measured);
  r.bound = 2 * std::pow(edge_bound(view).lean_u, 2);
  print_cell(text("  whole picture: %.1f px, %g levels", blur, noise), r);
  std::printf("      mean error %+.4f thou\n", kThou * sum / std::max(1, r.measured));
}

struct BiasCase {
  const char* name;
  std::function<void(EdgePatch&, int)> change;  // variant 0..kVariants-1
  double noise_levels = 1;
};

constexpr int kVariants = 8;

// A strip of 4 in whose edges cross some pixel columns; the light and the noise of the two sides differ.
EdgePatch plain_patch() {
  EdgePatch patch;
  patch.lines = 1200;
  patch.blur_px = 0.8;
  patch.tilt_deg = 0.2;
  patch.taper = 0.003;
  return patch;
}

struct Bias {
  double edge_px = 0, thou = 0;  // largest over the variants
  double noise_thou = 0;         // standard uncertainty of a variant's mean
  int failed = 0;
};

Bias bias_of(const BiasCase& bias_case, int repeats) {
  Bias worst;
  std::vector<Bias> parts(kVariants);
  in_parallel(kVariants, [&](int variant) {
    EdgePatch patch = plain_patch();
    bias_case.change(patch, variant);
    const cv::Mat light = patch_light(patch);
    Bias& part = parts[static_cast<std::size_t>(variant)];
    double taper = 0, squares = 0, edge[2] = {0, 0};
    int n = 0;
    for (int k = 0; k < repeats; ++k) {
      const PatchResult r =
          measure_patch(patch, patch_codes(patch, light, bias_case.noise_levels,
                                           stream_seed(static_cast<std::uint64_t>(k), bias_case.name)));
      if (!r.measured) {
        ++part.failed;
        continue;
      }
      ++n;
      taper += r.taper_error;
      squares += r.taper_error * r.taper_error;
      for (std::size_t side = 0; side < 2; ++side) edge[side] += r.edge_px[side];
    }
    if (n == 0) return;
    taper /= n;
    part.thou = kThou * std::abs(taper);
    part.noise_thou = kThou * std::sqrt(std::max(0.0, squares / n - taper * taper) / n);
    part.edge_px = std::max(std::abs(edge[0]), std::abs(edge[1])) / n;
  });
  for (const Bias& part : parts) {
    worst.edge_px = std::max(worst.edge_px, part.edge_px);
    if (part.thou > worst.thou) worst.noise_thou = part.noise_thou;
    worst.thou = std::max(worst.thou, part.thou);
    worst.failed += part.failed;
  }
  return worst;
}

std::vector<BiasCase> bias_cases() {
  using P = EdgePatch;
  std::vector<BiasCase> cases = {
      {"sub-pixel phase, edges along the columns",
       [](P& p, int i) {
         p.tilt_deg = 0;
         p.taper = 0;
         p.phase_px = i / 8.0;
       }},
      {"sub-pixel phase, one column crossed",
       [](P& p, int i) {
         p.tilt_deg = 0.048;
         p.taper = 0;
         p.phase_px = i / 8.0;
       }},
      {"blur 0.35 to 2.45 px", [](P& p, int i) { p.blur_px = 0.35 + 0.3 * i; }},
      {"dark left, bright right",
       [](P& p, int i) {
         p.ground = {0.03, 0.85};
         p.phase_px = i / 8.0;
       }},
      {"both sides bright",
       [](P& p, int i) {
         p.ground = {0.9, 0.9};
         p.phase_px = i / 8.0;
       }},
      {"gamma 1.8 to 2.6",
       [](P& p, int i) {
         p.encoding.transfer = EncodingScene::Transfer::kGamma;
         p.encoding.gamma = 1.8 + 0.8 * i / 7;
       }},
      {"gamma 1.8 to 2.6, tone drifts 20 %",
       [](P& p, int i) {
         p.encoding.transfer = EncodingScene::Transfer::kGamma;
         p.encoding.gamma = 1.8 + 0.8 * i / 7;
         p.face_drift = 0.2;
       }},
      {"sharpening halos, 20 to 90 %", [](P& p, int i) { p.halo = 0.2 + 0.1 * i; }},
      {"sharpening halos, dark left, bright right",
       [](P& p, int i) {
         p.halo = 0.2 + 0.1 * i;
         p.ground = {0.03, 0.85};
       }},
      {"face near white, some of it clipped", [](P& p, int i) { p.face = 0.9 + 0.01 * i; }, 4},
      {"ground near black, some of it clipped",
       [](P& p, int i) {
         p.ground = {0.0005 * i, 0.0005 * i};
       },
       4},
  };
  for (const int quality : {70, 85, 95})
    cases.push_back({quality == 70   ? "JPEG 70, an edge crosses one block"
                     : quality == 85 ? "JPEG 85, an edge crosses one block"
                                     : "JPEG 95, an edge crosses one block",
                     [quality](P& p, int i) {
                       p.encoding.jpeg_quality = quality;
                       p.tilt_deg = 0.38;
                       p.taper = 0.0033;
                       p.phase_px = i;
                     }});
  cases.push_back({"rotation 0 to 3.5 degrees", [](P& p, int i) { p.tilt_deg = 0.5 * i; }});
  cases.push_back({"rotation 42 to 45.5 degrees", [](P& p, int i) {
                     p.tilt_deg = 42 + 0.5 * i;
                     p.lines = 900;
                   }});
  cases.push_back({"saw marks, period 7.4 to 8.8 px, JPEG 85", [](P& p, int i) {
                     p.saw_contrast = 0.1;
                     p.saw_period_px = 7.4 + 0.2 * i;
                     p.encoding.jpeg_quality = 85;
                   }});
  return cases;
}

}  // namespace

void compare_with_bound(const LimitsOptions& options) {
  const int trials = options.quick ? 40 : 400;
  std::printf(
      "\nB. Against the limit. Efficiency: least possible variance over our mean squared error, +- one "
      "standard\n"
      "   deviation. Coverage of the stated 95 %% interval, +- the binomial one. Seed 1.\n");
  std::printf("  %-34s %6s %5s  %13s  %15s  %9s\n", "smooth: blur, noise", "trials", "fail", "efficiency",
              "in 95 %", "rms, thou");
  LimitResult all;
  double log_sum = 0;
  int cells = 0;
  for (const double blur :
       options.quick ? std::vector<double>{0.4, 1, 2} : std::vector<double>{0.4, 0.7, 1, 1.5, 2})
    for (const double noise :
         options.quick ? std::vector<double>{0.5, 6} : std::vector<double>{0.5, 1, 2, 4, 6}) {
      const LimitResult r = run_cell({blur, noise}, trials, 1);
      print_cell(text("  %.1f px, %g levels", blur, noise), r);
      all.measured += r.measured;
      all.covered += r.covered;
      log_sum += std::log(r.efficiency());
      ++cells;
    }
  std::printf("  all smooth cells: efficiency %.2f (geometric mean), in 95 %% %.1f +- %.1f %%\n",
              std::exp(log_sum / cells), 100 * all.coverage(), 100 * std::sqrt(0.95 * 0.05 / all.measured));
  pipeline_cell(0.8, 2, options.quick ? 8 : 100);
  pipeline_cell(1.2, 6, options.quick ? 8 : 100);
  std::printf("  rough: rms, correlation length (blur 0.8 px, noise 1.5 levels)\n");
  const LimitCell rough[] = {{0.8, 1.5, 5, 0.5, false},
                             {0.8, 1.5, 15, 1, false},
                             {0.8, 1.5, 30, 2, false},
                             {0.8, 1.5, 15, 0.3, true},
                             {0.8, 1.5, 30, 1, true}};
  for (const LimitCell& cell : rough)
    print_cell(text("  %g um, %g mm, %s", cell.roughness_um, cell.correlation_mm,
                    cell.gaussian ? "Gaussian" : "exponential"),
               run_cell(cell, trials, 1));
}

void hunt_bias(const LimitsOptions& options) {
  std::printf(
      "\nC. Bias: the largest of %d variants, noise averaged away, on a strip of 4 in at 300 dpi. \"edge\" "
      "is how far a "
      "whole edge is moved\n   (that goes into widths), \"taper\" is what is left of it in the taper; +- the "
      "averaged noise.\n",
      kVariants);
  std::printf("  %-44s %9s  %20s  %9s\n", "", "edge, px", "taper, thou/7.5 in", "taper, px");
  for (const BiasCase& c : bias_cases()) {
    const Bias b = bias_of(c, options.quick ? 3 : 40);
    std::printf("  %-44s %9.4f  %9.4f +- %.4f  %9.4f", c.name, b.edge_px, b.thou, b.noise_thou,
                b.thou / kThou * (1200 - 47));
    if (b.failed > 0) std::printf("  %d failed", b.failed);
    std::printf("\n");
    std::fflush(stdout);
  }
}

}  // namespace tapersight::testing
