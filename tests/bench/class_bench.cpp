// Scans of several strips each, made at random: is every strip named rightly or reported, and measured as
// well as alone?
//   bench_class [scans]
//   bench_class make FOLDER [scans]   writes such scans as files, and a roster.csv of their benches
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <set>
#include <string>

#include "bench/class_scenes.h"
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

}  // namespace

int main(int argc, char** argv) {
  if (argc > 2 && std::string(argv[1]) == "make") return make(argv[2], argc > 3 ? std::atoi(argv[3]) : 12);
  const int scans = argc > 1 ? std::atoi(argv[1]) : 200;
  run(Edges::kSmooth, "smooth", scans / 2);
  run(Edges::kRough, "rough", scans - scans / 2);
}
