// bench_world's table is no wider than told, its JSON is read back whole, and a comparison names what
// changed.
#include "bench/world_report.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <sstream>

namespace tapersight::testing {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

WorldTrial trial(const std::string& name, const std::string& refused) {
  WorldTrial t;
  t.name = name;
  t.contrast = 0.2;
  t.taper = 0.001;
  t.plain.refused = refused;
  t.plain.taper = 0.0011;
  t.plain.u = 0.00003;
  t.plain.dof = 12.5;
  t.plain.warnings = {"edge-doubled"};
  t.typed = t.turned = t.plain;
  return t;
}

WorldRun run_of(const std::string& first, const std::string& second) {
  WorldRun run;
  run.seed = (1ULL << 62U) + 3;
  run.count = 2;
  WorldTrial spoilt = trial("two-strips-7", "two-strips");
  spoilt.good = false;
  spoilt.refusal = "two-strips";
  spoilt.contrast.reset();
  run.worlds = {{"widened-photos", {trial("smooth-1", first), trial("rough-2", second), spoilt}}};
  return run;
}

TEST(WorldReport, FitsAHundredColumns) {
  WorldRun run = run_of("", "");
  run.worlds[0].trials[0].plain.taper = 1;  // 7500 thou off
  run.worlds[0].trials[0].plain.warnings.clear();
  run.worlds[0].trials[1].turned.taper = -1;
  const std::string table = world_table(run);
  std::istringstream lines(table);
  for (std::string line; std::getline(lines, line);) EXPECT_LE(line.size(), 100U) << line;
  EXPECT_THAT(table, HasSubstr("SILENT WRONG: smooth-1"));
}

TEST(WorldReport, ShowsNoFigureOfNothing) {
  WorldRun run = run_of("strip-broken", "strip-broken");
  run.worlds[0].trials[0].typed.refused = "";
  const std::string table = world_table(run);
  EXPECT_THAT(table, HasSubstr("   0        -        -        -           1    0.750    0.750"));
  EXPECT_THAT(table, Not(HasSubstr("nan")));
}

TEST(WorldReport, CountsRefusalsByTheirCodes) {
  EXPECT_THAT(world_table(run_of("strip-broken", "strip-broken")), HasSubstr("strip-broken x 2"));
}

TEST(WorldReport, ReadsItsOwnJsonBackWhole) {
  const WorldRun run = run_of("", "strip-broken");
  const std::string text = world_json(run);
  const auto read = read_world_json(text);
  ASSERT_TRUE(read.ok()) << read.failure().text;
  EXPECT_EQ(world_json(*read), text);
  EXPECT_EQ(read->seed, run.seed);
  const WorldTrial& first = read->worlds.at(0).trials.at(0);
  EXPECT_DOUBLE_EQ(first.plain.taper, 0.0011);
  EXPECT_DOUBLE_EQ(first.plain.dof, 12.5);
  EXPECT_EQ(first.plain.warnings, std::vector<std::string>{"edge-doubled"});
  EXPECT_EQ(world_table(*read), world_table(run));
}

TEST(WorldReport, RefusesWhatIsNotItsJson) {
  EXPECT_EQ(read_world_json("{}").failure().code, "not-a-world-bench");
  EXPECT_EQ(read_world_json("no").failure().code, "not-a-world-bench");
  EXPECT_EQ(read_world_json(R"({"schema": "tapersight-world-bench-2", "worlds": []})").failure().code,
            "not-a-world-bench");
}

TEST(WorldReport, ComparesPictureByPicture) {
  const std::string told = world_comparison(run_of("", "strip-broken"), run_of("", ""));
  EXPECT_THAT(told, HasSubstr("3 pictures in both, 0 only in A, 0 only in B"));
  EXPECT_THAT(told,
              HasSubstr("rough-2\n        A: strip-broken\n        B: measured, off by 0.750 (u 0.225)\n"));
  EXPECT_THAT(told, Not(HasSubstr("smooth-1")));
  EXPECT_THAT(world_comparison(run_of("", ""), run_of("", "")), HasSubstr("the same pictures are measured"));
}

TEST(WorldReport, SaysWhereThereIsNothingToCompare) {
  WorldRun other = run_of("", "");
  for (WorldTrial& t : other.worlds[0].trials) t.name += "0";
  EXPECT_THAT(world_comparison(run_of("", ""), other), HasSubstr("nothing to compare"));
  other.worlds[0].world = "traced-scans";
  EXPECT_THAT(world_comparison(run_of("", ""), other), HasSubstr("traced-scans: only in B"));
}

}  // namespace
}  // namespace tapersight::testing
