// Accuracy, honesty of the intervals and refusals of `measure` on generated photos, and the time beside the
// bare decode.
//   bench_photo [N = 200 photos of each kind of edge] [FIRST_SEED = 1]
#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <map>
#include <opencv2/imgcodecs.hpp>
#include <string>
#include <vector>

#include "bench/issue_scenes.h"
#include "numeric/student_t.h"
#include "pipeline/measure_picture.h"
#include "synth/render_photo.h"

namespace tapersight {
namespace {

double seconds() {
  using clock = std::chrono::steady_clock;
  return std::chrono::duration<double>(clock::now().time_since_epoch()).count();
}

struct Times {
  double decode = 0, measure = 0;
  int photos = 0;
};

Result<PictureMeasurement> measured(const PhotoScene& scene, Times& times) {
  const RenderedPhoto photo = render_photo(scene);
  const double start = seconds();
  const cv::Mat grey = cv::imdecode(photo.jpeg, cv::IMREAD_GRAYSCALE);
  const double decoded = seconds();
  auto m = measure_picture(grey, std::nullopt, std::nullopt);
  times.decode += decoded - start;
  times.measure += seconds() - decoded;
  ++times.photos;
  return m;
}

// Wood that shows better on the sheet whose channel is black.
constexpr double kDarkWood = 0.2;

enum class Ground { kPaper, kDarkChannelUnlessDarkWood };

PhotoScene scene_of(int seed, SceneProfile profile, Ground ground) {
  PhotoScene scene = random_photo_scene(static_cast<std::uint64_t>(seed), profile);
  if (ground != Ground::kPaper && scene.strips.front().wood.tone > kDarkWood) darken_channel(scene);
  return scene;
}

void accuracy(const char* name, SceneProfile profile, Ground ground, int count, int first_seed,
              Times& times) {
  std::vector<double> errors;
  std::map<std::string, int> refused;
  int covered = 0, worst_seed = 0;
  double worst = -1, squares = 0, best = 0;
  for (int i = first_seed; i < first_seed + count; ++i) {
    const PhotoScene scene = scene_of(i, profile, ground);
    const auto m = measured(scene, times);
    if (!m) {
      ++refused[m.failure().code];
      continue;
    }
    const double error = std::abs(m->strip.taper - scene.strips.front().taper);
    errors.push_back(7500 * error);
    squares += error * error;
    best += testing::best_taper_variance(scene.strips.front());
    covered += error <= t_factor(0.95, m->strip.dof) * m->strip.u_taper;
    if (errors.back() <= worst) continue;
    worst = errors.back();
    worst_seed = i;
  }
  std::sort(errors.begin(), errors.end());
  if (!errors.empty())
    std::printf(
        "%s: measured %zu of %d: thou over 7.5 in: median %.3f, 95 %% %.3f, worst %.3f (seed %d), rms %.2f x "
        "BLUE; in the 95 %% interval %.1f %%\n",
        name, errors.size(), count, errors[errors.size() / 2], errors[errors.size() * 95 / 100], worst,
        worst_seed, std::sqrt(squares / best), 100.0 * covered / static_cast<double>(errors.size()));
  for (const auto& [code, number] : refused) std::printf("    refused: %s x %d\n", code.c_str(), number);
  std::fflush(stdout);
}

void refusals(Times& times) {
  int refused = 0, all = 0;
  for (const RejectScene& reject : reject_photo_scenes()) {
    const auto m = measured(reject.scene, times);
    ++all;
    refused += !m.ok();
    std::printf("    %-42s %s\n", reject.name.c_str(), m ? "MEASURED" : m.failure().code.c_str());
  }
  std::printf("photos that must be refused: %d of %d were\n", refused, all);
}

// A second strip laid beside the first: the worst would be one number for both.
void two_strips(int count, int first_seed, Times& times) {
  int photos = 0, as_two = 0, as_one = 0;
  for (const SceneProfile profile : {SceneProfile::kSmooth, SceneProfile::kRough})
    for (const Ground ground : {Ground::kPaper, Ground::kDarkChannelUnlessDarkWood})
      for (int i = first_seed; i < first_seed + count; ++i) {
        PhotoScene scene = scene_of(i, profile, ground);
        lay_another_beside(scene);
        const auto m = measured(scene, times);
        ++photos;
        as_one += m.ok();
        as_two += !m && m.failure().code == "two-strips";
      }
  std::printf("two strips side by side: %d of %d refused as two-strips, %d refused otherwise, %d MEASURED\n",
              as_two, photos, photos - as_two - as_one, as_one);
}

}  // namespace
}  // namespace tapersight

int main(int argc, char** argv) {
  using namespace tapersight;
  const int count = argc > 1 ? std::atoi(argv[1]) : 200;
  const int first = argc > 2 ? std::atoi(argv[2]) : 1;
  Times times;
  const auto suits = Ground::kDarkChannelUnlessDarkWood;
  accuracy("smooth, on paper", SceneProfile::kSmooth, Ground::kPaper, count, first, times);
  accuracy("smooth, on the sheet that suits the wood", SceneProfile::kSmooth, suits, count, first, times);
  accuracy("rough, on paper", SceneProfile::kRough, Ground::kPaper, count, first, times);
  accuracy("rough, on the sheet that suits the wood", SceneProfile::kRough, suits, count, first, times);
  refusals(times);
  two_strips(std::max(1, count / 2), first, times);
  std::printf("time a photo: decode %.2f s, measure %.2f s\n", times.decode / times.photos,
              times.measure / times.photos);
  return 0;
}
