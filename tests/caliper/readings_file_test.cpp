// Files and lists of readings as people type them, and what is said when a line makes no sense.
#include "caliper/readings_file.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

namespace tapersight {
namespace {

const char* const kFile =
    "\xEF\xBB\xBF"
    "# Sled 4, Tuesday\r\n"
    "End, Reading\r\n"
    "units, in\r\n"
    "caliper, dial\r\n"
    "resolution, .001\r\n"
    "limit, 0.02 mm\r\n"
    "\r\n"
    "strip length, 8\r\n"
    "readings-at, 1/4 in   # both ends\r\n"
    "Fence end, .571, 37/64 in,\r\n"
    "fence_end, 14.5 mm\r\n"
    "far, .506\r\n"
    "zero, 0, -0.001\r\n"
    "block size, 1\r\n"
    "block, 1.0005\r\n"
    "study, 3, Ann, .506, 5/10\r\n"
    "units, mm\r\n"
    "far end; 12,85; 12.86";

TEST(ReadingsFile, ReadsEverythingThatItsHeaderDescribes) {
  const auto file = parse_caliper_file(kFile, Units::kMillimetre);
  ASSERT_TRUE(file.ok()) << file.failure().text;
  const CaliperReadings& r = file->readings;
  ASSERT_EQ(r.fence_end_mm.size(), 3U);
  EXPECT_NEAR(r.fence_end_mm[0], .571 * 25.4, 1e-12);
  EXPECT_NEAR(r.fence_end_mm[1], 37 * 25.4 / 64, 1e-12);
  EXPECT_DOUBLE_EQ(r.fence_end_mm[2], 14.5);
  ASSERT_EQ(r.far_end_mm.size(), 3U);
  EXPECT_DOUBLE_EQ(r.far_end_mm[1], 12.85) << "a decimal comma between semicolons";
  EXPECT_DOUBLE_EQ(r.far_end_mm[2], 12.86) << "after the units were changed";
  EXPECT_EQ(r.closed_jaws_mm.size(), 2U);
  EXPECT_NEAR(r.closed_jaws_mm[1], -0.0254, 1e-12);
  EXPECT_NEAR(r.block_size_mm, 25.4, 1e-12);
  EXPECT_NEAR(r.block_mm[0], 25.4127, 1e-12);
  EXPECT_NEAR(r.distance_mm, 7.5 * 25.4, 1e-9);
  EXPECT_NEAR(file->spec.resolution_mm, 0.0254, 1e-12);
  EXPECT_DOUBLE_EQ(file->spec.limit_of_error_mm, 0.02);
  EXPECT_FALSE(file->spec.limit_is_usual);
  EXPECT_EQ(file->spec.kind, CaliperKind::kDial);
  ASSERT_EQ(file->study.size(), 2U);
  EXPECT_EQ(file->study[1].person, "Ann");
  EXPECT_NEAR(file->study[1].value_mm, 12.7, 1e-12);
}

TEST(ReadingsFile, TheOrderOfKindAndLimitDoesNotMatter) {
  EXPECT_DOUBLE_EQ(
      parse_caliper_file("limit, 0.03 mm\ncaliper, vernier\n", Units::kInch)->spec.limit_of_error_mm, 0.03);
  EXPECT_DOUBLE_EQ(parse_caliper_file("caliper, vernier\n", Units::kInch)->spec.limit_of_error_mm, 0.05);
}

TEST(ReadingsFile, WithoutAPlaceTheReadingsAreAQuarterInchFromTheEnds) {
  EXPECT_NEAR(parse_caliper_file("strip length, 203.2 mm", Units::kInch)->readings.distance_mm, 190.5, 1e-9);
  EXPECT_DOUBLE_EQ(parse_caliper_file("far end, .5", Units::kInch)->readings.distance_mm, 0)
      << "no strip length";
}

TEST(ReadingsFile, NamesTheLineThatMakesNoSense) {
  struct Case {
    const char* text;
    const char* says;
  };
  for (const Case& c :
       {Case{"fence end, .571\n\nfar end, .5o6\n", "Line 3"}, Case{"fense end, .571\n", "fense end"},
        Case{"fence end\n", "no value"}, Case{"fence end, , .571\n", "no value"},
        Case{"fence end, .571, , .572\n", "Line 1"}, Case{"strip length, 8\nstrip length, 9\n", "before"},
        Case{"strip length, 7,5\n", "one value"}, Case{"units, ells\n", "ells"},
        Case{"caliper, wooden\n", "wooden"}, Case{"limit, 0\n", "Line 1"},
        Case{"study, 3, Ann\n", "gauge study"}, Case{"study, 3, , .5\n", "gauge study"},
        Case{"end, reading\nend, reading\n", "Line 2"}}) {
    const auto file = parse_caliper_file(c.text, Units::kInch);
    ASSERT_FALSE(file.ok()) << c.text;
    EXPECT_EQ(file.failure().code, "bad-caliper-file") << c.text;
    EXPECT_NE(file.failure().text.find(c.says), std::string::npos) << file.failure().text;
    EXPECT_FALSE(file.failure().remedy.empty()) << c.text;
  }
  EXPECT_EQ(parse_caliper_file("strip length, 8\nreadings at, 4\n", Units::kInch).failure().code,
            "caliper-places-too-close");
}

// A million of them once kept the program busy for minutes.
TEST(ReadingsFile, MoreReadingsThanAnybodyTakesAreRefused) {
  const auto many = [](int count, const std::string& between) {
    std::string text = ".571";
    for (int i = 1; i < count; ++i) text += between + ".571";
    return text;
  };
  EXPECT_TRUE(parse_caliper_file("fence end, " + many(1000, ", "), Units::kInch).ok());
  for (const std::string& text :
       {"fence end, " + many(1001, ", "), "fence end, " + many(600, ", ") + "\nfar end, " + many(600, ", "),
        "study, 1, A, " + many(1001, "\nstudy, 1, A, ")})
    EXPECT_THAT(parse_caliper_file(text, Units::kInch).failure().text,
                ::testing::HasSubstr("more than 1000 readings"));
  EXPECT_EQ(parse_reading_list(many(1000, ","), Units::kInch)->size(), 1000U);
  EXPECT_EQ(parse_reading_list(many(1001, ","), Units::kInch).failure().code, "too-many-readings");
  EXPECT_EQ(parse_reading_list(many(1000000, ","), Units::kInch).failure().code, "too-many-readings");
}

TEST(ReadingsFile, AnEmptyFileHoldsNoReadings) {
  const auto file = parse_caliper_file("", Units::kInch);
  ASSERT_TRUE(file.ok());
  EXPECT_TRUE(file->readings.fence_end_mm.empty());
  EXPECT_TRUE(file->study.empty());
}

TEST(ReadingList, ReadsWhatTheCommandLineHolds) {
  const auto list = parse_reading_list(".571, 14.5mm ,9/16", Units::kInch);
  ASSERT_TRUE(list.ok()) << list.failure().text;
  ASSERT_EQ(list->size(), 3U);
  EXPECT_NEAR((*list)[2], 14.2875, 1e-12);
  EXPECT_EQ(parse_reading_list("12,85;12,86", Units::kMillimetre)->at(1), 12.86);
  EXPECT_EQ(parse_reading_list(" , ", Units::kInch).failure().code, "no-readings");
  EXPECT_EQ(parse_reading_list(".571,x", Units::kInch).failure().code, "bad-length");
}

}  // namespace
}  // namespace tapersight
