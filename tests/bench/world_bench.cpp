// One bench for all worlds: what the program makes of pictures that its own generator did not dream up.
//   bench_world [--world NAME]... [--count N = 60] [--seed N] [--threads N = 2] [--json FILE] [--pictures
//   FOLDER] bench_world --compare A.json B.json
// Without --seed the seed is drawn anew; it is printed, so that a run can be made again. --pictures keeps
// what was measured, as grey PNG, to look at; pictures with real wood are not ours to hand on.
#include <algorithm>
#include <atomic>
#include <cstdio>
#include <filesystem>
#include <opencv2/core.hpp>
#include <opencv2/imgcodecs.hpp>
#include <string>
#include <vector>

#include "base/files.h"
#include "batch/in_order.h"
#include "bench/bench_run.h"
#include "bench/world_report.h"
#include "bench/world_worlds.h"

namespace tapersight::testing {
namespace {

struct Options {
  std::vector<std::string> worlds;
  BenchRun run{60};
  std::string json, pictures;
  std::vector<std::string> compare;
};

const char* const kUsage =
    "bench_world [--world NAME]... [--count N] [--seed N] [--threads N] [--json FILE] [--pictures FOLDER]\n"
    "bench_world --compare A.json B.json\n"
    "worlds:\n";

int usage() {
  std::fprintf(stderr, "%s", kUsage);
  for (const World& world : all_worlds())
    std::fprintf(stderr, "  %-16s %s\n", world.name.c_str(), world.words.c_str());
  return 2;
}

bool is_world(const std::string& name) {
  const auto& all = all_worlds();
  return std::any_of(all.begin(), all.end(), [&](const World& world) { return world.name == name; });
}

bool parse(const std::vector<std::string>& words, Options& options) {
  for (std::size_t i = 0; i < words.size(); ++i) {
    const auto value = [&](std::size_t k) { return i + k < words.size() ? words[i + k].c_str() : ""; };
    if (words[i] == "--compare" && i + 2 < words.size()) {
      options.compare = {words[i + 1], words[i + 2]};
      i += 2;
    } else if (words[i] == "--json" && i + 1 < words.size()) {
      options.json = words[++i];
    } else if (words[i] == "--pictures" && i + 1 < words.size()) {
      options.pictures = words[++i];
    } else if (words[i] == "--world" && is_world(value(1))) {
      options.worlds.emplace_back(words[++i]);
    } else if (!options.run.take_word(words, i)) {
      return false;
    }
  }
  return true;
}

int compare(const std::vector<std::string>& paths) {
  std::vector<WorldRun> runs;
  for (const std::string& path : paths) {
    const auto text = read_file(path);
    const auto run = text ? read_world_json(*text) : Result<WorldRun>(text.failure());
    if (!run) {
      std::fprintf(stderr, "%s: %s %s\n", path.c_str(), run.failure().text.c_str(),
                   run.failure().remedy.c_str());
      return 1;
    }
    runs.push_back(*run);
  }
  std::printf("%s", world_comparison(runs[0], runs[1]).c_str());
  return 0;
}

// The items, each of which writes its picture into `folder` once it is made.
void keep_pictures(const std::string& folder, const std::string& world, std::vector<WorldItem>& items) {
  for (WorldItem& item : items) {
    std::string file = world;
    file.append("-").append(item.name).append(".png");
    std::replace(file.begin(), file.end(), '/', '-');
    const std::string path = (std::filesystem::path(folder) / file).string();
    item.make = [path, make = item.make] {
      Result<WorldPicture> picture = make();
      if (picture && !cv::imwrite(path, picture->grey))
        std::fprintf(stderr, "%s: not written\n", path.c_str());
      return picture;
    };
  }
}

std::vector<WorldTrial> tried(const std::string& world, const std::vector<WorldItem>& items, int threads) {
  std::vector<WorldTrial> trials(items.size());
  const std::atomic<bool> stop{false};
  run_in_order(
      items.size(), threads, stop, [&](std::size_t i) { trials[i] = try_item(items[i]); },
      [&](std::size_t i) {
        std::fprintf(stderr, "%s %zu of %zu: %s %s\n", world.c_str(), i + 1, items.size(),
                     trials[i].name.c_str(),
                     trials[i].plain.measured() ? "measured" : trials[i].plain.refused.c_str());
      });
  return trials;
}

int run(Options options) {
  if (options.worlds.empty())
    for (const World& world : all_worlds()) options.worlds.push_back(world.name);
  options.run.draw_seed();
  std::printf("bench_world --seed %llu --count %d\n", static_cast<unsigned long long>(options.run.seed),
              options.run.count);
  std::fflush(stdout);
  if (options.run.threads > 1) cv::setNumThreads(1);  // the pictures are what runs side by side
  const WorldPlaces places = {WORLD_PICTURES_DIR, TESTIMAGES_DIR, ""};
  // All lists first: a package that is missing must show before an hour has gone by.
  std::vector<std::vector<WorldItem>> lists;
  for (const std::string& world : options.worlds) {
    auto items = world_items(world, options.run.seed, options.run.count, places);
    if (!items) {
      std::fprintf(stderr, "%s %s\n", items.failure().text.c_str(), items.failure().remedy.c_str());
      return 1;
    }
    if (!options.pictures.empty()) keep_pictures(options.pictures, world, *items);
    lists.push_back(std::move(items.value()));
  }
  WorldRun all{options.run.seed, options.run.count, {}};
  for (std::size_t i = 0; i < lists.size(); ++i)
    all.worlds.push_back({options.worlds[i], tried(options.worlds[i], lists[i], options.run.threads)});
  std::printf("%s", world_table(all).c_str());
  if (options.json.empty()) return 0;
  const auto written = write_file_whole(options.json, world_json(all));
  if (written) return 0;
  std::fprintf(stderr, "%s\n", written.failure().text.c_str());
  return 1;
}

}  // namespace
}  // namespace tapersight::testing

int main(int argc, char** argv) {
  using namespace tapersight::testing;
  Options options;
  if (!parse({argv + 1, argv + argc}, options)) return usage();
  return options.compare.empty() ? run(options) : compare(options.compare);
}
