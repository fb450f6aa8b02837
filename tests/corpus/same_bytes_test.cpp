// The same picture gives the same bytes, on repeats, with any number of threads, and whatever the language.
#include <gtest/gtest.h>
#include <sys/wait.h>

#include <cstdlib>

#include "base/files.h"
#include "corpus/corpus_scan.h"
#include "support/made_files.h"
#include "support/temp_dir.h"

namespace tapersight::testing {
namespace {

class SameBytes : public ::testing::Test {
 protected:
  void SetUp() override {
    ASSERT_TRUE(write_file_whole(picture_, made_kind("png-8").make(corpus_scan().grey, {kScanDpi, 1})).ok());
    first_ = run({});
    ASSERT_EQ(first_.status, 0) << first_.err;
  }
  TakenRun run(const std::vector<std::string>& environment) const {
    return run_and_take({"measure", picture_, "--pivot-distance", "45.5in", "--json", "-"}, environment);
  }
  TempDir dir_;
  std::string picture_ = dir_.file("scan.png");
  TakenRun first_;
};

TEST_F(SameBytes, OnRepeats) {
  for (int i = 0; i < 2; ++i) EXPECT_EQ(run({}).out, first_.out);
}

TEST_F(SameBytes, WithAnyNumberOfThreads) {
  for (const char* threads : {"1", "2", "4"})
    EXPECT_EQ(run({std::string("OPENCV_FOR_THREADS_NUM=") + threads}).out, first_.out) << threads;
}

// Made here, so that it does not depend on what the machine has installed.
TEST_F(SameBytes, InALanguageWithDecimalCommas) {
  const std::string place = dir_.file("de_DE.UTF-8");
  const std::string line = std::string(LOCALEDEF) + " -i de_DE -f UTF-8 '" + place + "'";
  const int ended = std::system(line.c_str());  // NOLINT(cert-env33-c): our own names only
  ASSERT_TRUE(WIFEXITED(ended) && WEXITSTATUS(ended) == 0) << "Debian package locales";
  const std::vector<std::string> german = {"LOCPATH=" + dir_.path().string(), "LANG=de_DE.UTF-8",
                                           "LC_ALL=de_DE.UTF-8"};
  EXPECT_EQ(run(german).out, first_.out);
}

}  // namespace
}  // namespace tapersight::testing
