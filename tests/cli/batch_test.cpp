// A class at a time with the real program: what it prints, what it refuses, and that killing, stopping,
// watching and sharing out lose nothing.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <map>

#include "base/csv.h"
#include "base/rng.h"
#include "batch/class_pictures.h"
#include "cli/scan_fixture.h"
#include "support/child_program.h"
#include "support/hostile_files.h"

namespace tapersight {
namespace {

namespace fs = std::filesystem;
using testing::ChildProgram;
using testing::class_folder;
using ::testing::HasSubstr;
using testing::run_tapersight;
using testing::wait_for;

std::vector<std::string> batch(const std::string& out, const std::vector<std::string>& more = {}) {
  std::vector<std::string> arguments = {
      "batch", class_folder().scans(), "--roster", class_folder().roster(), "--out", out};
  arguments.insert(arguments.end(), more.begin(), more.end());
  return arguments;
}

std::vector<std::string> with_program(std::vector<std::string> arguments) {
  arguments.insert(arguments.begin(), TAPERSIGHT_PROGRAM);
  return arguments;
}

// Every file below `folder`, by its name from there.
std::map<std::string, std::string> files_in(const std::string& folder) {
  std::map<std::string, std::string> files;
  for (const auto& entry : fs::recursive_directory_iterator(folder))
    if (entry.is_regular_file())
      files[fs::relative(entry.path(), folder).string()] = read_file(entry.path().string()).value();
  return files;
}

bool has_ending_png(const std::string& name) {
  return name.size() > 4 && name.compare(name.size() - 4, 4, ".png") == 0;
}

// One unbroken run, made once.
const TempDir& unbroken() {
  static const TempDir& dir = []() -> const TempDir& {
    static const TempDir made;
    EXPECT_EQ(run_tapersight(batch(made.file("out"))).status, 3);
    return made;
  }();
  return dir;
}

// One blank field does not stop the class; whose move is left out is said, and absent benches have their
// lines.
TEST(Batch, ABlankPivotDistanceLeavesOutOneMove) {
  const TempDir dir;
  ASSERT_TRUE(
      write_file_whole(dir.file("roster.csv"),
                       "bench,student,pivot,pivot distance\n1,,left,45in\n2,,left,45in\n3,,left,45in\n"
                       "7,B. Hill,left,\n9,C. Dale,left,45in\n")
          .ok());
  const auto run = run_tapersight({"batch", class_folder().scans(), "--roster", dir.file("roster.csv"),
                                   "--out", dir.file("out"), "--slips"});
  EXPECT_EQ(run.status, 3) << run.err;  // a picture of nobody, as before
  EXPECT_THAT(run.out, HasSubstr("4 measured"));
  EXPECT_THAT(run.out, HasSubstr("No move given\n  Bench 7 (B. Hill): the roster has no pivot distance."));
  const std::string table = read_file(dir.file("out/results.csv")).value();
  EXPECT_THAT(table, HasSubstr(",9,C. Dale,,,,absent,measure again,absent,No picture shows"));
  const std::string sheet = read_file(dir.file("out/class.html")).value();
  EXPECT_THAT(sheet, HasSubstr("C. Dale"));
  EXPECT_THAT(sheet, HasSubstr(">5 benches")) << "the strip that is nobody's is no bench";
  const std::string slips = read_file(dir.file("out/slips.html")).value();
  EXPECT_THAT(slips, HasSubstr("B. Hill"));
  EXPECT_THAT(slips, HasSubstr("you stand here"));
}

TEST(Batch, TellsWhoMustDoWhat) {
  const TempDir dir;
  const auto run = run_tapersight(batch(dir.file("out")));
  EXPECT_EQ(run.status, 3) << "not all were measured";
  EXPECT_THAT(run.out, HasSubstr("4 pictures, 5 strips, 4 measured."));
  EXPECT_THAT(run.out, HasSubstr("Bench 7: move the right end of the fence"));
  EXPECT_THAT(run.out, HasSubstr("distance in the roster to get the move"));
  EXPECT_THAT(run.out, HasSubstr("In the roster, but not in the pictures\n  Bench 9"));
  EXPECT_THAT(run.out, HasSubstr("whose.png, strip 1: There is no telling whose strip this"));
  EXPECT_THAT(run.out, HasSubstr("The caliper\n"));
  EXPECT_THAT(run.out, HasSubstr("Unplug the saw"));
  EXPECT_THAT(run.err, HasSubstr("4 of 4: whose.png: bench-not-named"))
      << "plain lines off a terminal, in order";
  EXPECT_EQ(run.err.find('\r'), std::string::npos);
  EXPECT_EQ(run.err.find('\x1b'), std::string::npos);
  const auto table = parse_csv(read_file(dir.file("out") + "/results.csv").value());
  ASSERT_TRUE(table.ok());
  EXPECT_EQ(table->size(), 8U) << "the heading, six lines, and bench 9 that is absent";
}

// A picture that crashes the library that reads it, one whose name is no UTF-8, one that takes all memory:
// the others are measured as without them, and the next run takes up what is done.
TEST(Batch, OutlivesEveryPicture) {
  const TempDir dir;
  fs::copy(class_folder().scans(), dir.file("scans"), fs::copy_options::recursive);
  for (const testing::HostileFile& file : testing::hostile_files())
    ASSERT_TRUE(write_file_whole(dir.file("scans/" + file.name), file.bytes).ok());
  fs::copy(class_folder().scans() + "/bench-07.png", dir.file("scans/bench-9 \xff (\xC3\xA4).png"));
  std::vector<std::string> arguments = {"batch", dir.file("scans"), "--roster", class_folder().roster(),
                                        "--out", dir.file("out")};
  const auto run = run_tapersight(arguments);
  EXPECT_EQ(run.status, 3) << run.err;
  EXPECT_THAT(run.out, HasSubstr("6 strips, 5 measured"));
  EXPECT_THAT(run.err, HasSubstr("deep.pdf: picture-damaged"));
  const auto files = files_in(dir.file("out"));
  EXPECT_EQ(
      std::count_if(files.begin(), files.end(), [](const auto& file) { return has_ending_png(file.first); }),
      5);
  arguments.push_back("--resume");
  EXPECT_EQ(run_tapersight(arguments).status, 3);
  EXPECT_EQ(files_in(dir.file("out")), files);
}

TEST(Batch, AllMeasuredIsStatus0) {
  const TempDir dir;
  const auto run = run_tapersight({"batch", class_folder().scans() + "/bench-07.png", "--roster",
                                   class_folder().roster(), "--out", dir.file("deep/out")});
  EXPECT_EQ(run.status, 0) << run.out << run.err;
}

TEST(Batch, WrongInputsAreRefusedBeforeAnythingIsWritten) {
  const TempDir dir;
  fs::create_directory(dir.file("empty"));
  const auto roster = [&](const std::string& text) {
    EXPECT_TRUE(write_file_whole(dir.file("r.csv"), text).ok());
    return dir.file("r.csv");
  };
  struct Case {
    std::vector<std::string> arguments;
    int status;
    const char* says;
  };
  const std::string scans = class_folder().scans(), good = class_folder().roster(), out = dir.file("out");
  const Case cases[] = {
      {{scans, "--out", out}, 2, "The roster is missing"},
      {{scans, "--roster", dir.file("none.csv"), "--out", out}, 4, "none.csv"},
      {{"--roster", good, "--out", out}, 2, "no pictures"},
      {{dir.file("empty"), "--roster", good, "--out", out}, 2, "no pictures"},
      {{dir.file("none"), "--roster", good, "--out", out}, 4, "no file or folder"},
      {{scans, "--roster", good, "--out", out, "--jobs", "0"}, 2, "not a number of jobs"},
      {{scans, "--roster", good, "--out", good}, 4, "Cannot write into the folder"},
      {{scans, "--roster", good, "--out", "/proc/none"}, 4, "Cannot write into the folder"},
      {{scans, "--roster", roster("7,45 in\n"), "--out", out}, 2, "no column named bench"},
  };
  for (const Case& c : cases) {
    std::vector<std::string> arguments = {"batch"};
    arguments.insert(arguments.end(), c.arguments.begin(), c.arguments.end());
    const auto run = run_tapersight(arguments);
    EXPECT_EQ(run.status, c.status) << c.says << run.err;
    EXPECT_THAT(run.err, HasSubstr(c.says));
    EXPECT_FALSE(fs::exists(out)) << c.says;
  }
  for (const auto& [text, says] :
       {std::pair("bench\n7\n7\n", "line 3: bench 7 is already in line 2"),
        std::pair("bench,pivot distance\n7,far\n", "line 2: \"far\""),
        std::pair("bench\n../../7\n", "\"../../7\" is not a bench number"),
        std::pair("bench,fence end readings\n7,.571\n", "two readings at each end")}) {
    const auto run = run_tapersight({"batch", scans, "--roster", roster(text), "--out", out});
    EXPECT_EQ(run.status, 2) << text;
    EXPECT_THAT(run.err, HasSubstr(says));
    EXPECT_FALSE(fs::exists(out));
  }
}

// TAPERSIGHT_KILLS: how often, instead of the few times that a test has time for.
TEST(Batch, KilledAtRandomMomentsAndResumedItEndsAsIfUnbroken) {
  const char* wanted = std::getenv("TAPERSIGHT_KILLS");
  const int kills = wanted != nullptr ? std::atoi(wanted) : 6;
  const TempDir dir;
  Rng rng(11);
  std::string out = dir.file("out");
  int ended_early = 0;
  for (int i = 0; i < kills; ++i) {
    if (i % 6 == 5) out = dir.file("out" + std::to_string(i));  // from the beginning again
    ChildProgram child(with_program(batch(out, {"--resume"})), dir.file("o"), dir.file("e"));
    std::this_thread::sleep_for(std::chrono::milliseconds(rng.integer(0, 1800)));
    ended_early += child.end(SIGKILL) == -1;
  }
  EXPECT_GT(ended_early, kills / 3) << "the kills came too late to test anything";
  EXPECT_EQ(run_tapersight(batch(out, {"--resume"})).status, 3);
  EXPECT_TRUE(files_in(out) == files_in(unbroken().file("out")));
}

TEST(Batch, CtrlCEndsCleanlyAndResumeGoesOn) {
  const TempDir dir;
  const std::string out = dir.file("out");
  ChildProgram child(with_program(batch(out, {"--jobs", "1"})), dir.file("o"), dir.file("e"));
  ASSERT_TRUE(wait_for([&] {
    const auto told = read_file(dir.file("e"));
    return told.ok() && told->find("1 of 4") != std::string::npos;
  }));
  EXPECT_EQ(child.end(SIGINT), 3);
  EXPECT_THAT(read_file(dir.file("o")).value(), HasSubstr("Go on with --resume"));
  EXPECT_TRUE(fs::exists(out + "/results.csv"));
  const auto rest = run_tapersight(batch(out, {"--resume"}));
  EXPECT_THAT(rest.err, HasSubstr("1 of 4: bench-07.png: done before; bench 7 measured"));
  EXPECT_TRUE(files_in(out) == files_in(unbroken().file("out")));
}

TEST(Batch, WatchWaitsForHalfWrittenFilesAndMeasuresWhatComes) {
  const TempDir dir;
  const std::string scans = dir.file("scans"), out = dir.file("out");
  fs::create_directory(scans);
  ChildProgram child(
      {TAPERSIGHT_PROGRAM, "batch", scans, "--watch", "--roster", class_folder().roster(), "--out", out},
      dir.file("o"), dir.file("e"));
  const std::string bytes = read_file(class_folder().scans() + "/bench-07.png").value();
  // A scanner that takes its time: never quiet for as long as the program waits.
  for (int part = 1; part <= 5; ++part) {
    ASSERT_TRUE(wait_for([&] {
      std::FILE* file = std::fopen((scans + "/bench-07.png").c_str(), "wb");
      const std::size_t size = bytes.size() * static_cast<std::size_t>(part) / 5;
      const bool whole = file != nullptr && std::fwrite(bytes.data(), 1, size, file) == size;
      return file != nullptr && std::fclose(file) == 0 && whole;
    }));
    if (part < 5) std::this_thread::sleep_for(std::chrono::milliseconds(700));
  }
  ASSERT_TRUE(wait_for([&] {
    const auto results = read_file(out + "/results.jsonl");
    return results.ok() && results->find("\"bench\":7") != std::string::npos;
  }));
  // The share is away for a while: what was measured stands, and the waiting is told.
  const std::string results = read_file(out + "/results.jsonl").value();
  fs::rename(scans, dir.file("away"));
  EXPECT_TRUE(wait_for(
      [&] { return read_file(dir.file("e")).value().find("Waiting for it.") != std::string::npos; }));
  fs::rename(dir.file("away"), scans);
  EXPECT_EQ(child.end(SIGINT), 0);
  EXPECT_EQ(read_file(out + "/results.jsonl").value(), results);
  const std::string told = read_file(dir.file("e")).value();
  EXPECT_THAT(told, HasSubstr("bench-07.png: bench 7 measured"));
  EXPECT_EQ(told.find("not-a-picture"), std::string::npos) << "half a file was measured";
  EXPECT_THAT(read_file(dir.file("o")).value(), HasSubstr("1 picture, 1 strip, 1 measured."));
}

// The results of `folder` without the overlays' places.
std::vector<std::vector<std::string>> table_of(const std::string& folder) {
  std::vector<std::vector<std::string>> rows;
  const auto records = parse_csv(read_file(folder + "/results.csv").value());
  for (const CsvRecord& record : *records) {
    rows.push_back(record.fields);
    rows.back().pop_back();
  }
  return rows;
}

TEST(Batch, SharedOutByParallelAndMergedItIsTheSame) {
  const TempDir dir;
  const std::string program = TAPERSIGHT_PROGRAM;
  std::vector<std::string> pictures;
  for (const char* name : {"bench-07.png", "three.png", "whose.png", "broken.jpg"})
    pictures.push_back(class_folder().scans() + "/" + name);
  // Two slots on this machine, without ssh, as the README has it for many machines.
  std::vector<std::string> arguments = {"--will-cite", "-S",
                                        "2/:",         program,
                                        "batch",       "{}",
                                        "--jobs",      "1",
                                        "--roster",    class_folder().roster(),
                                        "--out",       dir.file("parts") + "/{#}",
                                        ":::"};
  arguments.insert(arguments.end(), pictures.begin(), pictures.end());
  const auto shared = testing::run_program(GNU_PARALLEL, arguments);
  EXPECT_EQ(shared.status, 2) << "two of the four jobs had a picture that cannot be measured\n" << shared.err;
  std::vector<std::string> merge = {"batch",  "--out", dir.file("all"), "--roster", class_folder().roster(),
                                    "--merge"};
  for (int part = 1; part <= 4; ++part)
    merge.push_back(dir.file("parts") + "/" + std::to_string(part) + "/results.jsonl");
  const auto merged = run_tapersight(merge);
  EXPECT_EQ(merged.status, 3) << merged.err;
  EXPECT_THAT(merged.out, HasSubstr("In the roster, but not in the pictures\n  Bench 9"));
  EXPECT_EQ(table_of(dir.file("all")), table_of(unbroken().file("out")));
  // The overlays are found from the merged results.
  const auto rows = parse_csv(read_file(dir.file("all") + "/results.csv").value()).value();
  int overlays = 0;
  for (const CsvRecord& row : rows)
    if (row.fields.back() != "overlay" && !row.fields.back().empty())
      overlays += fs::exists(dir.file("all") + "/" + row.fields.back());
  EXPECT_EQ(overlays, 4);
  EXPECT_EQ(run_tapersight({"batch", "--out", dir.file("all"), "--merge", class_folder().roster()}).status,
            4);
  EXPECT_EQ(run_tapersight({"batch", "--out", dir.file("all"), "--merge", dir.file("all") + "/results.jsonl"})
                .status,
            2)
      << "would be written over";
}

TEST(Measure, SeveralStripsAreForBatchAndOneWillDo) {
  const auto several = run_tapersight({"measure", class_folder().scans() + "/three.png"});
  EXPECT_EQ(several.status, 3);
  EXPECT_THAT(several.err, HasSubstr("tapersight batch"));
}

TEST(Tags, AreWrittenAndWrongRangesRefused) {
  const TempDir dir;
  EXPECT_EQ(run_tapersight({"tags", "--from", "1", "--to", "24", "--out", dir.file("t.pdf")}).status, 0);
  EXPECT_EQ(read_file(dir.file("t.pdf")).value().substr(0, 5), "%PDF-");
  EXPECT_EQ(run_tapersight({"tags", "--to", "3", "--paper", "a4", "--out", dir.file("t.svg")}).status, 0);
  for (const std::vector<std::string>& wrong :
       {std::vector<std::string>{"tags", "--to", "600", "--out", dir.file("x.pdf")},
        {"tags", "--from", "9", "--to", "3", "--out", dir.file("x.pdf")},
        {"tags", "--to", "7.5", "--out", dir.file("x.pdf")},
        {"tags", "--to", "7", "--out", dir.file("x.doc")},
        {"tags", "--to", "7", "--paper", "a3", "--out", dir.file("x.pdf")},
        {"tags", "--out", dir.file("x.pdf")}})
    EXPECT_EQ(run_tapersight(wrong).status, 2);
  EXPECT_FALSE(fs::exists(dir.file("x.pdf")));
  EXPECT_EQ(run_tapersight({"tags", "--to", "7", "--out", dir.file("no/x.pdf")}).status, 4);
}

TEST(Batch, NeverWritesOverWhatItReads) {
  const TempDir dir;
  const std::string roster = "bench\n7\n";
  ASSERT_TRUE(std::filesystem::create_directories(dir.file("out/overlays")));
  ASSERT_TRUE(write_file_whole(dir.file("out/results.csv"), roster).ok());
  ASSERT_TRUE(write_file_whole(dir.file("roster.csv"), roster).ok());
  const std::string inside = dir.file("out/overlays/bench-07.png");
  ASSERT_TRUE(write_file_whole(inside, testing::sample_scan().bytes).ok());
  const auto over_roster = testing::run_tapersight({"batch", testing::sample_scan().png(), "--roster",
                                                    dir.file("out/results.csv"), "--out", dir.file("out")});
  EXPECT_EQ(over_roster.status, 2) << over_roster.err;
  EXPECT_EQ(read_file(dir.file("out/results.csv")).value(), roster);
  const auto over_picture = testing::run_tapersight(
      {"batch", inside, "--roster", dir.file("roster.csv"), "--out", dir.file("out")});
  EXPECT_EQ(over_picture.status, 2) << over_picture.err;
  EXPECT_TRUE(read_file(inside).value() == testing::sample_scan().bytes);
}

}  // namespace
}  // namespace tapersight
