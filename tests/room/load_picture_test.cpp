// Pictures from files: what is read, what is refused, and the resolution that a file states.
#include "room/load_picture.h"

#include <gtest/gtest.h>

#include <opencv2/imgcodecs.hpp>

#include "base/files.h"
#include "imaging/png_file.h"
#include "support/temp_dir.h"
#include "synth/scan_file.h"

namespace tapersight {
namespace {

cv::Mat ramp() {
  cv::Mat grey(40, 60, CV_8UC1);
  for (int y = 0; y < grey.rows; ++y)
    for (int x = 0; x < grey.cols; ++x) grey.at<uchar>(y, x) = static_cast<uchar>(4 * x);
  return grey;
}

TEST(Picture, ReadsPixelsAndDpiOfJpegAndPng) {
  const TempDir folder;
  for (const std::string name : {"scan.jpg", "scan.png"}) {
    ASSERT_TRUE(write_scan(folder.file(name), ramp(), 300, 95).ok());
    const auto picture = load_picture(folder.file(name));
    ASSERT_TRUE(picture.ok()) << name;
    EXPECT_EQ(picture->grey.size(), cv::Size(60, 40));
    EXPECT_NEAR(picture->grey.at<uchar>(20, 30), 120, 2);
    ASSERT_TRUE(picture->dpi_u && picture->dpi_v) << name;
    EXPECT_NEAR(*picture->dpi_u, 300, 0.02) << name;  // PNG states whole pixels per metre
    EXPECT_NEAR(*picture->dpi_v, 300, 0.02) << name;
  }
}

TEST(Picture, ReadsTheResolutionTagsOfTiff) {
  const TempDir folder;
  const std::string path = folder.file("scan.tif");
  ASSERT_TRUE(cv::imwrite(
      path, ramp(), {cv::IMWRITE_TIFF_RESUNIT, 2, cv::IMWRITE_TIFF_XDPI, 600, cv::IMWRITE_TIFF_YDPI, 300}));
  const auto picture = load_picture(path);
  ASSERT_TRUE(picture.ok());
  ASSERT_TRUE(picture->dpi_u && picture->dpi_v);
  EXPECT_NEAR(*picture->dpi_u, 600, 0.01);
  EXPECT_NEAR(*picture->dpi_v, 300, 0.01);
}

TEST(Picture, StatesNoDpiWhereTheFileHasNone) {
  const TempDir folder;
  ASSERT_TRUE(cv::imwrite(folder.file("plain.png"), ramp()));
  const auto picture = load_picture(folder.file("plain.png"));
  ASSERT_TRUE(picture.ok());
  EXPECT_FALSE(picture->dpi_u.has_value());
}

TEST(Picture, RefusesWhatIsNoPicture) {
  const TempDir folder;
  EXPECT_EQ(load_picture(folder.file("missing.jpg")).failure().code, "file-not-readable");
  EXPECT_EQ(load_picture(folder.path().string()).failure().code, "file-not-readable");
  ASSERT_TRUE(write_file_whole(folder.file("empty.jpg"), "").ok());
  EXPECT_EQ(load_picture(folder.file("empty.jpg")).failure().code, "not-a-picture");
  ASSERT_TRUE(write_file_whole(folder.file("words.png"), "this is a letter, not a picture").ok());
  EXPECT_EQ(load_picture(folder.file("words.png")).failure().code, "not-a-picture");
}

}  // namespace
}  // namespace tapersight
