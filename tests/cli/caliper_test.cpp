// The caliper's readings through the program: by themselves, and beside the scan of the same strip.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <nlohmann/json.hpp>

#include "base/text.h"
#include "cli/scan_fixture.h"

namespace tapersight {
namespace {

using nlohmann::json;
using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::Not;
using testing::run_tapersight;
using testing::sample_scan;

// What an honest caliper reads of the sample scan's strip a quarter inch inside its ends, in mm to a
// hundredth, with `wrong_mm` added at the fence end.
std::string readings_of_the_sample(double wrong_mm) {
  const StripTruth& truth = sample_scan().truth;
  const double inside = 6.35 * truth.taper;
  const auto list = [](double width) {
    std::string text;
    for (const double scatter : {0.01, -0.01, 0.0, 0.01, 0.0}) text += "; " + fixed(width + scatter, 2);
    return text;
  };
  return "units, mm\nlimit, 0.02\nfence end" + list(truth.width_fence_end_mm - inside + wrong_mm) +
         "\nfar end" + list(truth.width_far_end_mm + inside) + "\nclosed jaws, 0, 0.01, 0\n";
}

std::string written(const TempDir& dir, const std::string& text) {
  EXPECT_TRUE(write_file_whole(dir.file("readings.csv"), text).ok());
  return dir.file("readings.csv");
}

TEST(Caliper, AgreesWithTheScanOfTheSameStrip) {
  const TempDir dir;
  const auto run = run_tapersight({"measure", "--details", sample_scan().png(), "--caliper",
                                   written(dir, readings_of_the_sample(0)), "--caliper-plot",
                                   dir.file("plot.svg"), "--json", dir.file("out.json")});
  ASSERT_EQ(run.status, 0) << run.err;
  EXPECT_THAT(run.out, AllOf(HasSubstr("The caliper\n"), HasSubstr("E_n ="), HasSubstr("  both  ")));
  const json j = json::parse(read_file(dir.file("out.json")).value()).at("caliper");
  EXPECT_NE(j.at("agreement"), "disagrees");
  EXPECT_TRUE(j.at("faults").empty());
  const double U = j.at("combined").at("U");
  EXPECT_NEAR(j.at("combined").at("taper").get<double>(), sample_scan().truth.taper, 1.5 * U);
  EXPECT_LT(U, j.at("caliper").at("U").get<double>());
  EXPECT_NEAR(j.at("distance_mm").get<double>(), sample_scan().truth.length_mm - 12.7, 0.5)
      << "the picture's length";
  EXPECT_THAT(read_file(dir.file("plot.svg")).value(), HasSubstr("</svg>"));
}

TEST(Caliper, AWrongDifferenceIsSeenBesideTheScanAndReversalIsOffered) {
  const TempDir dir;
  const auto run = run_tapersight({"measure", sample_scan().png(), "--units", "mm", "--caliper",
                                   written(dir, readings_of_the_sample(0.2))});
  ASSERT_EQ(run.status, 0) << run.err;
  EXPECT_THAT(run.out, HasSubstr("Note: Do not use this caliper for the taper"));
  const auto details = run_tapersight({"measure", sample_scan().png(), "--units", "mm", "--details",
                                       "--caliper", written(dir, readings_of_the_sample(0.2))});
  EXPECT_THAT(details.out,
              AllOf(HasSubstr("Do not use this caliper for the taper"), HasSubstr("end for end")));
}

TEST(Caliper, TypedReadingsStandAboveTheFiles) {
  const TempDir dir;
  const auto run = run_tapersight(
      {"caliper", written(dir, "strip length, 8 in\nfence end, 1, 2\nfar end, .506, .505, .507\n"),
       "--fence-end-readings", ".571,.570,.572", "--json", "-"});
  ASSERT_EQ(run.status, 0) << run.err;
  const json j = json::parse(run.out);
  EXPECT_EQ(j.at("schema"), "tapersight.caliper.v1");
  EXPECT_NEAR(j.at("caliper").at("caliper").at("difference_mm").get<double>(), 0.065 * 25.4, 1e-9);
  EXPECT_EQ(j.at("caliper").at("agreement"), "not-compared");
  EXPECT_EQ(j.at("plan").at("tolerance"), "2thou/12in");
}

TEST(Caliper, AStudyAloneIsAnalysedAndPlannedFor) {
  const TempDir dir;
  const auto run = run_tapersight({"caliper",
                                   written(dir,
                                           "study,1,A,.571,.572\nstudy,1,B,.5715,.572\nstudy,2,A,.540,.541\n"
                                           "study,2,B,.542,.541\nstudy,3,A,.506,.507\nstudy,3,B,.508,.507\n"),
                                   "--tolerance", "1thou/12in"});
  ASSERT_EQ(run.status, 0) << run.err;
  EXPECT_THAT(run.out, AllOf(HasSubstr("One reading repeats to 0.61 thou"), HasSubstr("places x people"),
                             HasSubstr("To decide 1thou/12in"), Not(HasSubstr("The caliper\n"))));
}

TEST(Caliper, TheFileAndItsOutputsKeepApart) {
  const TempDir dir;
  const std::string file = written(dir, "strip length, 8\nfence end,.571,.570\nfar end,.506,.505\n");
  for (const char* option : {"--json", "--plot"})
    EXPECT_EQ(run_tapersight({"caliper", file, option, file}).status, 2) << option;
  EXPECT_EQ(run_tapersight({"caliper", dir.file("missing.csv")}).status, 4);
  const auto bad = run_tapersight({"caliper", written(dir, "fence end, .571\nfar end, .5o6\n")});
  EXPECT_EQ(bad.status, 2);
  EXPECT_THAT(bad.err, HasSubstr("Line 2"));
}

class WrongCaliperUsage : public ::testing::TestWithParam<std::vector<std::string>> {};

TEST_P(WrongCaliperUsage, IsStatus2AndWritesNothing) {
  testing::expect_wrong_usage(GetParam());
}

using Words = std::vector<std::string>;
const Words kStrip = {"caliper",   "--strip-length",     "8in",      "--fence-end-readings",
                      ".571,.570", "--far-end-readings", ".506,.505"};

Words strip_and(const Words& more) {
  Words all = kStrip;
  all.insert(all.end(), more.begin(), more.end());
  return all;
}

INSTANTIATE_TEST_SUITE_P(
    Caliper, WrongCaliperUsage,
    ::testing::Values(
        Words{"caliper"}, Words{"caliper", "--strip-length", "8in", "--fence-end-readings", ".571,.570"},
        Words{"caliper", "--fence-end-readings", ".571,.570", "--far-end-readings", ".506,.505"},
        strip_and({"--plot", "OUT.png"}), strip_and({"--readings-at", "4in", "--json", "OUT.json"}),
        strip_and({"--tolerance", "tight", "--json", "OUT.json"}), strip_and({"--turns", "0"}),
        strip_and({"--block", "1.000", "--json", "OUT.json"}), strip_and({"--caliper-kind", "wooden"}),
        strip_and({"--caliper-limit", "0"}), strip_and({"--units", "mm", "--plot", "OUT.svg"}),
        strip_and({"--pivot", "left"}), Words{"measure", "SCAN", "--caliper-plot", "OUT.svg"},
        Words{"measure", "SCAN", "--fence-end-readings", ".571,.570", "--json", "OUT.json"},
        Words{"measure", "SCAN", "--readings-at", "1/4in", "--json", "OUT.json"},
        Words{"measure", "SCAN", "--json", "OUT.json", "--units", "mm", "--fence-end-readings", ".571,.570",
              "--far-end-readings", ".506,.505"}));

}  // namespace
}  // namespace tapersight
