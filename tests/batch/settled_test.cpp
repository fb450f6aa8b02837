// A file counts when it has stopped changing.
#include "batch/settled.h"

#include <gtest/gtest.h>

#include "base/files.h"
#include "support/temp_dir.h"

namespace tapersight {
namespace {

TEST(SettledFiles, OnlyWhatHasStoppedChanging) {
  const TempDir dir;
  const std::vector<PictureFile> all = {
      {dir.file("a"), "a"}, {dir.file("b"), "b"}, {dir.file("gone"), "gone"}};
  ASSERT_TRUE(write_file_whole(dir.file("a"), "whole").ok());
  ASSERT_TRUE(write_file_whole(dir.file("b"), "").ok());
  SettledFiles settled;
  EXPECT_TRUE(settled.of(all).empty());
  EXPECT_TRUE(settled.of(all).empty());
  ASSERT_EQ(settled.of(all).size(), 1U) << "an empty file is one that is still to be written";
  EXPECT_EQ(settled.of(all)[0].name, "a");
  ASSERT_TRUE(write_file_whole(dir.file("a"), "grows on").ok());
  EXPECT_TRUE(settled.of(all).empty());
  EXPECT_TRUE(settled.of(all).empty());
  EXPECT_EQ(settled.of(all).size(), 1U);
}

}  // namespace
}  // namespace tapersight
