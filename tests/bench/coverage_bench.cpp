// Does the stated interval hold, with and without each thing that the estimator's model leaves out?
//   bench_coverage [--count N] [--seed N] [--effect NAME]... [--photos] [--each] [--threads N]
// The same scenes with one effect at a time. Without --seed the seed is drawn anew; it is printed, so that a
// run can be made again. --each prints every picture with its budget.
#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstdio>
#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>
#include <optional>
#include <string>
#include <vector>

#include "base/rng.h"
#include "batch/in_order.h"
#include "bench/bench_run.h"
#include "bench/coverage_effects.h"
#include "bench/world_judge.h"
#include "fence/cut_scatter.h"
#include "formats/read_picture.h"
#include "numeric/descriptive.h"
#include "numeric/student_t.h"
#include "pipeline/measure_picture.h"
#include "synth/render_photo.h"
#include "synth/render_scan.h"
#include "synth/roughness.h"

namespace tapersight::testing {
namespace {

struct Options {
  std::vector<std::string> effects;
  BenchRun run{40};
  bool photos = false, each = false;
};

// One strip, cut, pictured and measured.
struct Held {
  std::uint64_t seed = 0;
  std::string refused;
  double error = 0, error_as_drawn = 0;  // of the taper
  double u = 0, U = 0;
  bool fence_held = false, warned = false;
  std::string words;  // for --each

