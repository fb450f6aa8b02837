// The program as a person or a script runs it: what comes out, and with which exit status.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <opencv2/core.hpp>

#include "cli/scan_fixture.h"
#include "room/load_picture.h"
#include "synth/scan_file.h"

namespace tapersight {
namespace {

using nlohmann::json;
using ::testing::HasSubstr;
using testing::run_tapersight;
using testing::sample_scan;

std::string content(const std::string& path) {
  const auto bytes = read_file(path);
  return bytes ? *bytes : "(no file)";
}

void write(const std::string& path, const std::string& bytes) {
  ASSERT_TRUE(write_file_whole(path, bytes).ok());
}

// A grey page with nothing on it.
std::string blank_picture(const TempDir& dir) {
  const cv::Mat page(900, 700, CV_8UC1, cv::Scalar(200));
  EXPECT_TRUE(write_scan(dir.file("blank.png"), page, 300).ok());
  return dir.file("blank.png");
}

TEST(Measure, JsonAgreesWithTheTruthOfTheScan) {
  const auto run =
      run_tapersight({"measure", sample_scan().png(), "--json", "-", "--pivot-distance", "45in"});
  ASSERT_EQ(run.status, 0) << run.err;
  EXPECT_EQ(run.err, "");
  const json j = json::parse(run.out);  // nothing but JSON on stdout
  const StripTruth& truth = sample_scan().truth;
  EXPECT_EQ(j.at("schema"), "tapersight.measurement.v1");
  EXPECT_EQ(j.at("status"), "measured");
  EXPECT_EQ(j.at("picture").at("file"), sample_scan().png());
  EXPECT_EQ(j.at("calibration").at("sheet"), "a4");
  EXPECT_EQ(j.at("calibration").at("points_used"), 192);
  const json& strip = j.at("strip");
  const double taper_u = strip.at("taper_u");
  EXPECT_LT(taper_u, 1e-4);  // 0.75 thou over 7.5 in: a short strip at 300 dpi, lying along the sensor or not
  // Three standard uncertainties, on one fixed scan.
  EXPECT_NEAR(strip.at("taper").get<double>(), truth.taper, 3 * taper_u);
  EXPECT_NEAR(strip.at("length_mm").get<double>(), truth.length_mm, 0.5);  // ends are rough cuts
  const double width_u = strip.at("width_u_mm");
  EXPECT_NEAR(strip.at("fence_end_width_mm").get<double>(), truth.width_fence_end_mm, 3 * width_u);
  EXPECT_NEAR(strip.at("far_end_width_mm").get<double>(), truth.width_far_end_mm, 3 * width_u);
  const double error = j.at("fence").at("error");
  EXPECT_DOUBLE_EQ(error, strip.at("taper").get<double>() / 4);
  EXPECT_NEAR(j.at("correction").at("move_mm").get<double>(), 1143 * error, 1e-9);
}

TEST(Measure, TextTellsTheResult) {
  const auto run = run_tapersight(
      {"measure", sample_scan().png(), "--pivot", "left", "--pivot-distance", "45in", "--details"});
  ASSERT_EQ(run.status, 0) << run.err;
  EXPECT_EQ(run.err, "");
  EXPECT_THAT(run.out, HasSubstr("Sheet: a4, 192 of 192 points used"));
  EXPECT_THAT(run.out, HasSubstr("The fence is turned counter-clockwise, seen from above, by 6."));
  EXPECT_THAT(run.out, HasSubstr("Move the right end of the fence 2"));
  EXPECT_THAT(run.out, HasSubstr("Unplug the saw"));
}

TEST(Measure, WritesTheSameFilesTwiceAndLeavesThePictureAlone) {
  const TempDir dir;
  for (const char* pass : {"1", "2"}) {
    const auto run = run_tapersight({"measure", sample_scan().png(), "--units", "mm", "--json",
                                     dir.file(std::string(pass) + ".json"), "--overlay",
                                     dir.file(std::string(pass) + ".png")});
    ASSERT_EQ(run.status, 0) << run.err;
    EXPECT_THAT(run.out, HasSubstr(" mm out over a 300 mm cut"));
  }
  EXPECT_EQ(content(dir.file("1.json")), content(dir.file("2.json")));
  EXPECT_EQ(json::parse(content(dir.file("1.json"))).at("options").at("units"), "mm");
  EXPECT_TRUE(content(dir.file("1.png")) == content(dir.file("2.png")));
  EXPECT_EQ(content(dir.file("1.png")).substr(0, 8), "\x89PNG\r\n\x1a\n");
  EXPECT_TRUE(content(sample_scan().png()) == sample_scan().bytes);
}

TEST(Measure, RejectedPictureGivesStatus3WithReasonAndRemedyAndNoOverlay) {
  const TempDir dir;
  const auto run = run_tapersight(
      {"measure", blank_picture(dir), "--json", dir.file("out.json"), "--overlay", dir.file("out.png")});
  EXPECT_EQ(run.status, 3);
  EXPECT_EQ(run.out, "");
  const json j = json::parse(content(dir.file("out.json")));
  EXPECT_EQ(j.at("schema"), "tapersight.measurement.v1");
  EXPECT_EQ(j.at("status"), "rejected");
  const json& reason = j.at("reason");
  EXPECT_THAT((std::vector<std::string>{"blank-picture", "no-target"}),
              ::testing::Contains(reason.at("code")));
  EXPECT_EQ(j.at("picture").at("width_px"), 700);
  EXPECT_FALSE(j.contains("strip"));
  EXPECT_FALSE(std::filesystem::exists(dir.file("out.png")));
  // stderr says the same sentences, wrapped.
  EXPECT_THAT(run.err, HasSubstr(reason.at("text").get<std::string>().substr(0, 30)));
  EXPECT_THAT(run.err, HasSubstr(reason.at("remedy").get<std::string>().substr(0, 30)));
}

TEST(Measure, RejectedJsonOnTheTerminalIsAlone) {
  const TempDir dir;
  const auto run = run_tapersight({"measure", blank_picture(dir), "--json", "-"});
  EXPECT_EQ(run.status, 3);
  EXPECT_EQ(json::parse(run.out).at("status"), "rejected");
}

TEST(Measure, FileTroubleIsStatus4) {
  const TempDir dir;
  write(dir.file("letter.txt"), "Dear saw,\n");
  for (const std::string& picture : {dir.file("missing.jpg"), dir.path().string(), dir.file("letter.txt")}) {
    const auto run = run_tapersight({"measure", picture, "--json", dir.file("out.json")});
    EXPECT_EQ(run.status, 4) << picture;
    EXPECT_EQ(run.out, "");
    EXPECT_THAT(run.err, HasSubstr("tapersight: "));
    EXPECT_FALSE(std::filesystem::exists(dir.file("out.json"))) << picture;
  }
}

TEST(Measure, OutputThatCannotBeWrittenIsStatus4) {
  const TempDir dir;
  for (const char* option : {"--json", "--overlay"}) {
    const auto run = run_tapersight({"measure", sample_scan().png(), option, dir.file("no-folder/out.png")});
    EXPECT_EQ(run.status, 4) << option;
    EXPECT_EQ(run.out, "") << "a result was printed as if all were well";
    EXPECT_THAT(run.err, HasSubstr("Cannot write"));
  }
}

// A full disk is no success, whatever was to be printed.
TEST(Program, WhatCannotBePrintedIsStatus4) {
  for (const char* words : {"--help", "--version", "measure --help", "guide",
                            "correct --fence-end .571 --far-end .506 --apart 7.5"}) {
    const auto run = testing::run_program(
        "sh", {"-c", testing::shell_quoted(TAPERSIGHT_PROGRAM) + " " + words + " >/dev/full"});
    EXPECT_EQ(run.status, 4) << words;
    EXPECT_THAT(run.err, HasSubstr("could not be written")) << words;
  }
}

// Wherever memory ends, it is said in words of the shop, and nothing crashes.
TEST(Program, OutOfMemoryIsSaidInWords) {
  for (int megabytes = 76; megabytes <= 700; megabytes += megabytes < 112 ? 4 : 100) {
    const auto run =
        testing::run_program("sh", {"-c", "ulimit -v " + std::to_string(1024 * megabytes) + "; exec " +
                                              testing::shell_quoted(TAPERSIGHT_PROGRAM) + " measure " +
                                              testing::shell_quoted(sample_scan().png())});
    if (run.status == 0 || run.err.rfind("tapersight: ", 0) != 0) {
      // Below what its libraries take the system's loader speaks.
      EXPECT_TRUE(run.status == 0 ||
                  run.err.find("error while loading shared libraries") != std::string::npos)
          << megabytes << " MB: " << run.err;
      continue;
    }
    EXPECT_EQ(run.status, 4) << megabytes << " MB: " << run.err;
    EXPECT_THAT(run.err, HasSubstr("memory")) << megabytes << " MB";
  }
}

TEST(Measure, NeverWritesOverItsInputs) {
  const TempDir dir;
  const std::string picture = dir.file("scan.png");
  write(picture, sample_scan().bytes);
  write(dir.file("sled.toml"), "turns = 4\n");
  std::filesystem::create_symlink("scan.png", dir.file("symlink.png"));
  std::filesystem::create_hard_link(picture, dir.file("hardlink.png"));
  const std::vector<std::vector<std::string>> cases{
      {"--overlay", picture},
      {"--json", picture},
      {"--json", dir.file("./scan.png")},
      {"--overlay", dir.file("symlink.png")},
      {"--overlay", dir.file("hardlink.png")},
      {"--config", dir.file("sled.toml"), "--json", dir.file("sled.toml")},
      {"--json", dir.file("both.png"), "--overlay", dir.file("both.png")}};
  for (const auto& more : cases) {
    std::vector<std::string> arguments{"measure", picture};
    arguments.insert(arguments.end(), more.begin(), more.end());
    const auto run = run_tapersight(arguments);
    EXPECT_EQ(run.status, 2) << more.back();
    EXPECT_THAT(run.err, HasSubstr("would be written over"));
  }
  EXPECT_TRUE(content(picture) == sample_scan().bytes);
  EXPECT_EQ(content(dir.file("sled.toml")), "turns = 4\n");
  EXPECT_FALSE(std::filesystem::exists(dir.file("both.png")));
}

// A result is replaced by the next; anything else that lies there is somebody's.
TEST(Measure, ReplacesOnlyWhatItWrote) {
  const TempDir dir;
  const std::vector<std::string> line{"measure",   sample_scan().png(), "--json",   dir.file("r.json"),
                                      "--overlay", dir.file("r.png"),   "--report", dir.file("r.html")};
  ASSERT_EQ(run_tapersight(line).status, 0);
  EXPECT_EQ(run_tapersight(line).status, 0) << "its own files of the run before";
  for (const char* name : {"r.json", "r.png", "r.html"}) {
    const std::string mine = content(dir.file(name));
    write(dir.file(name), "a holiday picture");
    const auto run = run_tapersight(line);
    EXPECT_EQ(run.status, 2) << name;
    EXPECT_THAT(run.err, HasSubstr("tapersight did not write it"));
    EXPECT_EQ(content(dir.file(name)), "a holiday picture");
    write(dir.file(name), mine);
  }
}

// Four questions, the answers in a file that measuring and the record take from there on.
TEST(Setup, AsksOnceAndMeasureUsesIt) {
  const TempDir dir;
  const auto setup = [&](const std::string& answers) {
    return testing::run_program(
        "sh",
        {"-c", "printf '" + answers + "' | " + testing::shell_quoted(TAPERSIGHT_PROGRAM) + " setup bench-07"},
        dir.path().string());
  };
  EXPECT_EQ(setup("near\\nright\\n").status, 2) << "not answered to the end";
  EXPECT_TRUE(std::filesystem::is_empty(dir.path()));
  const auto run = setup("sideways\\nfar\\n\\nr\\n45\\n");
  ASSERT_EQ(run.status, 0) << run.err;
  EXPECT_THAT(run.out, HasSubstr("Write near or far."));
  const std::string file = content(dir.file("bench-07.sled.toml"));
  for (const char* line :
       {"fence = \"far\"", "strip-falls = \"right\"", "pivot = \"right\"", "pivot-distance = \"45 in\""})
    EXPECT_THAT(file, HasSubstr(line));
  EXPECT_THAT(content(dir.file("bench-07.sled.html")), HasSubstr("you stand here"));
  const auto measured = run_tapersight({"measure", sample_scan().png(), "--sled", "bench-07", "--json", "-"},
                                       dir.path().string());
  ASSERT_EQ(measured.status, 0) << measured.err;
  const json options = json::parse(measured.out).at("options");
  EXPECT_EQ(options.at("fence"), "far");
  EXPECT_EQ(options.at("pivot"), "right");
  EXPECT_TRUE(std::filesystem::exists(dir.file("bench-07.sled.jsonl")));
}

// 6 mm off a corner: at the far end it is seen and changes nothing, at the fence end the strip lies the wrong
// way.
TEST(Measure, TheCutCornerTellsTheEnds) {
  const TempDir dir;
  const auto picture = load_picture(TAPERSIGHT_SOURCE "/testimages/scans/bench-07-letter-300dpi.jpg", {});
  ASSERT_TRUE(picture.ok());
  const auto cut_at = [&](int corner_x, int corner_y, int way, const std::string& name) {
    cv::Mat grey = picture->grey.clone();
    for (int y = corner_y - 90; y < corner_y + 90; ++y)
      for (int x = corner_x - 90; x < corner_x + 90; ++x)
        if (way * (x - corner_x + y - corner_y) < 71) grey.at<unsigned char>(y, x) = 240;
    EXPECT_TRUE(write_scan(dir.file(name), grey, 300).ok());
    return run_tapersight({"measure", dir.file(name)});
  };
  const auto whole =
      run_tapersight({"measure", TAPERSIGHT_SOURCE "/testimages/scans/bench-07-letter-300dpi.jpg"});
  const auto far_end = cut_at(1186, 305, 1, "far.png");
  ASSERT_EQ(far_end.status, 0) << far_end.err;
  EXPECT_THAT(far_end.out, HasSubstr("away from the cut corner"));
  EXPECT_EQ(far_end.out.substr(0, 16), whole.out.substr(0, 16));
  const auto fence_end = cut_at(1450, 3074, -1, "fence.png");
  EXPECT_EQ(fence_end.status, 3) << fence_end.out;
  EXPECT_THAT(fence_end.err, HasSubstr("The strip's cut corner lies at FENCE END"));
}

// The end is checked before the fence moves.
TEST(Measure, TheWiderEndIsHeldAgainstThePicture) {
  EXPECT_EQ(run_tapersight({"measure", sample_scan().png(), "--wider", "fence-end"}).status, 0);
  const auto run = run_tapersight({"measure", sample_scan().png(), "--wider", "far-end"});
  EXPECT_EQ(run.status, 3);
  EXPECT_THAT(run.err, HasSubstr("You found the far end wider. The picture shows the fence end wider"));
}

TEST(Measure, CheckBarsCorrectTheWidths) {
  const auto plain = run_tapersight({"measure", sample_scan().png(), "--json", "-"});
  const auto barred = run_tapersight(
      {"measure", sample_scan().png(), "--json", "-", "--bar-x", "6.06in", "--bar-y", "8.08in"});
  ASSERT_EQ(plain.status, 0) << plain.err;
  ASSERT_EQ(barred.status, 0) << barred.err;
  const json a = json::parse(plain.out);
  const json b = json::parse(barred.out);
  EXPECT_NEAR(b.at("options").at("bar_x_mm").get<double>(), 6.06 * 25.4, 1e-9);
  // Everything 1 % larger, the taper the same (to the re-found outline's last bit).
  EXPECT_NEAR(b.at("strip").at("fence_end_width_mm").get<double>() /
                  a.at("strip").at("fence_end_width_mm").get<double>(),
              1.01, 1e-4);
  EXPECT_NEAR(b.at("strip").at("taper").get<double>(), a.at("strip").at("taper").get<double>(), 1e-5);
}

TEST(Config, HoldsASledAndTheCommandLineStandsAboveIt) {
  const TempDir dir;
  write(dir.file("bench-07.toml"),
        "# bench 7\nunits = \"mm\"\nturns = 2\nfence = \"far\"\nstrip-falls = \"left\"\npivot = \"right\"\n"
        "pivot-distance = 900\ncut-length = 24 in\n");
  const std::vector<std::string> widths{"correct", "--fence-end", "15mm",   "--far-end", "14.9mm",
                                        "--apart", "200mm",       "--json", "-"};
  auto from_file = widths;
  from_file.insert(from_file.end(), {"--config", dir.file("bench-07.toml")});
  auto run = run_tapersight(from_file);
  ASSERT_EQ(run.status, 0) << run.err;
  json options = json::parse(run.out).at("options");
  EXPECT_EQ(options.at("units"), "mm");
  EXPECT_EQ(options.at("turns"), 2);
  EXPECT_EQ(options.at("fence"), "far");
  EXPECT_EQ(options.at("strip_falls"), "left");
  EXPECT_EQ(options.at("pivot"), "right");
  EXPECT_EQ(options.at("pivot_distance_mm"), 900.0);
  EXPECT_NEAR(options.at("cut_length_mm").get<double>(), 609.6, 1e-9);
  auto both = from_file;
  both.insert(both.end(), {"--turns", "4", "--units", "in", "--cut-length", "10"});
  run = run_tapersight(both);
  ASSERT_EQ(run.status, 0) << run.err;
  options = json::parse(run.out).at("options");
  EXPECT_EQ(options.at("turns"), 4);
  EXPECT_EQ(options.at("units"), "in");
  EXPECT_EQ(options.at("cut_length_mm"), 254.0);
  // The file's bare 900 stays the file's millimetres.
  EXPECT_EQ(options.at("pivot_distance_mm"), 900.0);
}

TEST(Config, BareNumbersWithoutUnitsInTheFileFollowTheCommandLine) {
  const TempDir dir;
  write(dir.file("sled.toml"), "pivot-distance = 45\n");
  const auto run =
      run_tapersight({"correct", "--fence-end", "15", "--far-end", "14.9", "--apart", "200", "--units", "mm",
                      "--config", dir.file("sled.toml"), "--json", "-", "--even-so"});
  ASSERT_EQ(run.status, 0) << run.err;
  EXPECT_EQ(json::parse(run.out).at("options").at("pivot_distance_mm"), 45.0);
}

TEST(Config, TroubleIsReported) {
  const TempDir dir;
  const std::vector<std::pair<std::string, int>> cases{
      {"colour = \"red\"\n", 2},     {"[measure]\nturns = 4\n", 2}, {"turns = many\n", 2},
      {"turns = 4\nturns = 5\n", 2}, {"fence = \"middle\"\n", 2},   {"pivot-distance = \"far away\"\n", 2},
      {"pivot = \"left\"\n", 2}};
  for (const auto& [text, status] : cases) {
    write(dir.file("sled.toml"), text);
    const auto run = run_tapersight({"correct", "--fence-end", "1in", "--far-end", "1in", "--apart", "7in",
                                     "--config", dir.file("sled.toml")});
    EXPECT_EQ(run.status, status) << text;
    EXPECT_EQ(run.out, "") << text;
    EXPECT_NE(run.err, "") << text;
  }
  const auto missing = run_tapersight({"correct", "--fence-end", "1in", "--far-end", "1in", "--apart", "7in",
                                       "--config", dir.file("missing.toml")});
  EXPECT_EQ(missing.status, 4);
}

TEST(Correct, HandbookCases) {
  // Common practice, no published source.
  const auto run = run_tapersight({"correct", "--fence-end", ".571", "--far-end", ".506", "--apart",
                                   "7 1/2 in", "--pivot", "left", "--pivot-distance", "45in"});
  ASSERT_EQ(run.status, 0) << run.err;
  EXPECT_THAT(run.out, HasSubstr("26.0 thou out over a 12 in cut"));
  EXPECT_THAT(run.out, HasSubstr("Move the right end of the fence 97.5 thou (0.0975 in) toward you"));
  const auto fine = run_tapersight(
      {"correct", "--fence-end", "0.501in", "--far-end", "0.5in", "--apart", "7.5in", "--json", "-"});
  ASSERT_EQ(fine.status, 0) << fine.err;
  EXPECT_NEAR(json::parse(fine.out).at("fence").at("error").get<double>(), 0.0000333, 1e-7);
}

TEST(Correct, WritesItsJsonBesideTheText) {
  const TempDir dir;
  const auto run = run_tapersight({"correct", "--fence-end", "15mm", "--far-end", "14.9mm", "--apart",
                                   "200mm", "--json", dir.file("out.json")});
  ASSERT_EQ(run.status, 0) << run.err;
  EXPECT_THAT(run.out, HasSubstr("From the widths you typed"));
  EXPECT_EQ(json::parse(content(dir.file("out.json"))).at("schema"), "tapersight.correction.v1");
}

}  // namespace
}  // namespace tapersight
