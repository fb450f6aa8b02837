// Rosters as teachers type them: read whole, or refused with the line that is wrong.
#include "classroom/roster.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tapersight {
namespace {

const std::vector<std::string> kKnown = {"pivot-distance", "tolerance", "fence-end-readings"};

TEST(Roster, ReadsWhatASpreadsheetExports) {
  const auto roster = parse_roster(
      "\xEF\xBB\xBF"
      "Pupil;Bench;Pivot_Distance;TOLERANCE\r\nA;12;114,3 cm;\r\nB;3;45 in;0.1mm/m\r\n",
      kKnown);
  ASSERT_TRUE(roster.ok()) << roster.failure().text;
  ASSERT_EQ(roster->rows.size(), 2U);
  EXPECT_EQ(roster->rows[0].bench, 3) << "by bench number";
  EXPECT_EQ(roster->rows[0].line, 3);
  using Field = std::pair<std::string, std::string>;
  EXPECT_THAT(roster->rows[0].fields,
              ::testing::ElementsAre(Field("pivot-distance", "45 in"), Field("tolerance", "0.1mm/m")));
  EXPECT_THAT(roster->rows[1].fields, ::testing::ElementsAre(Field("pivot-distance", "114,3 cm")))
      << "an empty field says nothing";
  EXPECT_THAT(roster->unused_columns, ::testing::ElementsAre("Pupil"));
}

struct Bad {
  const char* text;
  const char* says;
};

TEST(Roster, WhatIsWrongIsToldWithItsLine) {
  const Bad all[] = {
      {"", "empty"},
      {"7,45 in\n8,45 in\n", "no column named bench"},
      {"bench\n", "names no bench"},
      {"bench,tolerance\n7\n7,0.1mm/m\n", "line 3: bench 7 is already in line 2"},
      {"bench\n../x\n", "\"../x\" is not a bench number"},
      {"bench\n0\n", "not a bench number"},
      {"bench\n600\n", "not a bench number"},
      {"bench\n7.5\n", "not a bench number"},
      {"bench,tolerance\n7,a,b\n", "line 2: it has more fields"},
      {"bench,tolerance,Tolerance\n7,a,b\n", "comes twice"},
      {"bench,tolerance\n7,\"a\n", "Line 2: a quotation mark"},
  };
  for (const Bad& bad : all) {
    const auto roster = parse_roster(bad.text, kKnown);
    ASSERT_FALSE(roster.ok()) << bad.text;
    EXPECT_THAT(roster.failure().text, ::testing::HasSubstr(bad.says)) << bad.text;
    EXPECT_FALSE(roster.failure().remedy.empty());
  }
}

}  // namespace
}  // namespace tapersight