  bool held() const { return std::abs(error) <= U; }
};

void judge(const Result<PictureMeasurement>& measured, double taper, double as_drawn, double fence,
           Held& held) {
  if (!measured) {
    held.refused = measured.failure().code;
    return;
  }
  const PictureMeasurement& m = *measured;
  held.error = m.strip.taper - taper;
  held.error_as_drawn = m.strip.taper - as_drawn;
  held.u = m.strip.u_taper;
  held.U = t_factor(kCoverage, m.strip.dof) * held.u;
  const auto of_strip = fence_error({m.strip.taper, m.strip.u_taper, m.strip.dof}, SledSetup());
  if (of_strip) {
    const FenceError judged = judged_by_one_cut(*of_strip, usual_cut_scatter());
    held.fence_held = std::abs(judged.theta - fence) <= judged.U;
  }
  for (const Warning& warning : m.warnings) {
    held.warned |= speaks_of_taper(warning.code);
    held.words += " " + warning.code;
  }
  char text[80];
  for (const BudgetRow& row : m.strip.budget) {
    std::snprintf(text, sizeof text, " %s=%.3f", row.source.c_str(), row.u * kThouPerTaper);
    held.words += text;
  }
}

Held try_scan(const CoverageEffect& effect, std::uint64_t seed) {
  Held held;
  held.seed = seed;
  const SeriesOfCuts cut = cut_series(seed, effect.square);
  ScanScene scene = effect.scan(seed);
  scene.strips.front().taper = cut.strip_taper;
  const RenderedScan scan = render_scan(scene);
  cv::Mat grey = scan.image;
  if (grey.channels() == 3) cv::cvtColor(scan.image, grey, cv::COLOR_BGR2GRAY);
  judge(measure_picture(grey, scene.dpi, scene.dpi), scene.strips.front().taper,
        scan.truth.strips.front().taper_as_drawn, cut.fence, held);
  return held;
}

Held try_photo(const CoverageEffect& effect, std::uint64_t seed) {
  Held held;
  held.seed = seed;
  const SeriesOfCuts cut = cut_series(seed, effect.square);
  PhotoScene scene = effect.photo(seed);
  scene.strips.front().taper = cut.strip_taper;
  const RenderedPhoto photo = render_photo(scene);
  const auto read = read_picture(std::string(photo.jpeg.begin(), photo.jpeg.end()));
  if (!read) {
    held.refused = read.failure().code;
    return held;
  }
  PictureOptions options;
  options.by_camera = read->by_camera;
  judge(measure_picture(read->grey, std::nullopt, std::nullopt, options), scene.strips.front().taper,
        photo.truth.strips.front().taper_as_drawn, cut.fence, held);
  return held;
}

void print_row(const CoverageEffect& effect, const std::vector<Held>& trials) {
  std::vector<double> errors, us;
  double squares = 0;
  int strip = 0, drawn = 0, fence = 0, told = 0;
  for (const Held& t : trials) {
    if (!t.refused.empty()) continue;
    errors.push_back(std::abs(t.error) * kThouPerTaper);
    us.push_back(t.u);
    squares += t.error * t.error;
    strip += t.held();
    drawn += std::abs(t.error_as_drawn) <= t.U;
    fence += t.fence_held;
    told += t.held() || t.warned;
  }
  const double n = std::max<double>(1, static_cast<double>(errors.size()));
  const double worst = errors.empty() ? 0 : *std::max_element(errors.begin(), errors.end());
  std::printf("| %s | %s | %zu of %zu | %.0f %% | %.0f %% | %.0f %% | %.0f %% | %.2f | %.2f, %.1f |\n",
              effect.name.c_str(), effect.size.c_str(), errors.size(), trials.size(), 100 * strip / n,
              100 * told / n, 100 * drawn / n, 100 * fence / n,
              squares > 0 ? median(us) / std::sqrt(squares / n) : 0, errors.empty() ? 0 : median(errors),
              worst);
  std::fflush(stdout);
}

void print_each(const CoverageEffect& effect, const std::vector<Held>& trials) {
  for (const Held& t : trials) {
    if (t.refused.empty())
      std::printf("%s %llu error %.3f drawn %.3f u %.3f U %.3f%s\n", effect.name.c_str(),
                  static_cast<unsigned long long>(t.seed), t.error * kThouPerTaper,
                  t.error_as_drawn * kThouPerTaper, t.u * kThouPerTaper, t.U * kThouPerTaper,
                  t.words.c_str());
    else
      std::printf("%s %llu refused %s\n", effect.name.c_str(), static_cast<unsigned long long>(t.seed),
                  t.refused.c_str());
  }
}

bool is_effect(const std::string& name) {
  const auto& all = coverage_effects();
  return std::any_of(all.begin(), all.end(), [&](const CoverageEffect& e) { return e.name == name; });
}

bool parse(const std::vector<std::string>& words, Options& options) {
  for (std::size_t i = 0; i < words.size(); ++i) {
    const std::string value = i + 1 < words.size() ? words[i + 1] : "";
    if (words[i] == "--photos") {
      options.photos = true;
    } else if (words[i] == "--each") {
      options.each = true;
    } else if (words[i] == "--effect" && is_effect(value)) {
      options.effects.push_back(words[++i]);
    } else if (!options.run.take_word(words, i)) {
      return false;
    }
  }
  return true;
}

int usage() {
  std::fprintf(
      stderr, "bench_coverage [--count N] [--seed N] [--effect NAME]... [--photos] [--each] [--threads N]\n");
  for (const CoverageEffect& effect : coverage_effects())
    std::fprintf(stderr, "  %-18s %s\n", effect.name.c_str(), effect.size.c_str());
  return 2;
}

void run(Options options) {
  options.run.draw_seed();
  if (options.run.threads > 1) cv::setNumThreads(1);  // the pictures are what runs side by side
  std::printf("bench_coverage --seed %llu --count %d%s\n\n",
              static_cast<unsigned long long>(options.run.seed), options.run.count,
              options.photos ? " --photos" : "");
  std::printf(
      "| effect | size | measured | cut's taper in 95 %% | or warned | as drawn in 95 %% | fence in 95 %% | "
      "median u / rms error | thou over 7.5 in: median, worst |\n"
      "| --- | --- | --- | --- | --- | --- | --- | --- | --- |\n");
  const std::atomic<bool> stop{false};
  for (const CoverageEffect& effect : coverage_effects()) {
    const auto& wanted = options.effects;
    if (!wanted.empty() && std::find(wanted.begin(), wanted.end(), effect.name) == wanted.end()) continue;
    if (options.photos ? effect.photo == nullptr : effect.scan == nullptr) continue;
    Rng rng(stream_seed(options.run.seed, "coverage"));  // every effect on the same scenes
    std::vector<Held> trials(static_cast<std::size_t>(options.run.count));
    for (Held& t : trials) t.seed = rng.next() >> 1U;
    run_in_order(
        trials.size(), options.run.threads, stop,
        [&](std::size_t i) {
          trials[i] = options.photos ? try_photo(effect, trials[i].seed) : try_scan(effect, trials[i].seed);
        },
        [](std::size_t) {});
    if (options.each) print_each(effect, trials);
    print_row(effect, trials);
  }
}

}  // namespace
}  // namespace tapersight::testing

int main(int argc, char** argv) {
  using namespace tapersight::testing;
  Options options;
  if (!parse({argv + 1, argv + argc}, options)) return usage();
  run(options);
  return 0;
}
