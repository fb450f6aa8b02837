// A sled's record through the program: it grows, it is shown, and the next move knows how the fence answered.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <thread>

#include "cli/scan_fixture.h"

namespace tapersight {
namespace {

using nlohmann::json;
using ::testing::HasSubstr;
using testing::run_tapersight;
using testing::sample_scan;

class Record : public ::testing::Test {
 protected:
  testing::ProgramRun run(const std::vector<std::string>& line) const {
    return run_tapersight(line, dir_.path().string());
  }
  json shown(const std::vector<std::string>& more = {}) const {
    std::vector<std::string> line{"record", "show", "bench 7", "--json", "-"};
    line.insert(line.end(), more.begin(), more.end());
    const auto result = run(line);
    EXPECT_EQ(result.status, 0) << result.err;
    return json::parse(result.out, nullptr, false);
  }
  // Two widths 7.5 in apart, the difference in thou, kept in the record.
  void measured(const std::string& difference) const {
    const auto result = run({"correct", "--fence-end", ".5" + difference, "--far-end", ".5", "--apart", "7.5",
                             "--pivot-distance", "45", "--record", "bench 7", "--json", "result.json"});
    ASSERT_EQ(result.status, 0) << result.err;
  }
  std::string content() const {
    const auto bytes = read_file(dir_.file("bench-7.sled.jsonl"));
    return bytes ? *bytes : std::string();
  }
  TempDir dir_;
};

TEST_F(Record, LearnsHowTheFenceAnswers) {
  measured("65");
  ASSERT_EQ(run({"record", "add", "bench 7", "--moved-as", "result.json"}).status, 0);
  EXPECT_EQ(shown().at("record").at("due"), "measure");
  measured("065");  // a tenth is left: the fence turned 0.9 of what was due
  const json j = shown({"--pivot-distance", "45in", "--tolerance", "0.1mm/m"});
  ASSERT_EQ(j.at("entries").size(), 3U);
  EXPECT_EQ(j.at("entries")[1].at("kind"), "move");
  EXPECT_NEAR(j.at("entries")[1].at("move_mm").get<double>(), 0.0975 * 25.4, 1e-6);
  EXPECT_NEAR(j.at("record").at("response").at("distance_mm").get<double>(), 1143 / 0.9, 2);
  EXPECT_EQ(j.at("record").at("due"), "move");
  const double distance_mm =
      j.at("correction").at("move_mm").get<double>() / j.at("fence").at("error").get<double>();
  EXPECT_GT(distance_mm, 1143 / 0.95) << "more than typed, for the fence turned less";
  EXPECT_LT(distance_mm, 1143 / 0.9 + 1);
  EXPECT_EQ(j.at("adjustment").at("wanted_mm"), j.at("correction").at("move_mm"));
  // What the measuring command told was the same move.
  const auto result = read_file(dir_.file("result.json"));
  ASSERT_TRUE(result.ok());
  EXPECT_EQ(json::parse(*result).at("correction").at("move_mm"), j.at("correction").at("move_mm"));
}

TEST_F(Record, TellsAFenceThatWentTheWrongWay) {
  measured("2");
  ASSERT_EQ(run({"record", "add", "bench 7", "--move", "0.03in", "--toward", "operator", "--pivot-distance",
                 "1143mm", "--by", "screw", "--within", "0.02mm"})
                .status,
            0);
  measured("4");
  EXPECT_EQ(shown().at("record").at("last_move").at("verdict"), "wrong way");
  const auto text = run({"record", "show", "bench 7", "--pivot-distance", "45"});
  EXPECT_THAT(text.out, HasSubstr("2. First find out why the last move turned the fence the wrong way"));
}

TEST_F(Record, KeepsAPictureOnce) {
  const std::vector<std::string> line{"measure", sample_scan().png(), "--record", "bench 7", "--json",
                                      "p.json"};
  ASSERT_EQ(run(line).status, 0);
  const std::string once = content();
  EXPECT_EQ(std::count(once.begin(), once.end(), '\n'), 1);
  const auto again = run({"measure", sample_scan().png(), "--record", "bench 7", "--details"});
  EXPECT_EQ(again.status, 0);
  EXPECT_THAT(again.out, HasSubstr("is in the record already"));
  const auto added = run({"record", "add", "bench 7", "--result", "p.json"});
  EXPECT_EQ(added.status, 2);
  EXPECT_EQ(content(), once);
  EXPECT_EQ(run({"record", "add", "bench 8", "--result", "p.json", "--record-folder", "."}).status, 0);
  EXPECT_TRUE(std::filesystem::exists(dir_.file("bench-8.sled.jsonl")));
}

TEST_F(Record, TwoAddsAtOnceLoseNothing) {
  const auto add = [&] {
    for (int i = 0; i < 5; ++i)
      EXPECT_EQ(
          run({"record", "add", "bench 7", "--move", "1mm", "--toward", "away", "--pivot-distance", "1m"})
              .status,
          0);
  };
  std::thread other(add);
  add();
  other.join();
  EXPECT_EQ(shown().at("entries").size(), 10U);
  EXPECT_EQ(shown().at("damaged_lines"), 0);
}

TEST_F(Record, ATornLineIsToldAndSpoilsNothing) {
  measured("65");
  const std::string before = content();
  ASSERT_TRUE(write_file_whole(dir_.file("bench-7.sled.jsonl"), before + before.substr(0, 70)).ok());
  measured("25");
  EXPECT_EQ(shown().at("entries").size(), 2U);
  EXPECT_EQ(shown().at("damaged_lines"), 1);
  EXPECT_THAT(run({"record", "show", "bench 7"}).out, HasSubstr("1 line of the record cannot be read"));
  EXPECT_EQ(content().substr(0, before.size()), before);
}

TEST_F(Record, PlotsItself) {
  measured("65");
  ASSERT_EQ(
      run({"record", "plot", "bench 7", "--out", "p.svg", "--units", "mm", "--tolerance", "0.1mm/m"}).status,
      0);
  const auto svg = read_file(dir_.file("p.svg"));
  ASSERT_TRUE(svg.ok());
  EXPECT_THAT(*svg, HasSubstr("<circle"));
  EXPECT_THAT(*svg, HasSubstr("mm/m"));
  EXPECT_THAT(*svg, HasSubstr("within 0.1mm/m")) << "the band of the tolerance";
}

TEST_F(Record, UndoTakesTheLastEntryOutAndListNamesAll) {
  measured("65");
  const std::string before = content();
  ASSERT_EQ(
      run({"record", "add", "bench 7", "--move", "1mm", "--toward", "away", "--pivot-distance", "1m"}).status,
      0);
  EXPECT_THAT(run({"record", "list"}).out, HasSubstr("bench-7: "));
  const auto undone = run({"record", "undo", "bench 7"});
  EXPECT_EQ(undone.status, 0) << undone.err;
  EXPECT_THAT(undone.out, HasSubstr("moved     right end"));
  EXPECT_EQ(content(), before);
  ASSERT_EQ(run({"record", "undo", "bench 7"}).status, 0);
  EXPECT_EQ(run({"record", "undo", "bench 7"}).status, 2) << "nothing is left";
  EXPECT_EQ(content(), "");
  EXPECT_EQ(run({"record", "undo", "bench 8"}).status, 4);
}

TEST_F(Record, KeepsNotesBesideEntriesAndByThemselves) {
  measured("65");
  ASSERT_EQ(run({"record", "add", "bench 7", "--moved-as", "result.json", "--note", "new blade"}).status, 0);
  ASSERT_EQ(run({"record", "add", "bench 7", "--note", "sled was dropped"}).status, 0);
  ASSERT_EQ(run({"correct", "--fence-end", ".5065", "--far-end", ".5", "--apart", "7.5", "--record",
                 "bench 7", "--note", "maple"})
                .status,
            0);
  const std::string text = run({"record", "show", "bench 7"}).out;
  for (const char* words : {"(feelers)  new blade", "note      sled was dropped", "(two widths)  maple"})
    EXPECT_THAT(text, HasSubstr(words));
  EXPECT_THAT(run({"record", "list"}).out, HasSubstr("maple"));
  const json j = shown();
  EXPECT_EQ(j.at("entries")[1].at("note"), "new blade");
  EXPECT_EQ(j.at("entries")[2].at("kind"), "note");
  EXPECT_EQ(run({"record", "plot", "bench 7", "--out", "p.svg"}).status, 0);
  const std::string before = content();
  EXPECT_EQ(run({"record", "add", "bench 7", "--note", "two\nlines"}).status, 2);
  EXPECT_EQ(run({"record", "add", "bench 7", "--note", " "}).status, 2);
  EXPECT_EQ(run({"correct", "--fence-end", ".5", "--far-end", ".5", "--apart", "7.5", "--note", "x"}).status,
            2)
      << "there is no record to keep it in";
  EXPECT_EQ(content(), before);
}

// Two moves that turned the fence by 0.4 of what they should: the distance is asked for, and no move is told.
TEST_F(Record, AsksForAPivotDistanceThatTwoMovesContradict) {
  const auto move = [&](const std::string& thou, const std::string& toward) {
    ASSERT_EQ(run({"record", "add", "bench 7", "--move", thou + "thou", "--toward", toward,
                   "--pivot-distance", "45in"})
                  .status,
              0);
  };
  measured("60");
  move("90", "operator");  // would take all of it away
  measured("36");
  move("54", "operator");
  measured("216");  // .5216: 0.0216 in is left, 0.4 of 0.036 went
  const json j = shown({"--pivot-distance", "45in"});
  EXPECT_TRUE(j.at("correction").is_null());
  EXPECT_THAT(j.at("pivot_distance_doubt").get<std::string>(), HasSubstr("seems to be 11"));
  EXPECT_NEAR(j.at("record").at("response").at("distance_mm").get<double>(), 112.5 * 25.4, 40);
  const auto told = run({"record", "show", "bench 7", "--pivot-distance", "45in"});
  EXPECT_THAT(told.out, HasSubstr("Your pivot distance seems to be"));
  EXPECT_FALSE(shown({"--pivot-distance", "112.5in"}).at("correction").is_null()) << "typed anew";
}

TEST_F(Record, TroubleLeavesItAsItWas) {
  measured("65");
  const std::string before = content();
  ASSERT_TRUE(write_file_whole(dir_.file("other.json"), "{\"schema\":\"something.else\"}").ok());
  ASSERT_TRUE(write_file_whole(dir_.file("bench-9.sled.jsonl"), "a letter to the saw\n").ok());
  const std::vector<std::pair<std::vector<std::string>, int>> cases{
      {{"record", "show", "bench 8"}, 4},
      {{"record", "show", "bench 9"}, 4},
      {{"record", "add", "bench 9", "--result", "result.json"}, 4},
      {{"record", "add", "bench 7", "--result", "missing.json"}, 4},
      {{"record", "add", "bench 7", "--result", "other.json"}, 2},
      {{"record", "add", "bench 7"}, 2},
      {{"record", "add", "bench 7", "--result", "result.json", "--move", "1mm"}, 2},
      {{"record", "add", "bench 7", "--result", "result.json", "--within", "1mm"}, 2},
      {{"record", "add", "bench 7", "--result", "result.json", "--pivot-distance", "1m"}, 2},
      {{"record", "add", "bench 7", "--move", "-1mm", "--toward", "away", "--pivot-distance", "1m"}, 2},
      {{"record", "add", "bench 7", "--move", "1mm", "--toward", "up", "--pivot-distance", "1m"}, 2},
      {{"record", "add", "bench 7", "--move", "1mm", "--toward", "away", "--pivot-distance", "0"}, 2},
      {{"record", "add", "bench 7", "--move", "300mm", "--toward", "away", "--pivot-distance", "1m"}, 2},
      {{"record", "plot", "bench 7", "--out", "p.png"}, 2},
      {{"record", "show", "bench 7", "--json", "bench-7.sled.jsonl"}, 2},
      {{"record", "show", "../bench 7"}, 2},
      {{"record"}, 2}};
  for (const auto& [line, status] : cases) {
    const auto result = run(line);
    EXPECT_EQ(result.status, status) << line.back() << result.err;
    EXPECT_EQ(result.out, "") << line.back();
    EXPECT_NE(result.err, "") << line.back();
  }
  EXPECT_EQ(content(), before);
}

}  // namespace
}  // namespace tapersight
