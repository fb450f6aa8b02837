#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <opencv2/imgcodecs.hpp>
#include <string>
#include <vector>

#include "bench/child_cost.h"
#include "bench/issue_scenes.h"
#include "bench/limits_parts.h"
#include "bench/plain_recipe.h"
#include "bench/rivals.h"
#include "numeric/student_t.h"
#include "pipeline/measure_picture.h"
#include "room/load_picture.h"
#include "synth/render_scan.h"
#include "synth/scan_file.h"

namespace tapersight::testing {
namespace {

constexpr double kThou = 7500;  // over 7.5 in, per unit of taper

struct Method {
  const char* name;
  std::vector<double> errors = {};  // thou over 7.5 in
  int failures = 0, silent = 0, covered = 0;
  bool has_interval = false;
  double seconds = 0, peak_mb = 0;
};

void add(Method& method, const Cost& cost, double error, double half_interval) {
  method.seconds += cost.seconds;
  method.peak_mb = std::max(method.peak_mb, cost.peak_mb);
  if (std::isnan(error)) {
    ++method.failures;
    return;
  }
  method.errors.push_back(std::abs(error));
  method.covered += std::abs(error) <= half_interval;
  method.silent += std::abs(error) > 1 && std::abs(error) > half_interval;
}

void print(Method& method, double decode_seconds, int scans) {
  std::sort(method.errors.begin(), method.errors.end());
  std::printf("  %-30s", method.name);
  if (method.errors.empty()) {
    std::printf("%8s %8s %8s", "-", "-", "-");
  } else {
    const auto at = [&](double part) {
      return method.errors[static_cast<std::size_t>(
          std::lround(part * static_cast<double>(method.errors.size() - 1)))];
    };
    std::printf("%8.3f %8.3f %8.3f", at(0.5), at(0.95), method.errors.back());
  }
  std::printf(" %5d %6d", method.failures, method.silent);
  if (method.has_interval && !method.errors.empty())
    std::printf(" %5.1f %%", 100.0 * method.covered / static_cast<double>(method.errors.size()));
  else
    std::printf("      - ");
  std::printf(" %7.3f %7.1f %8.0f\n", method.seconds / scans, method.seconds / decode_seconds,
              method.peak_mb);
}

struct Answer {
  double taper = NAN, half_interval = NAN;
};

Answer ours(const std::string& path) {
  const Result<Picture> picture = load_picture(path);
  if (!picture) return {};
  const auto m = measure_picture(picture->grey, picture->dpi_u, picture->dpi_v);
  if (!m) return {};
  return {m->strip.taper, t_factor(0.95, m->strip.dof) * m->strip.u_taper};
}

// Written in a process of its own, so that this one stays small.
bool write_scene(ScanScene scene, const std::string& stem, std::string& path) {
  const int quality = scene.encoding.jpeg_quality;
  path = stem + (quality > 0 ? ".jpg" : ".png");
  scene.encoding.jpeg_quality = 0;
  return !std::isnan(in_child([&] {
                       const auto written = write_scan(path, render_scan(scene).image, scene.dpi, quality);
                       return written ? 1.0 : std::nan("");
                     }).taper);
}

void compare(Edges edges, int scans) {
  Method methods[4] = {{"tapersight"},
                       {"markers, Canny, Hough, fitLine"},
                       {"line segment detector"},
                       {"ViSP moving-edge line"}};
  methods[0].has_interval = true;
  const std::string stem =
      (std::filesystem::temp_directory_path() / ("bench_limits_" + std::to_string(getpid()))).string();
  double decode = 0;
  for (int i = 0; i < scans; ++i) {
    const ScanScene scene = issue_scene(static_cast<std::uint64_t>(i) + 1, edges);
    const double truth = make_truth(scene).strips.front().taper;
    std::string path;
    if (!write_scene(scene, stem, path)) continue;
    decode +=
        in_child([&] { return static_cast<double>(cv::imread(path, cv::IMREAD_GRAYSCALE).total()); }).seconds;
    const Cost cost = in_child([&] { return ours(path).taper; });
    const double half = in_child([&] { return ours(path).half_interval; }).taper;
    add(methods[0], cost, kThou * (cost.taper - truth), kThou * half);
    const auto rival = [&](Method& method, std::optional<double> (*work)(const std::string&)) {
      const Cost c = in_child([&] { return work(path).value_or(NAN); });
      add(method, c, kThou * (c.taper - truth), 0);
    };
    rival(methods[1], plain_recipe_taper);
    rival(methods[2], segment_detector_taper);
    if (has_line_tracker()) rival(methods[3], line_tracker_taper);
    std::filesystem::remove(path);
  }
  std::printf(" %s edges, seeds 1 to %d\n", edges == Edges::kSmooth ? "smooth" : "rough", scans);
  for (Method& method : methods)
    if (&method != &methods[3] || has_line_tracker()) print(method, decode, scans);
  if (!has_line_tracker()) std::printf("  (ViSP was not there when this was built: libvisp-me-dev)\n");
  std::fflush(stdout);
}

}  // namespace

void compare_with_others(const LimitsOptions& options) {
  std::printf(
      "\nA. The same generated scans (300 and 600 dpi) from their files. Errors in thou over 7.5 in. Silent: "
      "more "
      "than 1 thou off and no\n   interval that says so. Line detector and tracker are given our map and our "
      "rough "
      "sides, the plain recipe nothing.\n");
  std::printf("  %-30s%8s %8s %8s %5s %6s %7s %7s %7s %8s\n", "", "median", "95 %", "worst", "fail", "silent",
              "in 95 %", "s", "/decode", "peak MB");
  compare(Edges::kSmooth, options.seeds);
  compare(Edges::kRough, options.seeds);
}

}  // namespace tapersight::testing
