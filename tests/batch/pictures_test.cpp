// Which files are pictures of a batch, whose their names say they are, and that no name leads out of a
// folder.
#include "batch/pictures.h"

#include "base/content_hash.h"
#include "base/text.h"
#include "classroom/bench_name.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>

#include "base/files.h"
#include "support/temp_dir.h"

namespace tapersight {
namespace {

TEST(FileName, OnlyAPlainBenchCounts) {
  const std::pair<const char*, std::optional<int>> all[] = {
      {"bench-07.jpg", 7},
      {"Bench 7 monday.png", 7},
      {"BENCH_007.tif", 7},
      {"bench7.jpg", 7},
      {"07.jpg", 7},
      {"599.png", 599},
      {"2024 bench-12.jpg", 12},
      {"bench-07-300dpi.jpg", 7},
      {"scan0007.jpg", {}},
      {"IMG_20240512_07.jpg", {}},
      {"bench.jpg", {}},
      {"600.jpg", {}},
      {"bench-0.jpg", {}},
      {"bench-1234.jpg", {}},
      {"workbench-7.jpg", {}},
      {"bench-07-bench-08.jpg", {}},
      {"bench-seven.jpg", {}},
      {"99999999999999.jpg", {}},
      {".jpg", {}},
      {"7/scan.jpg", {}},
  };
  for (const auto& [name, bench] : all) EXPECT_EQ(bench_of_file_name(name), bench) << name;
}

TEST(SafeFileName, StaysInItsFolder) {
  for (const char* name :
       {"../../etc/x", "a/b.jpg", "..", ".", ".hidden", "a\nb", "C:\\x", "\xC3\xA4.png", ""}) {
    const std::string safe = safe_file_name(name);
    EXPECT_EQ(safe.find('/'), std::string::npos) << name;
    EXPECT_FALSE(safe.empty());
    EXPECT_NE(safe.front(), '.') << name;
    EXPECT_TRUE(*name == '\0' || safe_file_name(safe) == safe) << name;
  }
  for (const char* name : {"bench-7.bench 7 (2).jpg.png", "bench-8.\xC3\xA4\xC3\xB6[1].jpg.png"})
    EXPECT_EQ(safe_file_name(name), name) << "what a person can read and open stays";
  EXPECT_THAT(safe_file_name("bench-7.a:b.jpg.png"),
              ::testing::MatchesRegex("bench-7\\.a_b\\.jpg-[0-9a-f]+\\.png"));
  EXPECT_THAT(safe_file_name(std::string(300, 'x') + ".png"), ::testing::EndsWith(".png"));
  EXPECT_EQ(valid_utf8(safe_file_name(std::string(199, 'x') + "\xC3\xA4\xC3\xA4.png")).find('\\'),
            std::string::npos);
  EXPECT_NE(safe_file_name("a/b"), safe_file_name("a_b")) << "two names never become one";
  EXPECT_NE(safe_file_name("a/b"), safe_file_name("a b"));
  const std::string longest = safe_file_name(std::string(500, 'x'));
  EXPECT_LE(longest.size(), 200U);
  EXPECT_EQ(safe_file_name(longest), longest);
}

TEST(FindPictures, FoldersFilesAndNamesThatClash) {
  const TempDir dir;
  namespace fs = std::filesystem;
  for (const char* folder : {"one", "two", "one/sub.jpg", "empty"}) fs::create_directory(dir.file(folder));
  for (const char* file :
       {"one/b.JPG", "one/a.png", "one/.c.png", "one/roster.csv", "two/a.png", "two/d.tiff"})
    ASSERT_TRUE(write_file_whole(dir.file(file), "x").ok());
  const auto names = [](const std::vector<std::string>& inputs) {
    std::vector<std::string> all;
    const auto found = find_pictures(inputs);
    if (!found) return std::vector<std::string>{found.failure().code};
    for (const PictureFile& file : *found) all.push_back(file.name);
    return all;
  };
  EXPECT_THAT(names({dir.file("one")}), ::testing::ElementsAre("a.png", "b.JPG"));
  EXPECT_THAT(names({dir.file("one"), dir.file("two"), dir.file("one/a.png")}),
              ::testing::ElementsAre(dir.file("one/a.png"), dir.file("two/a.png"), "b.JPG", "d.tiff"))
      << "a file named twice counts once, two of one name go by their paths";
  EXPECT_THAT(names({dir.file("one/roster.csv")}), ::testing::ElementsAre("roster.csv"))
      << "named: looked at";
  EXPECT_THAT(names({dir.file("empty")}), ::testing::ElementsAre("no-pictures"));
  EXPECT_THAT(names({dir.file("none")}), ::testing::ElementsAre("file-not-readable"));
}

// XXH3's published vector for no input (xxHash, the program's own test of sanity, from memory: 99aa06d3...).
TEST(ContentHash, OfNothingIsTheKnownOne) {
  EXPECT_EQ(content_hash(""), "99aa06d3014798d86001c324468d497f");
  EXPECT_NE(content_hash("a"), content_hash("b"));
}

// A name that is no UTF-8 would break every JSON that it stands in.
TEST(FindPictures, NamesAreUtf8WhateverTheDiskHolds) {
  const TempDir dir;
  ASSERT_TRUE(write_file_whole(dir.file("bench-7 \xff\xfe\xC3\xA4.png"), "x").ok());
  const auto found = find_pictures({dir.path().string()});
  ASSERT_TRUE(found.ok());
  EXPECT_EQ(found->front().name, "bench-7 \\xFF\\xFE\xC3\xA4.png");
  EXPECT_EQ(found->front().path, dir.file("bench-7 \xff\xfe\xC3\xA4.png"));
}

}  // namespace
}  // namespace tapersight
