// `tapersight target`: the files that it writes and the layout that it describes.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "cli/scan_fixture.h"
#include "target/sheet_layout.h"

namespace tapersight {
namespace {

using nlohmann::json;
using testing::run_tapersight;

class Target : public ::testing::TestWithParam<Paper> {
 protected:
  const SheetLayout& layout() const { return sheet_layout(GetParam()); }
};

TEST_P(Target, DescribesTheLayout) {
  const auto run = run_tapersight({"target", "--paper", layout().id, "--describe"});
  ASSERT_EQ(run.status, 0) << run.err;
  const json j = json::parse(run.out);
  const RectMm& channel = layout().channel;
  const auto near = [](const json& list, const std::vector<double>& wanted) {
    ASSERT_EQ(list.size(), wanted.size());
    for (std::size_t i = 0; i < wanted.size(); ++i) EXPECT_NEAR(list[i].get<double>(), wanted[i], 1e-9);
  };
  near(j.at("page_mm"), {layout().page_width_mm, layout().page_height_mm});
  near(j.at("channel_mm"), {channel.x, channel.y, channel.width, channel.height});
  EXPECT_EQ(j.at("fence_end"), "bottom");
  const json& saddles = j.at("fiducials").at("saddles");
  ASSERT_EQ(saddles.size(), layout().saddles.size());
  for (std::size_t i = 0; i < saddles.size(); ++i)
    near(saddles[i].at("at_mm"), {layout().saddles[i].at_mm.x(), layout().saddles[i].at_mm.y()});
  EXPECT_EQ(j.at("fiducials").at("markers").size(), layout().markers.size());
  EXPECT_NEAR(j.at("check_bars").at("x").at("length_mm").get<double>(), layout().bar_x.length_mm(), 1e-9);
  EXPECT_NEAR(j.at("check_bars").at("y").at("length_mm").get<double>(), layout().bar_y.length_mm(), 1e-9);
}

TEST_P(Target, WritesEachKindTheSameTwice) {
  const TempDir dir;
  const std::vector<std::pair<std::string, std::string>> kinds{
      {".pdf", "%PDF-"}, {".svg", "<?xml"}, {".png", "\x89PNG"}};
  for (const auto& [ending, beginning] : kinds) {
    std::string files[2];
    for (int pass = 0; pass < 2; ++pass) {
      const std::string name = dir.file(std::to_string(pass) + ending);
      std::vector<std::string> arguments{"target", "--paper", layout().id, "--out", name};
      if (ending == ".png") arguments.insert(arguments.end(), {"--dpi", "150"});
      const auto run = run_tapersight(arguments);
      ASSERT_EQ(run.status, 0) << run.err;
      EXPECT_THAT(run.out, ::testing::HasSubstr("100 %"));
      files[pass] = read_file(name).value();
    }
    EXPECT_EQ(files[0].substr(0, beginning.size()), beginning);
    EXPECT_TRUE(files[0] == files[1]) << ending;
  }
}

std::string paper_name(const ::testing::TestParamInfo<Paper>& tested) {
  return sheet_layout(tested.param).id;
}

INSTANTIATE_TEST_SUITE_P(Papers, Target, ::testing::Values(Paper::kA4, Paper::kLetter), paper_name);

TEST(TargetOut, CapitalLettersAreAsGood) {
  const TempDir dir;
  EXPECT_EQ(run_tapersight({"target", "--paper", "A4", "--out", dir.file("SHEET.PDF")}).status, 0);
  EXPECT_EQ(read_file(dir.file("SHEET.PDF")).value().substr(0, 5), "%PDF-");
}

TEST(TargetOut, DarkChannelIsForOneStripAndAFile) {
  const TempDir dir;
  const std::string out = dir.file("dark.png");
  const auto run =
      run_tapersight({"target", "--paper", "a4", "--dark-channel", "--dpi", "100", "--out", out});
  EXPECT_EQ(run.status, 0) << run.err;
  for (const char* other : {"--wide", "--describe"}) {
    std::vector<std::string> arguments{"target", "--paper", "a4", "--dark-channel", other};
    if (std::string(other) == "--wide") arguments.insert(arguments.end(), {"--out", dir.file("no.pdf")});
    const auto refused = run_tapersight(arguments);
    EXPECT_EQ(refused.status, 2) << other;
    EXPECT_THAT(refused.err, ::testing::HasSubstr("--dark-channel")) << other;
    EXPECT_FALSE(std::filesystem::exists(dir.file("no.pdf")));
  }
}

TEST(TargetOut, FolderThatIsNotThereIsStatus4) {
  const TempDir dir;
  const auto run = run_tapersight({"target", "--paper", "a4", "--out", dir.file("no/sheet.pdf")});
  EXPECT_EQ(run.status, 4);
  EXPECT_EQ(run.out, "");
  EXPECT_THAT(run.err, ::testing::HasSubstr("Cannot write"));
}

TEST(TargetOut, FullTerminalIsStatus4) {
  // /dev/full takes nothing, like a disk without room.
  const std::string line = testing::shell_quoted(TAPERSIGHT_PROGRAM) + " target --paper a4 --describe";
  const int ended = std::system((line + " >/dev/full 2>/dev/null").c_str());  // NOLINT(cert-env33-c)
  ASSERT_TRUE(WIFEXITED(ended));
  EXPECT_EQ(WEXITSTATUS(ended), 4);
}

}  // namespace
}  // namespace tapersight
