// RFC 4180's rules one by one, and the ways in which spreadsheets leave them.
#include "base/csv.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tapersight {
namespace {

using ::testing::ElementsAre;

std::vector<std::vector<std::string>> records(std::string_view text) {
  const auto parsed = parse_csv(text);
  std::vector<std::vector<std::string>> all;
  if (!parsed.ok()) return {{parsed.failure().code, parsed.failure().text}};
  for (const CsvRecord& record : *parsed) all.push_back(record.fields);
  return all;
}

TEST(Csv, FieldsQuotesAndLineEnds) {
  EXPECT_THAT(records("a,b\r\n1,\"x, \"\"y\"\"\"\r\n"),
              ElementsAre(ElementsAre("a", "b"), ElementsAre("1", "x, \"y\"")));
  EXPECT_THAT(records("a,b\n1,\"two\nlines\"\n"),
              ElementsAre(ElementsAre("a", "b"), ElementsAre("1", "two\nlines")));
  EXPECT_THAT(records("a\rb\r"), ElementsAre(ElementsAre("a"), ElementsAre("b")));
  EXPECT_THAT(records("a,,c"), ElementsAre(ElementsAre("a", "", "c")));
}

TEST(Csv, ASpreadsheetsExport) {
  EXPECT_THAT(records("\xEF\xBB\xBF"
                      "bench;pivot distance\r\n7;114,3 cm\r\n;\r\n"),
              ElementsAre(ElementsAre("bench", "pivot distance"), ElementsAre("7", "114,3 cm")));
  EXPECT_THAT(records("a\tb\n1\t2\n"), ElementsAre(ElementsAre("a", "b"), ElementsAre("1", "2")));
  EXPECT_THAT(records("\"a;b\",c\n"), ElementsAre(ElementsAre("a;b", "c")))
      << "a quoted semicolon sets nothing apart";
}

TEST(Csv, LinesAreCountedThroughQuotedOnes) {
  const auto parsed = parse_csv("a\n\n\"x\ny\"\nz\n");
  ASSERT_TRUE(parsed.ok());
  ASSERT_EQ(parsed->size(), 3U);
  EXPECT_EQ((*parsed)[1].line, 3);
  EXPECT_EQ((*parsed)[2].line, 5);
}

TEST(Csv, WhatCannotBeReadIsToldWithItsLine) {
  EXPECT_THAT(records("a\n\"b\n")[0], ElementsAre("bad-csv", ::testing::HasSubstr("Line 2")));
  EXPECT_THAT(records("a\n\"b\"c\n")[0], ElementsAre("bad-csv", ::testing::HasSubstr("Line 2")));
  EXPECT_EQ(records(std::string_view("\xFF\xFE"
                                     "a\0b\0",
                                     6))[0][0],
            "bad-csv");
}

TEST(Csv, WhatIsWrittenIsReadBack) {
  const std::vector<std::string> fields = {"plain", "with, comma", "a \"word\"", "two\nlines",
                                           "",      " space ",     "7;8"};
  const std::string line = csv_line(fields);
  EXPECT_EQ(line.substr(line.size() - 2), "\r\n");
  EXPECT_EQ(records(line + "x\r\n")[0], fields);
}

// A spreadsheet must not run what somebody wrote as a name; what is read back is the name behind the mark.
TEST(CsvLine, ATextIsNoFormula) {
  for (const std::string name : {"=HYPERLINK(\"x\")", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "\n=1"}) {
    EXPECT_EQ(not_a_formula(name), "'" + name);
    const auto read = parse_csv(csv_line({not_a_formula(name), "7"}));
    ASSERT_TRUE(read.ok());
    EXPECT_THAT((*read)[0].fields, ElementsAre("'" + name, "7"));
  }
  for (const std::string name : {"", "Ann = Bo", "bench-7.jpg", "'x"}) EXPECT_EQ(not_a_formula(name), name);
}

}  // namespace
}  // namespace tapersight
