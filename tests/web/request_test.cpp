// Requests as the page makes them: answered, whatever they hold.
#include "web/request.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "base/files.h"

namespace tapersight {
namespace {

using nlohmann::json;
using ::testing::HasSubstr;
using ::testing::Not;

const json kSled{{"units", "in"}, {"pivot", "left"}, {"pivot-distance", "45 in"}};

json answer(const json& request, const Blobs& blobs = {}) {
  return json::parse(answer_request(request.dump(), blobs));
}

std::string testimage(const char* name) {
  const auto bytes = read_file(std::string(TAPERSIGHT_SOURCE "/testimages/") + name);
  return bytes ? *bytes : std::string();
}

json measured(const char* name, json more = json::object()) {
  json request{{"do", "measure"}, {"sled", kSled}, {"pictures", {{{"name", name}, {"blob", 0}}}}};
  request.update(more);
  return answer(request, {testimage(name)});
}

TEST(Requests, AScanIsMeasuredAndItsPageSaysTheMove) {
  const json found = measured("scans/bench-07-letter-300dpi.jpg");
  ASSERT_EQ(found.at("status"), "measured");
  EXPECT_EQ(json::parse(found.at("result").get<std::string>()).at("status"), "measured");
  EXPECT_THAT(found.at("page").get<std::string>(), HasSubstr("<h1>Move the right end"));
  EXPECT_EQ(found.at("line"), "");  // no record was asked for
}

TEST(Requests, ARefusalHasItsReasonAndItsPage) {
  const json found = measured("rejects/no-strip.jpg");
  EXPECT_EQ(found.at("status"), "rejected");
  EXPECT_FALSE(found.at("remedy").get<std::string>().empty());
  EXPECT_THAT(found.at("page").get<std::string>(), HasSubstr("class=\"refused\""));
}

TEST(Requests, TheRecordGetsALineOnce) {
  json record{{"record", {{"sled", "bench 7"}, {"lines", ""}, {"when", "2031-05-07T09:30:00Z"}}}};
  const json first = measured("scans/bench-07-letter-300dpi.jpg", record);
  const std::string line = first.at("line");
  ASSERT_THAT(line, HasSubstr("tapersight.record.v1"));
  record["record"]["lines"] = line + "\n";
  EXPECT_EQ(measured("scans/bench-07-letter-300dpi.jpg", record).at("line"), "");
  const json shown = answer({{"do", "record"}, {"name", "bench 7"}, {"sled", kSled}, {"lines", line + "\n"}});
  EXPECT_EQ(shown.at("entries"), 1);
  EXPECT_THAT(shown.at("plot").get<std::string>(), HasSubstr("<svg"));
}

TEST(Requests, ASledGoesIntoItsFileAndBack) {
  const json kept = answer({{"do", "sled"}, {"name", "bench 7"}, {"words", kSled}});
  ASSERT_EQ(kept.at("status"), "done");
  EXPECT_EQ(kept.at("file_name"), "bench-7.sled.toml");
  EXPECT_EQ(kept.at("record_name"), "bench-7.sled.jsonl");
  const json again = answer({{"do", "sled"}, {"name", "bench 7"}, {"file", kept.at("file")}});
  EXPECT_EQ(again.at("words"), kept.at("words"));
}

TEST(Requests, AClassIsMeasuredPictureByPicture) {
  const json said{{"roster", "bench,student,pivot,pivot distance\n7,Noor,left,45 in\n9,Per,,\n"},
                  {"group", "Period 3"}};
  json lines = json::array();
  for (const char* name : {"scans/bench-07-letter-300dpi.jpg", "rejects/blank.jpg"}) {
    const json picture{{"do", "class-picture"}, {"class", said}, {"picture", {{"name", name}, {"blob", 0}}}};
    const json done = answer(picture, {testimage(name)});
    ASSERT_EQ(done.at("status"), "done") << name;
    for (const json& line : done.at("lines")) lines.push_back(line);
  }
  const json sheet = answer({{"do", "class-sheet"}, {"class", said}, {"pictures", 2}, {"lines", lines}});
  ASSERT_EQ(sheet.at("status"), "done");
  EXPECT_THAT(sheet.at("page").get<std::string>(), HasSubstr("Noor"));
  EXPECT_THAT(sheet.at("csv").get<std::string>(), HasSubstr("Per"));  // nobody's picture shows that bench
  EXPECT_EQ(sheet.at("all_measured"), false);
}

TEST(Requests, PixelsAreTakenAsTheyCome) {
  json request{{"do", "measure"}, {"pictures", {{{"name", "a"}, {"blob", 0}, {"width", 8}, {"height", 8}}}}};
  EXPECT_EQ(answer(request, {std::string(4 * 8 * 8, '\xff')}).at("status"), "rejected");
  EXPECT_EQ(answer(request, {std::string(4 * 8 * 8 - 1, '\xff')}).at("code"), "bad-request");
}

TEST(Requests, WhatIsNoneIsRefusedInWords) {
  for (const char* text :
       {"", "{", "[]", "{}", R"({"do":"dance"})", R"({"do":"measure"})", R"({"do":"measure","pictures":[]})",
        R"({"do":"measure","pictures":[{"name":"a","blob":1}]})",
        R"({"do":"measure","sled":{"wheels":"4"},"pictures":[{"name":"a","blob":0}]})",
        R"({"do":"class-sheet","pictures":1,"lines":["{"]})", R"({"do":"sled","name":"../x"})"}) {
    const json refused = json::parse(answer_request(text, {}));
    EXPECT_EQ(refused.at("status"), "failed") << text;
    EXPECT_FALSE(refused.at("text").get<std::string>().empty()) << text;
    EXPECT_THAT(refused.at("remedy").get<std::string>(), Not(HasSubstr("--"))) << text;
  }
}

}  // namespace
}  // namespace tapersight
