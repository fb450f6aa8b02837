// --report as a person uses it: a page for every picture, and a command in it that measures again.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <opencv2/core.hpp>

#include "cli/scan_fixture.h"
#include "synth/scan_file.h"

namespace tapersight {
namespace {

using ::testing::HasSubstr;
using testing::run_tapersight;
using testing::sample_scan;
using ::testing::StartsWith;

std::string content(const std::string& path) {
  const auto bytes = read_file(path);
  return bytes ? *bytes : "(no file)";
}

void replace_all(std::string& text, const std::string& what, const std::string& with) {
  for (auto at = text.find(what); at != std::string::npos; at = text.find(what, at + with.size()))
    text.replace(at, what.size(), with);
}

// The command that the page tells, as somebody would copy it.
std::string told_command(const std::string& page) {
  const std::size_t from = page.find('>', page.find("<code")) + 1;
  std::string line = page.substr(from, page.find("</code>") - from);
  replace_all(line, "<span class=\"word\">", "");
  replace_all(line, "</span>", "");
  replace_all(line, "&#39;", "'");
  replace_all(line, "&quot;", "\"");
  replace_all(line, "&amp;", "&");
  return line;
}

TEST(Report, IsAWholePageAndTheSameTwice) {
  const TempDir dir;
  for (const char* name : {"1.html", "2.HTM"}) {
    const auto run = run_tapersight({"measure", sample_scan().png(), "--tolerance", "2thou/12in",
                                     "--pivot-distance", "45in", "--report", dir.file(name)});
    ASSERT_EQ(run.status, 0) << run.err;
    EXPECT_THAT(run.out, HasSubstr("Move the right end"));  // the terminal's text comes all the same
  }
  const std::string page = content(dir.file("1.html"));
  EXPECT_TRUE(page == content(dir.file("2.HTM")));
  EXPECT_THAT(page.substr(0, 30), StartsWith("<!DOCTYPE html>"));
  EXPECT_LT(page.size(), 1500000U);
  EXPECT_TRUE(page.find("<h1>Move the right end of the fence 2") != std::string::npos);
}

TEST(Report, ItsCommandMeasuresTheSameAgain) {
  const TempDir dir;
  const std::string picture = dir.file("bench 7's scan.png");
  ASSERT_TRUE(write_file_whole(picture, sample_scan().bytes).ok());
  const auto first = run_tapersight({"measure",          picture,
                                     "--tolerance",      "2 thou per 12 in",
                                     "--pivot",          "right",
                                     "--pivot-distance", "45 1/8in",
                                     "--cut-length",     "23.7in",
                                     "--bar-x",          "150.3mm",
                                     "--fence",          "far",
                                     "--adjust",         "shims",
                                     "--shims",          "printer paper, ticket = 0.24mm",
                                     "--report",         dir.file("1.html")});
  ASSERT_EQ(first.status, 0) << first.err;
  std::string command = told_command(content(dir.file("1.html")));
  ASSERT_THAT(command, StartsWith("tapersight measure "));
  command.replace(0, std::string("tapersight").size(), testing::shell_quoted(TAPERSIGHT_PROGRAM));
  command += " --report 2.html";
  const auto second = testing::run_program("sh", {"-c", command}, dir.path().string());
  ASSERT_EQ(second.status, 0) << command << "\n" << second.err;
  EXPECT_TRUE(content(dir.file("1.html")) == content(dir.file("2.html")));
}

TEST(Report, ARefusedPictureHasAPageAndKeepsItsStatus) {
  const TempDir dir;
  const cv::Mat blank(900, 700, CV_8UC1, cv::Scalar(200));
  ASSERT_TRUE(write_scan(dir.file("blank.png"), blank, 300).ok());
  const auto silent = run_tapersight({"measure", dir.file("blank.png")});
  const auto run = run_tapersight({"measure", dir.file("blank.png"), "--report", dir.file("out.html")});
  EXPECT_EQ(run.status, 3);
  EXPECT_EQ(run.out, "");
  EXPECT_EQ(run.err, silent.err);
  const std::string page = content(dir.file("out.html"));
  EXPECT_TRUE(page.find("Not measured") != std::string::npos);
  EXPECT_TRUE(page.find("data:image/jpeg;base64,") != std::string::npos);
}

TEST(Report, ThatCannotBeWrittenIsStatus4) {
  const TempDir dir;
  const auto run =
      run_tapersight({"measure", sample_scan().png(), "--report", dir.file("no-folder/out.html")});
  EXPECT_EQ(run.status, 4);
  EXPECT_EQ(run.out, "");
  EXPECT_THAT(run.err, HasSubstr("Cannot write"));
}

TEST(Report, OfAnotherKindIsRefusedWithTheWayToIt) {
  const TempDir dir;
  const auto run = run_tapersight({"measure", "no-such-picture.jpg", "--report", dir.file("out.pdf")});
  EXPECT_EQ(run.status, 2);  // before the picture is looked for
  EXPECT_THAT(run.err, HasSubstr("does not end in .html"));
  EXPECT_THAT(run.err, HasSubstr("print it from a browser"));
}

}  // namespace
}  // namespace tapersight
