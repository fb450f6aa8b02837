// Several pictures of one strip, as a person names them.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>
#include <iterator>
#include <map>
#include <nlohmann/json.hpp>
#include <regex>
#include <sstream>

#include "cli/scan_fixture.h"
#include "synth/render_scan.h"
#include "synth/scan_file.h"

namespace tapersight {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;
using testing::run_tapersight;
using testing::sample_scan;

// The sample's strip scanned once more, a little askew, so that the noise falls on other places.
std::string scanned_again(const TempDir& dir, const std::string& name, bool end_for_end, double taper,
                          double length_mm = 200) {
  ScanScene scene = testing::sample_scene();
  scene.page_rotation_deg = 0.6;
  StripScene& strip = scene.strips.front();
  if (end_for_end) strip.angle_deg += 180;
  strip.taper = taper;
  strip.length_mm = length_mm;
  EXPECT_TRUE(write_scan(dir.file(name), render_scan(scene).image, scene.dpi));
  return dir.file(name);
}

nlohmann::json json_of(const std::vector<std::string>& arguments) {
  std::vector<std::string> all = {"measure", "--json", "-"};
  all.insert(all.end(), arguments.begin(), arguments.end());
  return nlohmann::json::parse(run_tapersight(all).out);
}

TEST(Several, AreCombinedAndTheStripsOwnPartStays) {
  const TempDir dir;
  const std::string again = scanned_again(dir, "again.png", false, 0.002);
  const auto one = json_of({sample_scan().png()});
  const auto both = json_of({sample_scan().png(), again});
  const double taper = both["strip"]["taper"], u = both["strip"]["taper_u"];
  EXPECT_LT(std::abs(taper - sample_scan().truth.taper), 4 * u);
  EXPECT_NE(taper, one["strip"]["taper"].get<double>());
  EXPECT_EQ(both["combined"]["pictures"], 2);
  EXPECT_EQ(both["combined"]["reversed"], 0);
  EXPECT_TRUE(both["combined"]["consistent"]);
  EXPECT_TRUE(both["combined"]["instrument_taper"].is_null());
  // The same edges in both: that part of it stays whole, and so does what the instrument may forge.
  double squares = 0;
  std::map<std::string, double> u_of;
  for (const auto& row : both["strip"]["budget"]) {
    u_of[row["source"]] = row["u"];
    squares += std::pow(row["u"].get<double>(), 2);
  }
  EXPECT_GT(u_of["pictures"], 0);
  EXPECT_GT(u_of["strip"], 0.5 * one["strip"]["taper_u"].get<double>());
  EXPECT_NEAR(std::sqrt(squares), u, 1e-3 * u);
}

TEST(Several, AReversedOneShowsTheInstrumentsError) {
  const TempDir dir;
  const std::string turned = scanned_again(dir, "turned.png", true, 0.002);
  const auto run = run_tapersight({"measure", "--details", sample_scan().png(), "--reversed", turned,
                                   "--report", dir.file("page.html"), "--json", dir.file("1.json")});
  ASSERT_EQ(run.status, 0) << run.err;
  EXPECT_THAT(run.out, HasSubstr("Pictures: 2 of the same strip, 1 of them turned end for end"));
  EXPECT_THAT(run.out, HasSubstr("the camera's or scanner's own error"));
  const auto json = nlohmann::json::parse(read_file(dir.file("1.json")).value());
  const double taper = json["strip"]["taper"], u = json["strip"]["taper_u"];
  EXPECT_LT(std::abs(taper - sample_scan().truth.taper), 4 * u);
  const double own = json["combined"]["instrument_taper"], own_u = json["combined"]["instrument_taper_u"];
  EXPECT_LT(std::abs(own), 4 * own_u) << "this scanner has none";
}

// Another strip of the same size; or the strip the other way round, without saying so or only saying so: the
// mean would be a taper that no strip has.
TEST(Several, ThatCannotBeOfOneStripAreRefusedAndEachIsTold) {
  const TempDir dir;
  const std::string other = scanned_again(dir, "other.png", false, 0.003);
  const std::string turned = scanned_again(dir, "turned.png", true, 0.002);
  const std::string again = scanned_again(dir, "again.png", false, 0.002);
  for (const std::vector<std::string>& pictures :
       {std::vector<std::string>{other}, {turned}, {"--reversed", again}}) {
    std::vector<std::string> command = {"measure", "--report", dir.file("page.html"), sample_scan().png()};
    command.insert(command.end(), pictures.begin(), pictures.end());
    const auto run = run_tapersight(command);
    EXPECT_EQ(run.status, 3) << pictures.back();
    const bool said_turned = pictures.front() == "--reversed";
    EXPECT_THAT(run.err,
                HasSubstr(said_turned ? "Was the strip really turned" : "do not show the same taper"));
    EXPECT_THAT(run.err, HasSubstr("bench-07.png, 0.0020"));
    EXPECT_EQ(run.out, "");
    const std::string page = read_file(dir.file("page.html")).value();
    EXPECT_THAT(page, HasSubstr("and 1 more"));
    EXPECT_THAT(page, Not(HasSubstr("of the same strip")));
  }
}

// The words of the command under "Again"; this test's file names need no quotes.
std::vector<std::string> command_on(const std::string& page) {
  const std::size_t from = page.find("<code"), to = page.find("</code>", from);
  EXPECT_NE(to, std::string::npos);
  std::string line = page.substr(from, to - from);
  line = std::regex_replace(line, std::regex("<[^>]*>"), "");
  std::istringstream words(line);
  return {std::istream_iterator<std::string>(words), {}};
}

TEST(Several, ThePageNamesAllAndItsCommandMeasuresTheSameAgain) {
  const TempDir dir;
  const std::string again = scanned_again(dir, "again.png", false, 0.002);
  const std::string turned = scanned_again(dir, "turned.png", true, 0.002);
  const auto first = json_of({sample_scan().png(), again, "--reversed", turned, "--thickness", "18mm",
                              "--report", dir.file("page.html")});
  const std::string page = read_file(dir.file("page.html")).value();
  EXPECT_THAT(page, HasSubstr("and 2 more of the same strip"));
  EXPECT_THAT(page, HasSubstr("turned.png</bdi> (strip turned end for end)"));
  EXPECT_THAT(page, HasSubstr("Taper that it shows by itself"));
  EXPECT_EQ(first["further_pictures"][1]["file"], turned);
  EXPECT_EQ(first["further_pictures"][1]["reversed"], true);
  ASSERT_EQ(first["combined"]["each"].size(), 3U);
  EXPECT_LT(first["combined"]["each"][2]["taper"].get<double>(), 0) << "as the sheet shows it";

  std::vector<std::string> command = command_on(page);
  ASSERT_GT(command.size(), 2U);
  ASSERT_EQ(command[0] + " " + command[1], "tapersight measure");
  command.erase(command.begin(), command.begin() + 2);
  const auto second = json_of(command);
  EXPECT_EQ(second["strip"], first["strip"]);
  EXPECT_EQ(second["combined"], first["combined"]);
}

TEST(Several, OfTwoStripsAreRefused) {
  const TempDir dir;
  const std::string other = scanned_again(dir, "other.png", false, 0.002, 180);
  const auto run = run_tapersight({"measure", sample_scan().png(), other, "--units", "mm"});
  EXPECT_EQ(run.status, 3);
  EXPECT_THAT(run.err, HasSubstr("other.png: It shows a different strip"));
}

TEST(Several, OneThatCannotBeMeasuredIsNamedAndStopsAll) {
  const TempDir dir;
  const std::string blank = dir.file("blank.png");
  ASSERT_TRUE(write_scan(blank, cv::Mat(1500, 1200, CV_8U, cv::Scalar(240)), 300));
  const auto run = run_tapersight(
      {"measure", sample_scan().png(), blank, "--report", dir.file("page.html"), "--json", "-"});
  EXPECT_EQ(run.status, 3);
  EXPECT_EQ(nlohmann::json::parse(run.out)["further_pictures"][0]["file"], blank);
  EXPECT_THAT(read_file(dir.file("page.html")).value(), HasSubstr("blank.png: "));
  EXPECT_THAT(run.err, HasSubstr("blank.png: "));
  EXPECT_THAT(run.out, Not(HasSubstr("out over")));
  EXPECT_EQ(run_tapersight({"measure", sample_scan().png(), dir.file("missing.png")}).status, 4);
  const auto twice = run_tapersight({"measure", sample_scan().png(), "--reversed", sample_scan().png()});
  EXPECT_EQ(twice.status, 2);
  EXPECT_THAT(twice.err, HasSubstr("named twice"));
}

// Averaging a picture with itself would narrow the interval for nothing.
TEST(Several, ACopyUnderAnotherNameIsRefused) {
  const TempDir dir;
  std::filesystem::copy_file(sample_scan().png(), dir.file("copy.png"));
  const auto run = run_tapersight({"measure", sample_scan().png(), dir.file("copy.png")});
  EXPECT_EQ(run.status, 2);
  EXPECT_THAT(run.err, HasSubstr("is a copy of another"));
  EXPECT_EQ(run.out, "");
}

}  // namespace
}  // namespace tapersight
