// Scans of several strips each, made at random: is every strip named rightly or reported, and measured as
// well as alone?
//   bench_class [scans]
//   bench_class make FOLDER [scans]   writes such scans as files, and a roster.csv of their benches
//   bench_class speed FOLDER [pictures]   pictures a minute and memory over links to the folder's scans
#include <sys/resource.h>

#include <atomic>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <opencv2/core/utility.hpp>
#include <set>
#include <string>

#include "batch/class_run.h"
#include "bench/class_scenes.h"
#include "room/load_picture.h"
#include "support/temp_dir.h"
#include "synth/render_scan.h"
#include "synth/scan_file.h"

using namespace tapersight;
using namespace tapersight::testing;

namespace {

void show(const char* name, const std::vector<Trial>& trials) {
  const Summary s = summarise(trials);
  std::printf(
      "%-22s %5d measured  median %5.2f  95 %% %5.2f  rms %5.2f thou over 7.5 in  inside 95 %% %5.1f %%  "
      "over best %4.2f\n",
      name, s.measured, s.median_thou, s.p95_thou, s.rms_thou, 100 * s.covered, s.over_best);
}

void run(Edges edges, const char* name, int scans) {
  ClassTrial all;
  int loose = 0, untold = 0;
  std::vector<Trial> alone;
  std::map<std::string, int> reasons;
  for (int i = 0; i < scans; ++i) {
    const ClassScene scene = class_scene(static_cast<std::uint64_t>(i) + 1, edges);
    const ClassTrial t = run_class_trial(scene);
    all.strips += t.strips;
    all.attributed += t.attributed;
    all.reported += t.reported;
    all.mixed_up += t.mixed_up;
    all.lost += t.lost;
    loose += static_cast<int>(scene.loose_tags.size());
    all.loose_tags_told += t.loose_tags_told;
    for (const auto& b : scene.benches) untold += b ? 0 : 1;
    for (const auto& r : t.reasons) ++reasons[r];
    all.trials.insert(all.trials.end(), t.trials.begin(), t.trials.end());
    if (t.mixed_up || t.lost) std::printf("seed %d: %d mixed up, %d lost\n", i + 1, t.mixed_up, t.lost);
    for (std::size_t k = 0; k < scene.benches.size(); ++k)
      if (scene.benches[k]) alone.push_back(run_alone(scene, k));
  }
  std::printf(
      "%s: %d scans, %d strips (%d that nobody can name): %d named and measured, %d reported, "
      "%d mixed up, %d lost; %d of %d loose tags told\n",
      name, scans, all.strips, untold, all.attributed, all.reported, all.mixed_up, all.lost,
      all.loose_tags_told, loose);
  for (const auto& [reason, count] : reasons) std::printf("  %-24s %d\n", reason.c_str(), count);
  show("  several on the sheet", all.trials);
  show("  the same, each alone", alone);
}

int make(const std::string& folder, int scans) {
  std::filesystem::create_directories(folder);
  std::set<int> benches;
  for (int i = 0; i < scans; ++i) {
    const ClassScene made = class_scene(static_cast<std::uint64_t>(i) + 1, Edges::kSmooth);
    const RenderedScan scan = render_scan(made.scene);
    char name[40];
    std::snprintf(name, sizeof name, "/scan-%04d.jpg", i + 1);
    if (!write_scan(folder + name, scan.image, made.scene.dpi)) return 1;
    for (const TagScene& tag : made.scene.tags) benches.insert(tag.bench);
  }
  std::ofstream roster(folder + "/roster.csv");
  roster << "bench,pivot distance,tolerance\n";
  for (const int bench : benches) roster << bench << ",45 in,2thou/12in\n";
  return 0;
}

// Megabytes at most since the last reset (proc(5): clear_refs 5, VmHWM).
double peak_mb(bool reset) {
  if (reset) std::ofstream("/proc/self/clear_refs") << "5";
  std::ifstream status("/proc/self/status");
  for (std::string line; std::getline(status, line);)
    if (line.rfind("VmHWM:", 0) == 0) return std::atof(line.c_str() + 6) / 1024;
  return 0;
}

double cpu_seconds() {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  return static_cast<double>(usage.ru_utime.tv_sec + usage.ru_stime.tv_sec) +
         1e-6 * static_cast<double>(usage.ru_utime.tv_usec + usage.ru_stime.tv_usec);
}

template <typename Work>
void timed(const char* name, std::size_t pictures, Work work) {
  peak_mb(true);
  const double cpu = cpu_seconds();
  const auto start = std::chrono::steady_clock::now();
  work();
  const double seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  std::printf("%-12s %6.1f pictures a minute (%.1f s, %.1f s of processor), at most %.0f MB\n", name,
              60 * static_cast<double>(pictures) / seconds, seconds, cpu_seconds() - cpu, peak_mb(false));
}

int speed(const std::string& folder, int count) {
  const auto originals = find_pictures({folder});
  if (!originals) return 1;
  const TempDir dir;
  const std::string links = dir.file("links");
  std::filesystem::create_directory(links);
  for (int i = 0; i < count; ++i) {
    const std::string& path = (*originals)[static_cast<std::size_t>(i) % originals->size()].path;
    char name[40];
    std::snprintf(name, sizeof name, "/link-%05d", i);
    std::filesystem::create_symlink(std::filesystem::absolute(path),
                                    links + name + std::filesystem::path(path).extension().string());
  }
  const auto pictures = find_pictures({links});
  ClassSetup setup;
  for (int bench = 1; bench <= 599; ++bench) {
    setup.benches[bench].setup.pivot_distance_mm = 1143;
    setup.benches[bench].tolerance = parse_tolerance("2thou/12in").value();
  }
  cv::setNumThreads(1);
  timed("bare decode", pictures->size(), [&] {
    for (const PictureFile& file : *pictures) load_picture(file.path);
  });
  for (const int jobs : {1, 2})
    timed(jobs == 1 ? "1 job" : "2 jobs", pictures->size(), [&] {
      const std::string out = dir.file("out") + std::to_string(jobs);
      auto run = ClassRun::open(out, setup, nullptr, false);
      const std::atomic<bool> go_on{false};
      const auto done = (*run)->measure(*pictures, jobs, go_on, [&](const PictureDone& p) {
        // Flat: what it takes at the end is what it took at the beginning.
        if ((p.index + 1) % 250 == 0)
          std::printf("  %zu pictures, at most %.0f MB so far\n", p.index + 1, peak_mb(false));
      });
      if (!done || (*run)->finish()) std::printf("not written\n");
      std::filesystem::remove_all(out);
    });
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc > 2 && std::string(argv[1]) == "make") return make(argv[2], argc > 3 ? std::atoi(argv[3]) : 12);
  if (argc > 2 && std::string(argv[1]) == "speed") return speed(argv[2], argc > 3 ? std::atoi(argv[3]) : 40);
  const int scans = argc > 1 ? std::atoi(argv[1]) : 200;
  run(Edges::kSmooth, "smooth", scans / 2);
  run(Edges::kRough, "rough", scans - scans / 2);
}
