// The committed ray-traced pictures: their truths can be read, none is too large, none makes the program
// throw, and none is measured silently wrong but those listed, so that the list can only get shorter. How
// many are measured at all is a figure of bench_world, not a test.
#include <gtest/gtest.h>

#include <filesystem>
#include <nlohmann/json.hpp>
#include <set>
#include <string>

#include "base/files.h"
#include "bench/world_picture.h"
#include "world/known_wrong.h"

namespace tapersight::testing {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kLeastPictures = 38;  // the set's number when it was committed: it does not shrink
constexpr std::uintmax_t kMostBytes = 2'000'000;

// --- the list itself --------------------------------------------------------------------------------------
WorldTrial off_by(const std::string& name, double thou) {
  WorldTrial trial;
  trial.name = name;
  trial.plain.taper = thou / kThouPerTaper;
  trial.plain.u = 0.1 / kThouPerTaper;
  return trial;
}

TEST(KnownWrong, IsReadLineByLine) {
  const auto known = read_known_wrong("# a remark\n\na.jpg the arris is torn\nb.jpg\n");
  EXPECT_EQ(known, (std::map<std::string, std::string>{{"a.jpg", "the arris is torn"}, {"b.jpg", ""}}));
}

TEST(KnownWrong, OnlyShrinks) {
  const std::vector<WorldTrial> trials = {off_by("wrong.jpg", 5), off_by("right.jpg", 0.1)};
  EXPECT_TRUE(complaints(trials, {{"wrong.jpg", "torn"}}).empty());
  EXPECT_EQ(complaints(trials, {}), std::vector<std::string>{"wrong.jpg: measured, silently wrong."});
  EXPECT_EQ(complaints(trials, {{"wrong.jpg", "torn"}, {"right.jpg", "torn"}}),
            std::vector<std::string>{"right.jpg: right or refused now: take it off the list."});
  WorldTrial refused = off_by("wrong.jpg", 5);
  refused.plain.refused = "too-blurred";
  EXPECT_EQ(complaints({refused}, {{"wrong.jpg", "torn"}}),
            std::vector<std::string>{"wrong.jpg: right or refused now: take it off the list."});
  EXPECT_EQ(complaints({}, {{"gone.jpg", "torn"}}),
            std::vector<std::string>{"gone.jpg: no such picture: take it off the list."});
  EXPECT_EQ(complaints(trials, {{"wrong.jpg", ""}}),
            std::vector<std::string>{"wrong.jpg: the list says no reason."});
}

TEST(KnownWrong, CountsWhatMustBeRefusedAsWrongWhenItIsMeasured) {
  WorldTrial two = off_by("two.jpg", 0);
  two.good = false;
  EXPECT_EQ(complaints({two}, {}), std::vector<std::string>{"two.jpg: measured, but must be refused."});
  two.plain.refused = "two-strips";
  EXPECT_TRUE(complaints({two}, {}).empty());
}

// --- the pictures -----------------------------------------------------------------------------------------
TEST(WorldPictures, AreManyEachNotTooLargeWithATruthOfItsOwn) {
  const std::vector<std::string> truths = truth_files(WORLD_PICTURES_DIR);
  EXPECT_GE(truths.size(), kLeastPictures);
  std::set<std::string> known;
  for (const std::string& path : truths) {
    const auto text = read_file(path);
    ASSERT_TRUE(text.ok()) << path;
    const nlohmann::json truth = nlohmann::json::parse(*text, nullptr, false);
    ASSERT_TRUE(truth.is_object()) << path;
    EXPECT_EQ(truth.value("schema", ""), "tapersight-world-truth-1") << path;
    const std::string world = truth.value("world", "");
    EXPECT_TRUE(world == "traced-scan" || world == "traced-photo") << path;
    for (const char* key : {"seed", "shows", "sheet", "render"})
      EXPECT_TRUE(truth.contains(key)) << path << key;
    const fs::path picture = fs::path(path).parent_path() / truth.value("file", "");
    ASSERT_TRUE(fs::is_regular_file(picture)) << picture;
    EXPECT_LE(fs::file_size(picture), kMostBytes) << picture;
    known.insert(path);
    known.insert(picture.string());
  }
  if (!fs::is_directory(WORLD_PICTURES_DIR)) return;
  for (const auto& entry : fs::recursive_directory_iterator(WORLD_PICTURES_DIR)) {
    if (!entry.is_regular_file()) continue;
    EXPECT_EQ(known.count(entry.path().string()), 1U) << entry.path();
  }
}

TEST(WorldPictures, AreNeverMeasuredSilentlyWrongButThoseListed) {
  std::vector<WorldTrial> trials;
  for (const std::string& path : truth_files(WORLD_PICTURES_DIR)) {
    const auto picture = load_world_picture(path);
    ASSERT_TRUE(picture.ok()) << picture.failure().text;
    WorldTrial trial = picture->truth;
    trial.plain = measure_once(*picture, false);
    EXPECT_NE(trial.plain.refused, "exception") << trial.name;
    trials.push_back(std::move(trial));
  }
  const auto list = read_file(WORLD_KNOWN_WRONG);
  ASSERT_TRUE(list.ok());
  for (const std::string& complaint : complaints(trials, read_known_wrong(*list))) ADD_FAILURE() << complaint;
}

}  // namespace
}  // namespace tapersight::testing
