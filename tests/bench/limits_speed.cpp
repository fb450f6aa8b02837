#include <unistd.h>

#include <chrono>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <functional>
#include <map>
#include <opencv2/imgcodecs.hpp>
#include <string>

#include "bench/child_cost.h"
#include "bench/issue_scenes.h"
#include "bench/limits_parts.h"
#include "edges/find_strip.h"
#include "edges/trace_edges.h"
#include "pipeline/measure_picture.h"
#include "room/load_picture.h"
#include "synth/render_scan.h"
#include "synth/scan_file.h"

namespace tapersight::testing {
namespace {

namespace fs = std::filesystem;

// A whole A4 page at `dpi`, in each of the file kinds.
std::map<std::string, std::string> write_page(int dpi, const std::string& stem, bool all_kinds) {
  std::map<std::string, std::string> paths;
  for (const char* kind : {".jpg", ".png", ".tif"})
    if (all_kinds || kind == std::string(".jpg")) paths[kind] = stem + kind;
  in_child([&] {
    ScanScene scene = issue_scene(1001, Edges::kSmooth);
    scene.dpi = dpi;
    scene.paper = Paper::kA4;
    scene.page_rotation_deg = 0.6;
    scene.window_sheet_mm = {};
    scene.encoding.jpeg_quality = 0;
    scene.scanner.noise_levels = 2;
    scene.strips.front().wall.mode = WallScene::Mode::kNone;
    const cv::Mat image = render_scan(scene).image;
    for (const auto& [kind, path] : paths) {
      const bool written = kind == ".tif" ? cv::imwrite(path, image) : bool(write_scan(path, image, dpi, 90));
      if (!written) std::printf("  %s could not be written\n", path.c_str());
    }
    return static_cast<double>(image.total());
  });
  return paths;
}

void remove_all(const std::map<std::string, std::string>& paths) {
  for (const auto& [kind, path] : paths) fs::remove(path);
}

Cost decode_cost(const std::string& path, int threads, int runs) {
  return best_of(runs, [&] {
    cv::setNumThreads(threads);
    return static_cast<double>(cv::imread(path, cv::IMREAD_GRAYSCALE).total());
  });
}

Cost measure_cost(const std::string& path, int threads, int runs) {
  return best_of(runs, [&] {
    cv::setNumThreads(threads);
    const Result<Picture> picture = load_picture(path);
    if (!picture) return std::nan("");
    const auto m = measure_picture(picture->grey, picture->dpi_u, picture->dpi_v);
    if (!m) std::printf("  refused: %s\n", m.failure().code.c_str());
    return m ? m->strip.taper : std::nan("");
  });
}

void print_cost(const char* name, const std::string& path, int threads, int runs) {
  const Cost decode = decode_cost(path, threads, runs);
  const Cost ours = measure_cost(path, threads, runs);
  const double megapixels = decode.taper / 1e6;
  std::printf("  %-18s %7.1f %8d %8.3f %8.3f %6.2f %9.1f %8.2f\n", name, megapixels, threads, decode.seconds,
              ours.seconds, ours.seconds / decode.seconds, 1000 * ours.seconds / megapixels,
              ours.peak_mb * 1.048576 / megapixels);
  std::fflush(stdout);
}

// Milliseconds of each stage in one process, one thread, in the order of the pipeline.
void print_profile(const std::string& path) {
  in_child([&] {
    cv::setNumThreads(1);
    double before = 0;
    const auto timed = [&](const char* stage, const std::function<void()>& work) {
      const auto start = std::chrono::steady_clock::now();
      work();
      before = 1000 * std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
      if (*stage != 0) std::printf("  %s %.0f ms;", stage, before);
      return before;
    };
    Picture picture;
    std::printf(" ");
    timed("decode", [&] { picture = *load_picture(path); });
    std::optional<FoundSheet> sheet;
    const double found = timed("sheet", [&] { sheet = *find_sheet(picture.grey); });
    const double plane = timed("map", [&] { (void)fit_plane(sheet->saddles); });
    std::optional<PictureMeasurement> m;
    const double whole = timed("", [&] { m = *measure_picture(picture.grey, picture.dpi_u, picture.dpi_v); });
    const double strip = timed("strip's outline", [&] {
      StripSearch search;
      search.low_mm = {m->layout->channel.x, m->layout->channel.y};
      search.high_mm = {m->layout->channel.right(), m->layout->channel.bottom()};
      (void)find_strip(picture.grey, m->map, search);
    });
    const ScanLines lines(picture.grey, true);
    SidePath sides[2] = {{lines, m->map, m->outline, 0}, {lines, m->map, m->outline, 1}};
    TraceOptions options;
    options.px_per_mm = m->px_per_mm_x;
    for (int k = 0; k < 2; ++k) options.blur_px[k] = m->trace.blur_px[k];
    const double trace = timed("tracing", [&] { (void)trace_edges(lines, sides[0], sides[1], options); });
    const double fit = timed("fit", [&] { (void)measure_strip(m->trace, m->map, m->outline); });
    std::printf(" choosing the border and the rest %.0f ms.\n", whole - found - plane - strip - trace - fit);
    std::fflush(stdout);
    return 0.0;
  });
}

void print_start_up(const std::string& program) {
  if (!fs::exists(program)) {
    std::printf("  start-up: %s is not there\n", program.c_str());
    return;
  }
  const std::string command = program + " --version > /dev/null";
  const Cost cost = best_of(10, [&] { return static_cast<double>(std::system(command.c_str())); });
  std::printf("  start-up, `tapersight --version`: %.0f ms (fastest of 10, the shell's start included)\n",
              1000 * cost.seconds);
}

}  // namespace

void measure_cost(const LimitsOptions& options) {
  const std::string stem =
      (fs::temp_directory_path() / ("bench_limits_page_" + std::to_string(getpid()))).string();
  const int runs = options.quick ? 1 : 5;
  std::printf("\nD. Cost of an A4 page from its file, each run in a process of its own, the fastest of %d.\n",
              runs);
  std::printf("  %-18s %7s %8s %8s %8s %6s %9s %8s\n", "", "Mpx", "threads", "decode s", "all s", "ratio",
              "ms/Mpx", "mem/grey");
  const auto pages = write_page(options.quick ? 300 : 600, stem, true);
  for (const auto& [kind, path] : pages)
    for (const int threads : {1, 2}) print_cost(kind.c_str() + 1, path, threads, runs);
  for (const int dpi : options.quick ? std::vector<int>{150} : std::vector<int>{150, 300, 1200}) {
    const auto page = write_page(dpi, stem + "-" + std::to_string(dpi), false);
    print_cost(("jpg, " + std::to_string(dpi) + " dpi").c_str(), page.at(".jpg"), 2, dpi > 600 ? 2 : runs);
    remove_all(page);
  }
  std::printf("  Profile of the JPEG, one thread:\n");
  print_profile(pages.at(".jpg"));
  remove_all(pages);
  print_start_up((fs::read_symlink("/proc/self/exe").parent_path() / "tapersight").string());
}

}  // namespace tapersight::testing
