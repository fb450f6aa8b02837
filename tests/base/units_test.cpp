// What people write is read as they mean it, or refused; what they read back is rounded to what is known.
#include "base/units.h"

#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "base/rng.h"
#include "base/text.h"

namespace tapersight {
namespace {

struct Case {
  const char* text;
  double mm;
};

// Exact to rounding: a dozen digits is more than any rule can show.
void expect_reads(const std::vector<Case>& cases, Units units) {
  for (const Case& c : cases) {
    const auto length = parse_length(c.text, units);
    ASSERT_TRUE(length.ok()) << c.text << ": " << length.failure().text;
    EXPECT_NEAR(*length, c.mm, 1e-10) << c.text;
  }
}

TEST(ParseLength, ReadsWhatIsWrittenInAShop) {
  expect_reads({{"7.5in", 190.5},        {"7.5 in", 190.5},     {" 7.5in. ", 190.5},
                {"7 1/2 in", 190.5},     {"7-1/2\"", 190.5},    {"7 1/2\"", 190.5},
                {"7-1/2 inches", 190.5}, {"7   1/2in", 190.5},  {"1/2\"", 12.7},
                {"15/16\"", 23.8125},    {"3/2 in", 38.1},      {"1 inch", 25.4},
                {"1IN", 25.4},           {"190.5mm", 190.5},    {"190.5 MM", 190.5},
                {"19 cm", 190},          {"0.19 m", 190},       {"1/2 mm", 0.5},
                {"5thou", 0.127},        {"5 thou", 0.127},     {"12.5 thousandths", 0.3175},
                {"25um", 0.025},         {"25 microns", 0.025}, {"3'", 914.4},
                {"3 ft", 914.4},         {"3 feet", 914.4},     {"1/2 foot", 152.4},
                {"3' 6\"", 1066.8},      {"3'6\"", 1066.8},     {"3'-6\"", 1066.8},
                {"3ft 6in", 1066.8},     {"3ft6in", 1066.8},    {"3' 6 1/2\"", 1079.5},
                {"3' 6-1/2\"", 1079.5},  {"3' 6", 1066.8},      {"0in", 0},
                {"-2 thou", -0.0508},    {"+2 thou", 0.0508},   {"7.in", 177.8},
                {"1/3 in", 25.4 / 3}},
               Units::kMillimetre);
}

TEST(ParseLength, ABareNumberIsInTheUnitsInForce) {
  expect_reads({{".571", 14.5034}, {"7 1/2", 190.5}, {"45", 1143}, {"1/2", 12.7}, {"7,5", 190.5}},
               Units::kInch);
  expect_reads({{".571", 0.571}, {"190.5", 190.5}, {"7 1/2", 7.5}, {"0", 0}}, Units::kMillimetre);
}

TEST(ParseLength, ReadsTypographicMarks) {
  expect_reads({{"7 1/2\u2033", 190.5},
                {"7\u00bd\u201d", 190.5},
                {"7 \u00bd in", 190.5},
                {"\u215b\"", 3.175},
                {"3\u2032 6\u2033", 1066.8},
                {"3\u2019 6\u201d", 1066.8},
                {"1\u20442 in", 12.7},
                {"7\u20131/2\"", 190.5},
                {"\u22122 thou", -0.0508},
                {"190.5\u00a0mm", 190.5},
                {"25 \u00b5m", 0.025},
                {"7 1/2''", 190.5}},
               Units::kMillimetre);
}

TEST(ParseLength, ADecimalCommaIsAcceptedWhenItCannotMeanThousands) {
  expect_reads({{"190,5 mm", 190.5},
                {"190,55mm", 190.55},
                {"0,571in", 14.5034},
                {",571 in", 14.5034},
                {"1,9051 mm", 1.9051},
                {"19,0 cm", 190}},
               Units::kMillimetre);
  for (const char* text :
       {"1,905", "1,905 mm", "190,500 mm", "1,234.5 mm", "1.234,5 mm", "1,2,3", "12,", "1,234,567mm"}) {
    const auto length = parse_length(text, Units::kMillimetre);
    ASSERT_FALSE(length.ok()) << text << " was read as " << *length;
    EXPECT_EQ(length.failure().code, "bad-length");
    EXPECT_NE(length.failure().remedy.find("decimal point"), std::string::npos) << text;
  }
}

TEST(ParseLength, RefusesNonsenseWithASentence) {
  for (const char* text :
       {"",          " ",       "in",       "\"",        "abc",   "7.5 parsecs", "7..5",    "7.5.1",
        "1/0",       "1/2/3",   "1/",       "/2",        "1.5/2", "1/2.5",       "7.5 1/2", "7 3/2",
        "7 1/2 1/2", "7 5",     "7 - 1/2",  "7 -1/2",    "--7",   "+-7",         "7in 3mm", "7in 3in",
        "3' 6mm",    "3' 12\"", "3' 6\" 2", "6\" 3'",    "3''6",  "1e3",         "0x10",    "inf",
        "nan",       "7 mil",   "7.5inn",   "7.5 in mm", "$7",    "7;5",         "7.5\n8",  ".",
        ",",         "1/2 1/2", "\xff\xfe", "3'-",       "7in-"}) {
    const auto length = parse_length(text, Units::kInch);
    ASSERT_FALSE(length.ok()) << "\"" << text << "\" was read as " << *length;
    EXPECT_EQ(length.failure().code, "bad-length") << text;
    EXPECT_FALSE(length.failure().text.empty());
    EXPECT_FALSE(length.failure().remedy.empty());
  }
  EXPECT_EQ(parse_length("101 m", Units::kInch).failure().code, "length-out-of-range");
  EXPECT_EQ(parse_length(std::string(300, '9'), Units::kInch).failure().code, "length-out-of-range");
  EXPECT_EQ(parse_length(std::string(400, '9'), Units::kInch).failure().code,
            "bad-length");  // beyond a double
}

TEST(ParseLength, RandomBytesAreReadOrRefusedButNeverBreakIt) {
  Rng rng(5);
  const std::string alphabet = "0123456789.,/ -'\"inmcftouh\xc2\xbd\xe2\x80\xb3";
  int read = 0;
  for (int i = 0; i < 50000; ++i) {
    std::string text;
    const int n = rng.integer(0, 8);
    for (int j = 0; j < n; ++j)
      text += alphabet[static_cast<std::size_t>(rng.integer(0, 29)) % alphabet.size()];
    const auto length = parse_length(text, Units::kInch);
    if (!length.ok()) continue;
    ++read;
    EXPECT_LE(*length, 100'000) << text;
    EXPECT_GE(*length, -100'000) << text;
  }
  EXPECT_GT(read, 1000);  // the alphabet makes real lengths often enough for this test to mean something
}

// Whatever is printed for a person can be typed back in.
TEST(ParseLength, ReadsBackWhatTheProgramPrints) {
  Rng rng(6);
  for (int i = 0; i < 1000; ++i) {
    const double mm = rng.uniform(0.01, 3000);
    for (const Units units : {Units::kInch, Units::kMillimetre}) {
      EXPECT_NEAR(*parse_length(length_text(mm, units, 6, 5), units), mm, 2e-5);
      EXPECT_NEAR(*parse_length(plain_length_text(mm, units), units), mm, 2e-3);
    }
  }
}

TEST(ParsePositiveLength, RefusesZeroAndBelow) {
  EXPECT_NEAR(*parse_positive_length("45in", Units::kInch, "the pivot distance"), 1143, 1e-9);
  for (const char* text : {"0", "-45in", "-0"}) {
    const auto length = parse_positive_length(text, Units::kInch, "the pivot distance");
    ASSERT_FALSE(length.ok()) << text;
    EXPECT_EQ(length.failure().code, "length-not-positive");
    EXPECT_NE(length.failure().text.find("the pivot distance"), std::string::npos);
  }
  EXPECT_EQ(parse_positive_length("x", Units::kInch, "the pivot distance").failure().code, "bad-length");
}

TEST(ParseUnits, ReadsInAndMmOnly) {
  EXPECT_EQ(*parse_units("in"), Units::kInch);
  EXPECT_EQ(*parse_units(" MM "), Units::kMillimetre);
  EXPECT_EQ(parse_units("cm").failure().code, "bad-units");
  EXPECT_EQ(units_name(Units::kMillimetre), "mm");
}

// JCGM 100:2008, 7.2.6: the uncertainty to two significant digits, the value to the same place.
TEST(WithUncertainty, RoundsTheValueToItsUncertainty) {
  EXPECT_EQ(with_uncertainty(97.4999, 2.13, "thou", 2), "97.5 +/- 2.1 thou");
  EXPECT_EQ(with_uncertainty(0.0216667, 0.00049, "in", 5), "0.02167 +/- 0.00049 in");
  EXPECT_EQ(with_uncertainty(1234.5, 56.7, "um", 1), "1234 +/- 57 um");
  EXPECT_EQ(with_uncertainty(-0.001, 0.5, "mm", 4), "0.00 +/- 0.50 mm");
  EXPECT_EQ(with_uncertainty(1.23456789, 1e-9, "mm", 4), "1.2346 +/- 0.0001 mm");
  EXPECT_EQ(with_uncertainty(1.25, 0, "mm", 3), "1.250 mm");
}

TEST(LengthText, InTheUnitsAskedFor) {
  EXPECT_EQ(length_text(190.5, Units::kInch), "7.500 in");
  EXPECT_EQ(length_text(190.5, Units::kMillimetre), "190.50 mm");
  EXPECT_EQ(plain_length_text(1143, Units::kInch), "45 in");
  EXPECT_EQ(plain_length_text(190.5, Units::kInch), "7.5 in");
  EXPECT_EQ(plain_length_text(2540, Units::kInch), "100 in");
  EXPECT_EQ(plain_length_text(0, Units::kMillimetre), "0 mm");
  EXPECT_EQ(length_with_uncertainty(2.4765, 0.053, Units::kInch), "0.0975 +/- 0.0021 in");
  EXPECT_EQ(length_with_uncertainty(2.4765, 0.053, Units::kMillimetre), "2.477 +/- 0.053 mm");
  EXPECT_EQ(fine_length_with_uncertainty(2.4765, 0.053, Units::kInch), "97.5 +/- 2.1 thou");
  EXPECT_EQ(fine_length_with_uncertainty(2.4775, 0.053, Units::kMillimetre), "2.476 +/- 0.053 mm");
}

// 0.065 in over 7.5 in, in four turns: 0.0021667 rad = 2.1667 mm/m = 0.12414 degrees.
TEST(AngleText, InDegreesMmPerMAndPerInch) {
  EXPECT_EQ(degrees_with_uncertainty(0.065 / 30, 0.00005), "0.1241 +/- 0.0029 deg");
  EXPECT_EQ(mm_per_m_with_uncertainty(0.065 / 30, 0.00005), "2.167 +/- 0.050 mm/m");
  EXPECT_EQ(per_inch_with_uncertainty(0.065 / 30, 0.00005), "0.002167 +/- 0.000050 in per inch");
}

}  // namespace
}  // namespace tapersight
