// Scans of several strips each, made at random: is every strip named rightly or reported, and measured as
// well as alone?
//   bench_class [scans]
#include <cstdio>
#include <cstdlib>
#include <map>

#include "bench/class_scenes.h"

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
      if (scene.benches[k]) alone.push_back(run_trial(alone_on_sheet(scene, k)));
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

}  // namespace

int main(int argc, char** argv) {
  const int scans = argc > 1 ? std::atoi(argv[1]) : 200;
  run(Edges::kSmooth, "smooth", scans / 2);
  run(Edges::kRough, "rough", scans - scans / 2);
}
