// Accuracy, honesty of the intervals, speed and memory of `measure` on generated scans, in one run.
//   bench_scan [N = 200] [--coverage N = 1000] [--print-ratio SD = 0] [--no-timing]
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <iterator>
#include <map>
#include <opencv2/imgcodecs.hpp>
#include <string>
#include <vector>

#include "bench/child_cost.h"
#include "bench/issue_scenes.h"
#include "bench/plain_recipe.h"
#include "pipeline/measure_picture.h"
#include "room/load_picture.h"
#include "synth/render_scan.h"
#include "synth/scan_file.h"

namespace tapersight::testing {
namespace {

// The intervals are of a sheet whose check bars nobody has measured: the small scans' prints differ along and
// across by what `measure` takes prints to differ by. The full-size ones, for accuracy, are told as if the
// bars had been measured, unless --print-ratio says otherwise.
constexpr double kUsualPrintRatio = 0.003;

struct Options {
  int scans = 200;      // of each kind of edge
  int coverage = 1000;  // small pictures of each kind
  SceneOptions scene;
  bool timing = true;
};

std::vector<Trial> run_trials(int count, std::uint64_t first_seed, Edges edges, const SceneOptions& scene) {
  std::vector<Trial> trials;
  for (int i = 0; i < count; ++i)
    trials.push_back(run_trial(issue_scene(first_seed + static_cast<std::uint64_t>(i), edges, scene)));
  return trials;
}

void print_line(const char* name, const std::vector<Trial>& trials) {
  const Summary s = summarise(trials);
  std::printf("%-22s %5d %5d  %7.3f %7.3f %7.3f %7.3f  %7.3f  %6.1f %%  %6.2f\n", name, s.measured, s.refused,
              s.median_thou, s.p95_thou, s.worst_thou, s.rms_thou, s.mean_u_thou, 100 * s.covered,
              s.over_best);
}

void print_row(const char* name, const std::vector<Trial>& trials) {
  print_line(name, trials);
  std::vector<Trial> clear;
  std::copy_if(trials.begin(), trials.end(), std::back_inserter(clear),
               [](const Trial& t) { return !t.doubled; });
  if (clear.size() != trials.size()) print_line("    not edge-doubled", clear);
  std::map<std::string, int> codes;
  for (const Trial& t : trials)
    if (!t.refused.empty()) ++codes[t.refused];
  for (const auto& [code, count] : codes) std::printf("    refused: %s x %d\n", code.c_str(), count);
  std::fflush(stdout);
}

// The worst cases by error over stated uncertainty, to look into: seed and both, thou over 7.5 in.
void print_worst(const std::vector<Trial>& trials, std::uint64_t first_seed) {
  std::vector<std::pair<double, std::size_t>> order;
  for (std::size_t i = 0; i < trials.size(); ++i)
    if (trials[i].refused.empty()) order.emplace_back(-std::abs(trials[i].error / trials[i].u), i);
  std::sort(order.begin(), order.end());
  std::printf("    furthest off:");
  for (std::size_t k = 0; k < std::min<std::size_t>(5, order.size()); ++k)
    std::printf("  seed %llu: %+.3f (u %.3f)", static_cast<unsigned long long>(first_seed + order[k].second),
                7500 * trials[order[k].second].error, 7500 * trials[order[k].second].u);
  std::printf("\n");
}

void accuracy(const Options& options) {
  std::printf("Errors of the taper in thou over 7.5 in, against the straight cut under the roughness.\n");
  std::printf("%-22s %5s %5s  %7s %7s %7s %7s  %7s  %8s  %6s\n", "scans", "meas.", "ref.", "median", "95 %",
              "worst", "rms", "rms u", "in 95 %", "/BLUE");
  for (const auto& [edges, name] : {std::pair{Edges::kSmooth, "smooth"}, std::pair{Edges::kRough, "rough"}}) {
    if (options.scans > 0) {
      const auto trials = run_trials(options.scans, 1, edges, options.scene);
      print_row((std::string(name) + ", 300/600 dpi").c_str(), trials);
      print_worst(trials, 1);
    }
    if (options.scans > 3) {
      SceneOptions across = options.scene;
      across.across = true;
      print_row((std::string(name) + ", quarter turn").c_str(),
                run_trials(options.scans / 4, 50001, edges, across));
    }
    if (options.coverage > 0) {
      SceneOptions small = options.scene;
      small.small = true;
      small.print_ratio_sd = std::max(kUsualPrintRatio, options.scene.print_ratio_sd);
      const auto trials = run_trials(options.coverage, 100001, edges, small);
      print_row((std::string(name) + ", small 300 dpi").c_str(), trials);
      print_worst(trials, 100001);
    }
  }
}

double measure_file(const std::string& path) {
  const Result<Picture> picture = load_picture(path);
  if (!picture) return NAN;
  const auto measured = measure_picture(picture->grey, picture->dpi_u, picture->dpi_v);
  if (!measured) std::printf("    refused: %s\n", measured.failure().code.c_str());
  return measured ? measured->strip.taper : std::nan("");
}

void timing() {
  cv::setNumThreads(1);
  const std::string path =
      (std::filesystem::temp_directory_path() / ("bench_scan_" + std::to_string(getpid()) + ".jpg")).string();
  std::printf("\nA4 at 600 dpi as JPEG, one thread, the fastest of 3, each in a process of its own\n");
  std::printf("%-6s %-34s %8s %9s %14s\n", "seed", "", "s", "peak MB", "error, thou");
  for (const std::uint64_t seed : {1001U, 1002U, 1003U}) {
    ScanScene scene = issue_scene(seed, Edges::kSmooth);
    scene.dpi = 600;
    scene.paper = Paper::kA4;
    scene.page_rotation_deg = 0.6;
    scene.window_sheet_mm = {};
    scene.scanner.noise_levels = 2;
    scene.strips.front().wall.mode = WallScene::Mode::kNone;
    const double truth = make_truth(scene).strips.front().taper;
    const Cost made = in_child([&] {
      const RenderedScan scan = render_scan(scene);
      const auto written = write_scan(path, scan.image, scene.dpi, 90);
      return written ? static_cast<double>(scan.image.total()) : std::nan("");
    });
    const double megapixels = made.taper / 1e6;
    const Cost read =
        best_of(3, [&] { return static_cast<double>(cv::imread(path, cv::IMREAD_GRAYSCALE).total()); });
    const Cost ours = best_of(3, [&] { return measure_file(path); });
    const Cost plain = in_child([&] { return plain_recipe_taper(path).value_or(NAN); });
    const auto row = [&](const char* name, const Cost& cost, double error) {
      std::printf("%-6llu %-34s %8.3f %9.1f", static_cast<unsigned long long>(seed), name, cost.seconds,
                  cost.peak_mb);
      if (!std::isnan(error)) std::printf(" %+14.3f", error * 7500);
      std::printf("\n");
    };
    row("cv::imread, grey", read, NAN);
    row("measure", ours, ours.taper - truth);
    row("plain recipe", plain, plain.taper - truth);
    if (std::isnan(plain.taper)) std::printf("       the plain recipe found no two lines\n");
    std::printf(
        "       %.1f megapixels; measure / imread %.2f; plain / measure %.1f; peak / grey bitmap %.2f\n",
        megapixels, ours.seconds / read.seconds, plain.seconds / ours.seconds,
        ours.peak_mb * 1.048576 / megapixels);
    std::fflush(stdout);
  }
  std::filesystem::remove(path);
}

int run(int argc, char** argv) {
  Options options;
  for (int i = 1; i < argc; ++i) {
    const bool more = i + 1 < argc;
    if (std::strcmp(argv[i], "--coverage") == 0 && more)
      options.coverage = std::atoi(argv[++i]);
    else if (std::strcmp(argv[i], "--print-ratio") == 0 && more)
      options.scene.print_ratio_sd = std::strtod(argv[++i], nullptr);
    else if (std::strcmp(argv[i], "--no-timing") == 0)
      options.timing = false;
    else if (argv[i][0] != '-')
      options.scans = std::atoi(argv[i]);
    else {
      std::printf("bench_scan [N] [--coverage N] [--print-ratio SD] [--no-timing]\n");
      return 2;
    }
  }
  if (options.timing) timing();  // first, while the process is small
  accuracy(options);
  return 0;
}

}  // namespace
}  // namespace tapersight::testing

int main(int argc, char** argv) {
  return tapersight::testing::run(argc, argv);
}
