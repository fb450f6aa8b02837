// `tapersight look`, which the desktop entry calls: measures as `measure` does, keeps the page in the cache
// folder and hands it to xdg-open. A stand-in for xdg-open notes what it was given.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>

#include "support/run_program.h"

namespace tapersight {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;
using testing::ProgramRun;
using testing::run_program;
using ::testing::StartsWith;

const char* const kScan = TAPERSIGHT_SOURCE "/testimages/scans/bench-07-letter-300dpi.jpg";

std::string content(const std::string& path) {
  const auto bytes = read_file(path);
  return bytes ? *bytes : "(no file " + path + ")";
}

// A home with nothing in it, and a folder of programs that holds xdg-open alone.
class Look : public ::testing::Test {
 protected:
  void SetUp() override {
    std::filesystem::create_directories(home_.path() / "programs");
    stand_in("#!/bin/sh\nprintf '%s' \"$1\" >'" + home_.file("opened") + "'\n");
  }
  void stand_in(const std::string& script) {
    const std::string file = home_.file("programs/xdg-open");
    ASSERT_TRUE(write_file_whole(file, script).ok());
    std::filesystem::permissions(file, std::filesystem::perms::owner_all);
  }
  ProgramRun look(const std::vector<std::string>& arguments) const {
    std::vector<std::string> words{"-u",
                                   "XDG_CONFIG_HOME",
                                   "HOME=" + home_.path().string(),
                                   "XDG_CACHE_HOME=" + home_.file("cache"),
                                   "PATH=" + home_.file("programs"),
                                   TAPERSIGHT_PROGRAM,
                                   "look"};
    words.insert(words.end(), arguments.begin(), arguments.end());
    return run_program("/usr/bin/env", words);
  }
  std::string opened() const { return content(home_.file("opened")); }

  TempDir home_;
};

TEST_F(Look, OpensTheSamePageThatMeasureWrites) {
  const auto run = look({kScan});
  ASSERT_EQ(run.status, 0) << run.err;
  EXPECT_THAT(run.out, StartsWith("Too close to call"));
  EXPECT_THAT(opened(), StartsWith(home_.file("cache/tapersight/bench-07-letter-300dpi-")));
  const auto measured =
      run_program(TAPERSIGHT_PROGRAM, {"measure", kScan, "--report", home_.file("page.html")});
  ASSERT_EQ(measured.status, 0) << measured.err;
  EXPECT_EQ(content(opened()), content(home_.file("page.html")));
}

TEST_F(Look, MeasuresWithTheSledsFile) {
  ASSERT_TRUE(
      write_file_whole(home_.file("sled.toml"), "pivot-distance = \"45 in\"\ntolerance = \"0.5thou/12in\"\n")
          .ok());
  EXPECT_THAT(look({kScan}).out, Not(HasSubstr("Move the right end")));
  const auto told = look({kScan, "--config", home_.file("sled.toml")});
  EXPECT_THAT(told.out, HasSubstr("Move the right end"));
  // The usual place needs no telling.
  std::filesystem::create_directories(home_.file(".config/tapersight"));
  std::filesystem::copy(home_.file("sled.toml"), home_.file(".config/tapersight/sled.toml"));
  EXPECT_EQ(look({kScan}).out, told.out);
}

TEST_F(Look, ShowsWhyAPictureIsRefused) {
  const auto run = look({TAPERSIGHT_SOURCE "/testimages/rejects/two-strips.jpg"});
  EXPECT_EQ(run.status, 3);
  EXPECT_THAT(content(opened()), HasSubstr("There is more than one strip in the picture."));
}

// Behind a double click nobody sees stderr.
TEST_F(Look, ShowsAPageEvenWhenTheFileIsNoPicture) {
  ASSERT_TRUE(write_file_whole(home_.file("<notes>.txt"), "bench 7").ok());
  const auto run = look({home_.file("<notes>.txt")});
  EXPECT_EQ(run.status, 4);
  EXPECT_THAT(run.err, StartsWith("tapersight: "));
  EXPECT_THAT(content(opened()), HasSubstr("<h1>Not measured</h1>"));
  EXPECT_THAT(content(opened()), HasSubstr("&lt;notes&gt;.txt"));
}

TEST_F(Look, ShowsWhatIsWrongWithTheSledsFile) {
  ASSERT_TRUE(write_file_whole(home_.file("sled.toml"), "pivot = \"left\"\n").ok());
  const auto run = look({kScan, "--config", home_.file("sled.toml")});
  EXPECT_EQ(run.status, 2);
  EXPECT_THAT(content(opened()), HasSubstr("The pivot alone does not give the move."));
}

TEST_F(Look, SaysWhereThePageIsWhenNothingOpensIt) {
  stand_in("#!/bin/sh\nexit 3\n");
  const auto run = look({kScan});
  EXPECT_EQ(run.status, 4);
  EXPECT_THAT(run.err, HasSubstr(home_.file("cache/tapersight/bench-07-letter-300dpi-")));
  std::filesystem::remove(home_.file("programs/xdg-open"));
  EXPECT_EQ(look({kScan}).status, 4);
}

TEST_F(Look, KeepsAPageAPicture) {
  ASSERT_EQ(look({kScan}).status, 0);
  const std::string first = opened();
  ASSERT_EQ(look({kScan}).status, 0);
  EXPECT_EQ(opened(), first);
  std::filesystem::create_directory(home_.file("other"));
  const std::string copy = home_.file("other/bench-07-letter-300dpi.jpg");
  std::filesystem::copy(kScan, copy);  // another picture of the same name
  ASSERT_EQ(look({copy}).status, 0);
  EXPECT_NE(opened(), first);
}

TEST(DesktopEntry, CallsTheCommandAndTakesWhatTheProgramReads) {
  const std::string entry = content(TAPERSIGHT_SOURCE "/src/packaging/tapersight.desktop");
  EXPECT_THAT(entry, HasSubstr("\nExec=tapersight look %f\n"));
  for (const char* type : {"jpeg", "png", "tiff", "heif", "webp", "bmp"})
    EXPECT_THAT(entry, HasSubstr(std::string("image/") + type + ";"));
}

}  // namespace
}  // namespace tapersight
