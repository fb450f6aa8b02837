// A batch in its folder, on real (generated) scans: the same bytes for any number of jobs, taken up again
// only where nothing changed, and no picture in the way of another.
#include "batch/class_run.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "batch/class_pictures.h"

namespace tapersight {
namespace {

using testing::class_folder;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using testing::three_strips;

ClassSetup setup_of(const std::vector<int>& benches) {
  ClassSetup setup;
  setup.program_version = "1";
  setup.digest = "all";
  for (const int bench : benches) {
    BenchSetup& b = setup.benches[bench];
    b.setup.pivot_distance_mm = 1000;
    b.tolerance = parse_tolerance("0.1mm/m").value();
    b.digest = "bench " + std::to_string(bench);
  }
  return setup;
}

struct Ran {
  std::vector<std::string> again, fresh;  // names of pictures
  std::string csv, jsonl, log;
};

const std::atomic<bool> kGoOn{false};

Ran run(const std::string& out, const ClassSetup& setup, int jobs, bool resume,
        const std::string& scans = class_folder().scans()) {
  Ran ran;
  auto run = ClassRun::open(out, setup, nullptr, resume);
  EXPECT_TRUE(run.ok());
  const auto done = (*run)->measure(find_pictures({scans}).value(), jobs, kGoOn, [&](const PictureDone& p) {
    (p.used_again ? ran.again : ran.fresh).push_back(p.file->name);
  });
  EXPECT_TRUE(done.ok());
  EXPECT_FALSE((*run)->finish());
  ran.csv = read_file(out + "/results.csv").value();
  ran.jsonl = read_file(out + "/results.jsonl").value();
  ran.log = read_file(out + "/batch-log.jsonl").value();
  return ran;
}

std::vector<std::string> names_in(const std::string& folder) {
  std::vector<std::string> names;
  for (const auto& entry : std::filesystem::directory_iterator(folder))
    names.push_back(entry.path().filename());
  std::sort(names.begin(), names.end());
  return names;
}

const std::vector<int> kBenches = {1, 2, 3, 7};

TEST(ClassRun, EveryStripIsNamedAndMeasuredAsItIs) {
  const TempDir dir;
  run(dir.file("out"), setup_of(kBenches), 2, false);
  const auto results = merge_results({dir.file("out") + "/results.jsonl"}, dir.file("out")).value();
  ASSERT_EQ(results.size(), 6U);
  const double tapers[] = {0.003, 0.002, -0.001, 0.0012};
  const int benches[] = {7, 1, 2, 3};
  for (std::size_t i = 0, k = 0; i < results.size(); ++i) {
    const ClassResult& r = results[i];
    if (!r.bench) continue;
    ASSERT_TRUE(r.measured) << r.reason->text;
    EXPECT_EQ(*r.bench, benches[k]);
    EXPECT_NEAR(r.taper, tapers[k], 5 * r.taper_u);
    EXPECT_EQ(r.named_by, k == 0 ? "file-name" : "tag");
    ++k;
  }
  EXPECT_EQ(results[1].reason->code, "not-a-picture");
  EXPECT_EQ(results[5].reason->code, "bench-not-named");
  EXPECT_THAT(names_in(dir.file("out") + "/overlays"),
              ElementsAre("bench-1.three.png.png", "bench-2.three.png.png", "bench-3.three.png.png",
                          "bench-7.bench-07.png.png", "refused.whose.png.jpg"));
  EXPECT_EQ(results[5].thumbnail, "overlays/refused.whose.png.jpg");
  EXPECT_EQ(results[1].thumbnail, "") << "nothing to show of what is no picture";
}

// Pictures that leave open whose strip is whose: each is told of, and counts for nobody.
TEST(ClassRun, NothingIsGuessed) {
  const TempDir dir;
  const std::string scans = dir.file("scans");
  std::filesystem::create_directory(scans);
  ScanScene two = three_strips();  // bench 3's strip is missing, its tag is not
  two.strips.pop_back();
  ScanScene other = three_strips();  // bench 1's strip and tag alone
  other.strips.resize(1);
  other.tags.resize(1);
  const cv::Mat of_bench_1 = render_scan(other).image;
  ASSERT_TRUE(write_scan(scans + "/a.png", render_scan(two).image, two.dpi));
  ASSERT_TRUE(write_scan(scans + "/bench-02.png", of_bench_1, other.dpi));
  ASSERT_TRUE(write_scan(scans + "/blank.png", cv::Mat(1500, 1200, CV_8U, cv::Scalar(240)), 300));
  const Ran ran = run(dir.file("out"), setup_of({2, 3}), 1, false, scans);
  EXPECT_EQ(ran.fresh.size(), 3U);
  const auto results = merge_results({dir.file("out") + "/results.jsonl"}, dir.file("out")).value();
  std::vector<std::string> told;
  for (const ClassResult& r : results)
    told.push_back(r.picture + ", " + (r.bench ? std::to_string(*r.bench) : "-") + ": " +
                   (r.measured ? "measured" : r.reason->code));
  EXPECT_THAT(told,
              ElementsAre("a.png, 3: tag-without-strip", "a.png, 1: not-in-roster", "a.png, 2: measured",
                          "bench-02.png, 1: tag-and-name-differ", "blank.png, -: blank-picture"));
}

TEST(ClassRun, SameBytesForAnyNumberOfJobs) {
  const TempDir dir;
  const Ran one = run(dir.file("1"), setup_of(kBenches), 1, false);
  const Ran four = run(dir.file("4"), setup_of(kBenches), 4, false);
  EXPECT_EQ(one.csv, four.csv);
  EXPECT_EQ(one.jsonl, four.jsonl);
  EXPECT_EQ(one.log, four.log);
  EXPECT_EQ(one.fresh, four.fresh) << "told of in order";
  for (const std::string& name : names_in(dir.file("1") + "/overlays"))
    EXPECT_TRUE(read_file(dir.file("1") + "/overlays/" + name).value() ==
                read_file(dir.file("4") + "/overlays/" + name).value());
}

TEST(ClassRun, OnlyWhatChangedIsMeasuredAgain) {
  const TempDir dir;
  const std::string scans = dir.file("scans"), out = dir.file("out");
  std::filesystem::copy(class_folder().scans(), scans);
  const Ran first = run(out, setup_of(kBenches), 2, false, scans);
  EXPECT_EQ(first.fresh.size(), 4U);

  const Ran same = run(out, setup_of(kBenches), 2, true, scans);
  EXPECT_THAT(same.fresh, ElementsAre());
  EXPECT_EQ(same.jsonl, first.jsonl);
  EXPECT_EQ(same.log, first.log);

  ClassSetup bench_2 = setup_of(kBenches);
  bench_2.benches[2].digest = "other";
  EXPECT_THAT(run(out, bench_2, 2, true, scans).fresh, ElementsAre("three.png"));
  EXPECT_THAT(run(out, setup_of(kBenches), 2, true, scans).fresh, ElementsAre("three.png"));

  std::filesystem::remove(out + "/overlays/bench-7.bench-07.png.png");
  EXPECT_THAT(run(out, setup_of(kBenches), 2, true, scans).fresh, ElementsAre("bench-07.png"));

  // Another picture under an old name: its time and size may be what they like.
  std::filesystem::copy(scans + "/bench-07.png", scans + "/whose.png",
                        std::filesystem::copy_options::overwrite_existing);
  EXPECT_THAT(run(out, setup_of(kBenches), 2, true, scans).fresh, ElementsAre("whose.png"));

  // Bench 7 leaves the roster: its strip is told of, its overlay goes.
  const Ran without_7 = run(out, setup_of({1, 2, 3}), 2, true, scans);
  EXPECT_THAT(without_7.fresh, ElementsAre("bench-07.png"));
  EXPECT_THAT(without_7.jsonl, HasSubstr("not-in-roster"));
  EXPECT_THAT(names_in(out + "/overlays"),
              ElementsAre("bench-1.three.png.png", "bench-2.three.png.png", "bench-3.three.png.png",
                          "refused.bench-07.png.jpg", "refused.whose.png.jpg"));

  ClassSetup other = setup_of({1, 2, 3});
  other.digest = "other";
  EXPECT_EQ(run(out, other, 2, true, scans).fresh.size(), 4U);
}

TEST(ClassRun, WhatAKilledRunLeftIsClearedAwayAndNothingElse) {
  const TempDir dir;
  const std::string out = dir.file("out");
  run(out, setup_of(kBenches), 2, false);
  const std::string log = read_file(out + "/batch-log.jsonl").value();
  ASSERT_TRUE(write_file_whole(out + "/batch-log.jsonl", log.substr(0, log.size() - 20)).ok());
  for (const char* name :
       {"/results.csv.part-abc123", "/overlays/x.png.part-abc123", "/mine.part-abc123", "/mine.txt"})
    ASSERT_TRUE(write_file_whole(out + name, "x").ok());
  const Ran again = run(out, setup_of(kBenches), 2, true);
  EXPECT_THAT(again.fresh, ElementsAre("whose.png")) << "the torn line's";
  EXPECT_EQ(again.log, log);
  EXPECT_THAT(names_in(out), ElementsAre("batch-log.jsonl", "mine.part-abc123", "mine.txt", "overlays",
                                         "results.csv", "results.jsonl"));
  EXPECT_EQ(names_in(out + "/overlays").size(), 5U);
}

TEST(ClassRun, TwoBatchesDoNotShareAFolder) {
  const TempDir dir;
  const auto first = ClassRun::open(dir.file("out"), setup_of(kBenches), nullptr, false);
  ASSERT_TRUE(first.ok());
  EXPECT_EQ(ClassRun::open(dir.file("out"), setup_of(kBenches), nullptr, true).failure().code,
            "folder-in-use");
}

TEST(ClassRun, ALogCannotNameFilesElsewhere) {
  const TempDir dir;
  const std::string out = dir.file("out");
  ASSERT_TRUE(write_file_whole(dir.file("mine.txt"), "x").ok());
  run(out, setup_of(kBenches), 2, false);
  std::string log = read_file(out + "/batch-log.jsonl").value();
  const std::string name = "overlays/bench-7.bench-07.png.png";
  for (auto at = log.find(name); at != std::string::npos; at = log.find(name))
    log.replace(at, name.size(), "overlays/../../mine.txt");
  ASSERT_TRUE(write_file_whole(out + "/batch-log.jsonl", log).ok());
  run(out, setup_of(kBenches), 2, false);
  EXPECT_TRUE(std::filesystem::exists(dir.file("mine.txt")));
}

TEST(ClassRun, StoppedItKeepsWhatWasDone) {
  const TempDir dir;
  auto run_ = ClassRun::open(dir.file("out"), setup_of(kBenches), nullptr, false);
  ASSERT_TRUE(run_.ok());
  std::atomic<bool> stop{false};
  const auto done = (*run_)->measure(find_pictures({class_folder().scans()}).value(), 1, stop,
                                     [&](const PictureDone&) { stop = true; });
  ASSERT_TRUE(done.ok());
  EXPECT_EQ(*done, 1U);
  EXPECT_EQ((*run_)->results().size(), 1U);
  EXPECT_FALSE((*run_)->finish());
  run_ = Failure{"", "", ""};  // lets the folder go
  EXPECT_EQ(run(dir.file("out"), setup_of(kBenches), 1, true).again.size(), 1U);
}

}  // namespace
}  // namespace tapersight
