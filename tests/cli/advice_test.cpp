// From the number to the next thing to do, through the program: the decision, the adjusters, the procedure,
// a ring's closing gap. What is printed and what stands in the JSON are the same numbers.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <numeric>

#include "cli/scan_fixture.h"

namespace tapersight {
namespace {

using nlohmann::json;
using ::testing::HasSubstr;
using ::testing::Not;
using testing::run_tapersight;
using testing::sample_scan;

// Common practice, no published source: .571 and .506 in, 7.5 in apart; the units freely mixed.
std::vector<std::string> worked_figure(const std::vector<std::string>& more) {
  std::vector<std::string> line{"correct", "--fence-end", "14.5034mm",        "--far-end", "506thou",
                                "--apart", "7 1/2\"",     "--pivot-distance", "114.3 cm"};
  line.insert(line.end(), more.begin(), more.end());
  return line;
}

json json_of(std::vector<std::string> line) {
  line.insert(line.end(), {"--json", "-"});
  const auto run = run_tapersight(line);
  EXPECT_EQ(run.status, 0) << run.err;
  return json::parse(run.out, nullptr, false);
}

// The text with its line breaks undone.
std::string text_of(std::vector<std::string> line) {
  if (line.front() != "guide") line.emplace_back("--details");
  const auto run = run_tapersight(line);
  EXPECT_EQ(run.status, 0) << run.err;
  std::string flat;
  for (const char c : run.out) {
    if (c != '\n' && c != ' ')
      flat += c;
    else if (!flat.empty() && flat.back() != ' ')
      flat += ' ';
  }
  return flat;
}

TEST(Advice, FeelersMakeTheMove) {
  const json j = json_of(worked_figure({"--units", "in"}));
  const json& a = j.at("adjustment");
  ASSERT_TRUE(a.at("advised").get<bool>());
  EXPECT_EQ(a.at("by"), "feelers");
  EXPECT_NEAR(a.at("wanted_mm").get<double>(), 0.0975 * 25.4, 1e-9);
  EXPECT_EQ(a.at("wanted_mm"), j.at("correction").at("move_mm"));
  const auto leaves = a.at("feelers").at("leaves_mm").get<std::vector<double>>();
  EXPECT_NEAR(std::accumulate(leaves.begin(), leaves.end(), 0.0), a.at("made_mm").get<double>(), 1e-9);
  EXPECT_NEAR(a.at("made_mm").get<double>(), 0.0975 * 25.4, 1e-6);
  const std::string text = text_of(worked_figure({"--units", "in"}));
  for (const json& step : a.at("steps")) EXPECT_THAT(text, HasSubstr(step.get<std::string>()));
  EXPECT_THAT(text, HasSubstr("= 97.5 thou."));
  EXPECT_THAT(text, HasSubstr("1. Unplug the saw"));
}

TEST(Advice, ScrewTurnsAgreeWithTheMove) {
  const json j = json_of(worked_figure({"--adjust", "screw", "--thread", "M6"}));
  const json& screw = j.at("adjustment").at("screw");
  // M6: 1 mm a turn (ISO 261 coarse, from memory): 2.4765 turns are 2 turns and 171.5 degrees.
  EXPECT_NEAR(screw.at("turns").get<double>(), j.at("correction").at("move_mm").get<double>(), 1e-12);
  EXPECT_EQ(screw.at("whole_turns"), 2);
  EXPECT_NEAR(screw.at("degrees").get<int>(), 171.5, 0.6);
  EXPECT_THAT(text_of(worked_figure({"--adjust", "screw", "--thread", "M6"})),
              HasSubstr("Turn the M6 screw by 2 full turns and " +
                        std::to_string(screw.at("degrees").get<int>()) + " degrees"));
}

TEST(Advice, ShimsAndIndicator) {
  const std::vector<std::string> shims{"--adjust", "shims", "--shims", "ticket = 0.24mm, tin=0.0975in"};
  const json s = json_of(worked_figure(shims)).at("adjustment");
  ASSERT_EQ(s.at("shims").at("layers").size(), 1U);
  EXPECT_EQ(s.at("shims").at("layers")[0].at("name"), "tin");
  EXPECT_NEAR(s.at("made_mm").get<double>(), 2.4765, 1e-9);
  EXPECT_THAT(text_of(worked_figure(shims)), HasSubstr("1 x tin (0.0975 in)"));
  const std::vector<std::string> dial{"--adjust", "indicator", "--indicator", "0.01mm/1mm", "--units", "mm"};
  const json d = json_of(worked_figure(dial)).at("adjustment").at("indicator");
  EXPECT_EQ(d.at("revolutions"), 2);
  EXPECT_EQ(d.at("divisions"), 48);
  EXPECT_THAT(text_of(worked_figure(dial)), HasSubstr("2 revolutions and 48 divisions of 0.010 mm"));
}

TEST(Advice, OwnLeavesAndSpacersInMixedUnits) {
  const json a =
      json_of(worked_figure({"--feelers", ".002; 10thou; 0,05 mm", "--spacers", "2mm"})).at("adjustment");
  EXPECT_EQ(a.at("feelers").at("set"), "own");
  EXPECT_EQ(a.at("feelers").at("spacers_mm"), json::array({2.0}));
  for (const double leaf : a.at("feelers").at("leaves_mm").get<std::vector<double>>())
    EXPECT_TRUE(std::fabs(leaf - 0.0508) < 1e-9 || std::fabs(leaf - 0.254) < 1e-9 ||
                std::fabs(leaf - 0.05) < 1e-9)
        << leaf;
}

TEST(Advice, DecisionIsThatOfTheInterval) {
  const auto verdict = [](const std::string& far_end, const std::string& tolerance) {
    const json j = json_of({"correct", "--fence-end", ".5", "--far-end", far_end, "--apart", "7.5",
                            "--tolerance", tolerance, "--pivot-distance", "45"});
    const json& fence = j.at("fence");
    const double size = std::fabs(fence.at("error").get<double>());
    const double U = fence.at("error_U").get<double>();
    const double limit = j.at("decision").at("tolerance").get<double>();
    const std::string said = j.at("decision").at("verdict").get<std::string>();
    EXPECT_EQ(said == "square", size + U <= limit);
    EXPECT_EQ(said == "not square", size - U > limit);
    EXPECT_EQ(j.at("adjustment").at("advised").get<bool>(), said != "square" && size > U);
    return said;
  };
  EXPECT_EQ(verdict(".5", "0.2mm/m"), "square");
  EXPECT_EQ(verdict(".51", "2thou/12in"), "not square");
  EXPECT_EQ(verdict(".502", "1 thou per 12 in"), "cannot be told");
  EXPECT_EQ(verdict(".502", "0.02deg"), "square");
}

TEST(Advice, OpenDecisionSaysWhatWouldSettleItAndIsNoFailure) {
  const std::vector<std::string> line{"correct", "--fence-end", ".5",          "--far-end",   ".5032",
                                      "--apart", "4",           "--tolerance", "0.3thou/12in"};
  const json settle = json_of(line).at("decision").at("would_settle");
  ASSERT_TRUE(settle.at("can_be_settled").get<bool>());
  EXPECT_GT(settle.at("more_strips").get<int>(), 1);
  EXPECT_EQ(settle.at("chance"), 0.9);
  const std::string text = text_of(line);
  EXPECT_THAT(text, HasSubstr("Too close to call"));
  EXPECT_THAT(text, HasSubstr("9 times in 10"));
}

// Nobody's tolerance is not "out of square": a usual one stands in, and says so; a sled's file overrules it.
TEST(Advice, WithoutAToleranceAUsualOneDecides) {
  const std::vector<std::string> line{"correct", "--fence-end", ".5",  "--far-end",
                                      ".5005",   "--apart",     "14in"};
  const json usual = json_of(line).at("decision");
  EXPECT_EQ(usual.at("verdict"), "square");
  EXPECT_EQ(usual.at("tolerance_usual"), true);
  EXPECT_THAT(text_of(line), HasSubstr("2 thou allowed (a usual figure)"));
  const TempDir dir;
  ASSERT_TRUE(write_file_whole(dir.file("sled.toml"), "tolerance = \"0.1thou/12in\"\n").ok());
  std::vector<std::string> own = line;
  own.insert(own.end(), {"--config", dir.file("sled.toml")});
  EXPECT_EQ(json_of(own).at("decision").at("tolerance_usual"), false);
  EXPECT_NE(json_of(own).at("decision").at("verdict"), "square");
}

// The first line is the answer, in the units asked for, with nothing of the other units in it.
TEST(Advice, TheMoveIsOneLine) {
  const auto inch = run_tapersight(worked_figure({"--units", "in"}));
  EXPECT_THAT(inch.out, HasSubstr("Not square: 26.0 thou out over a 12 in cut, 2 thou allowed"));
  EXPECT_THAT(
      inch.out,
      HasSubstr("Move the right end of the fence 97.5 thou (0.0975 in) toward you: stack .035 + .032"));
  EXPECT_LE(std::count(inch.out.begin(), inch.out.end(), '\n'), 8);
  const auto metric = run_tapersight(worked_figure({"--units", "mm"}));
  EXPECT_THAT(metric.out, HasSubstr("0.650 mm out over a 300 mm cut, 0.05 mm allowed"));
  EXPECT_THAT(metric.out, HasSubstr("Move the right end of the fence 2.48 mm toward you"));
  EXPECT_THAT(metric.out, Not(HasSubstr("thou")));
}

TEST(Advice, ASquareFenceIsLeftAlone) {
  const std::string text = text_of({"correct", "--fence-end", ".5", "--far-end", ".5", "--apart", "7.5",
                                    "--tolerance", "0.5mm/m", "--pivot-distance", "45"});
  EXPECT_THAT(text, HasSubstr("Leave the fence as it is"));
  EXPECT_THAT(text, Not(HasSubstr("Loosen")));
}

TEST(Advice, MeasureDecidesAndTellsTheProcedure) {
  const std::vector<std::string> line{
      "measure", sample_scan().png(), "--tolerance", "2thou/12in", "--pivot-distance",
      "45in",    "--units",           "mm"};
  const json j = json_of(line);
  // The scan's taper of 0.002 is a fence error of 0.0005, three times the tolerance.
  EXPECT_EQ(j.at("decision").at("verdict"), "not square");
  ASSERT_TRUE(j.at("adjustment").at("advised").get<bool>());
  EXPECT_EQ(j.at("adjustment").at("feelers").at("set"), "metric-20");
  const std::string text = text_of(line);
  for (const json& step : j.at("adjustment").at("steps"))
    EXPECT_THAT(text, HasSubstr(step.get<std::string>()));
}

TEST(Advice, ConfigHoldsTheAdjusterAndTheCommandLineStandsAbove) {
  const TempDir dir;
  ASSERT_TRUE(
      write_file_whole(dir.file("sled.toml"),
                       "units = \"mm\"\ntolerance = \"0.1mm/m\"\nadjust = \"screw\"\nthread = \"1/4-20\"\n"
                       "feelers = \"0.5, 1, 2thou\"\n")
          .ok());
  json j = json_of(worked_figure({"--config", dir.file("sled.toml")}));
  EXPECT_EQ(j.at("adjustment").at("by"), "screw");
  EXPECT_EQ(j.at("decision").at("tolerance_typed"), "0.1mm/m");
  j = json_of(worked_figure({"--config", dir.file("sled.toml"), "--adjust", "feelers", "--units", "in"}));
  // The file's bare numbers stay the file's millimetres.
  EXPECT_THAT(j.at("adjustment").at("feelers").at("leaves_mm").get<std::vector<double>>(),
              ::testing::Each(::testing::Le(1.0)));
}

// Eight cuts add up in a frame: 12 thou over 3 in is 0.0005 a cut (geometry; gap / (pieces * ends)).
TEST(Ring, AGapAddsUpItsCuts) {
  const std::vector<std::string> line{
      "correct", "--ring-pieces",    "4",    "--gap-outside", "12thou", "--gap-inside", "0", "--apart",
      "76.2mm",  "--pivot-distance", "18in", "--tolerance",   "0.01deg"};
  const json j = json_of(line);
  EXPECT_EQ(j.at("ring").at("cuts"), 8);
  EXPECT_NEAR(j.at("ring").at("mitre_short").get<double>(), 0.012 / 3 / 8, 1e-12);
  EXPECT_NEAR(std::fabs(j.at("fence").at("error").get<double>()), 0.0005, 1e-12);
  EXPECT_NEAR(j.at("correction").at("move_mm").get<double>(), 0.0005 * 457.2, 1e-9);
  EXPECT_FALSE(j.contains("strip"));
  EXPECT_EQ(j.at("decision").at("verdict"), "not true");
  EXPECT_THAT(text_of(line), HasSubstr("short of 45.000 degrees from square"));
  EXPECT_THAT(text_of(line), HasSubstr("cut a new ring"));
}

TEST(Ring, TheLastPieceMayBeScanned) {
  const json strip = json_of({"measure", sample_scan().png()});
  const json ring = json_of({"measure", sample_scan().png(), "--ring-pieces", "6", "--mitred-ends", "1",
                             "--lean", "counterclockwise"});
  EXPECT_EQ(ring.at("options").at("ring").at("pieces"), 6);
  EXPECT_NEAR(ring.at("ring").at("mitre_short").get<double>(),
              strip.at("strip").at("taper").get<double>() / 6, 1e-15);
  EXPECT_LT(ring.at("fence").at("error").get<double>(), 0);
}

TEST(Guide, TellsHowToCutForThisSled) {
  const std::string near = text_of({"guide", "--units", "mm"});
  EXPECT_THAT(near, HasSubstr("Hold small pieces with a hold-down"));
  EXPECT_THAT(near, HasSubstr("write FENCE on the end"));
  EXPECT_THAT(near, HasSubstr("quarter turn clockwise"));
  EXPECT_THAT(near, HasSubstr("mm/m"));
  EXPECT_THAT(text_of({"guide", "--fence", "far"}), HasSubstr("quarter turn counter-clockwise"));
}

}  // namespace
}  // namespace tapersight
