// The class sheet takes in what the program itself made small, and nothing else that a result may name.
#include "batch/thumbnails.h"

#include <gtest/gtest.h>

#include <filesystem>

#include "base/files.h"
#include "imaging/jpeg_file.h"
#include "support/temp_dir.h"

namespace tapersight {
namespace {

ClassResult named(const std::string& thumbnail) {
  ClassResult result;
  result.thumbnail = thumbnail;
  return result;
}

std::string jpeg(int width, int height) {
  return encode_jpeg(cv::Mat(height, width, CV_8UC1, cv::Scalar(90)), 80).value();
}

TEST(Thumbnails, WhatIsWrittenIsReadBack) {
  const TempDir dir;
  std::filesystem::create_directory(dir.file("overlays"));
  const auto name =
      write_thumbnail(cv::Mat(3300, 2550, CV_8UC1, cv::Scalar(200)), "bench-07.jpg", dir.path().string());
  ASSERT_TRUE(name.ok());
  const auto found = read_thumbnails(dir.path().string(), {named(*name), named(""), named(*name)});
  ASSERT_EQ(found.size(), 1U);
  EXPECT_EQ(found.at(*name).height_px, kThumbnailPx);
  EXPECT_EQ(found.at(*name).bytes, read_file(dir.file(*name)).value());
}

TEST(Thumbnails, WhatIsNoSmallWholeJpegIsLeftOut) {
  const TempDir dir;
  const std::string whole = jpeg(200, 150);
  const std::pair<const char*, std::string> files[] = {{"empty", ""},
                                                       {"mark", "\xff\xd8\xff"},
                                                       {"text", "not a picture"},
                                                       {"cut", whole.substr(0, whole.size() / 2)},
                                                       {"wide", jpeg(kThumbnailPx + 1, 10)},
                                                       {"good", whole}};
  std::vector<ClassResult> results = {named("missing"), named("..")};
  for (const auto& [name, bytes] : files) {
    ASSERT_TRUE(write_file_whole(dir.file(name), bytes).ok());
    results.push_back(named(name));
  }
  const auto found = read_thumbnails(dir.path().string(), results);
  ASSERT_EQ(found.size(), 1U);
  EXPECT_EQ(found.begin()->first, "good");
  EXPECT_EQ(found.begin()->second.width_px, 200);
}

}  // namespace
}  // namespace tapersight
