// The written files carry the resolution and the pixels.
#include "synth/scan_file.h"

#include <gtest/gtest.h>

#include <filesystem>
#include <opencv2/imgcodecs.hpp>

namespace tapersight {
namespace {

cv::Mat ramp() {
  cv::Mat image(40, 60, CV_8UC1);
  for (int r = 0; r < 40; ++r)
    for (int c = 0; c < 60; ++c) image.at<uchar>(r, c) = static_cast<uchar>(3 * c + r);
  return image;
}

// JFIF 1.02, "APP0 marker": units 1 (dots per inch) and both densities follow the version.
TEST(ScanFile, JpegCarriesDotsPerInch) {
  const auto bytes = scan_file_bytes(".jpg", ramp(), 600, 90);
  ASSERT_TRUE(bytes);
  const std::vector<unsigned char> expected = {'J', 'F', 'I', 'F', 0, 1, 1, 1, 2, 0x58, 2, 0x58};
  EXPECT_EQ(std::vector<unsigned char>(bytes->begin() + 6, bytes->begin() + 18), expected);
  EXPECT_LT(cv::norm(cv::imdecode(*bytes, cv::IMREAD_GRAYSCALE), ramp(), cv::NORM_INF), 12);  // code values
}

// PNG (ISO/IEC 15948), 11.3.5.3: 300 dpi is 11811 pixels per metre. libpng checks the chunk's CRC on reading.
TEST(ScanFile, PngCarriesPixelsPerMetreAndTheSamePixels) {
  const auto bytes = scan_file_bytes(".png", ramp(), 300, 0);
  ASSERT_TRUE(bytes);
  const std::vector<unsigned char> expected = {0, 0,    0,    9, 'p', 'H',  'Y',  's', 0,
                                               0, 0x2e, 0x23, 0, 0,   0x2e, 0x23, 1};
  EXPECT_EQ(std::vector<unsigned char>(bytes->begin() + 33, bytes->begin() + 50), expected);
  EXPECT_EQ(cv::norm(cv::imdecode(*bytes, cv::IMREAD_GRAYSCALE), ramp(), cv::NORM_INF), 0);
}

TEST(ScanFile, RefusesOtherKindsAndMissingFolders) {
  const auto kind = scan_file_bytes(".gif", ramp(), 300, 90);
  ASSERT_FALSE(kind);
  EXPECT_EQ(kind.failure().code, "picture-not-encoded");
  const auto folder = std::filesystem::path(testing::TempDir()) / "no-such-folder" / "scan.png";
  const auto missing = write_scan(folder.string(), ramp(), 300);
  ASSERT_FALSE(missing);
  EXPECT_EQ(missing.failure().code, "file-not-written");
}

TEST(ScanFile, WritesWhatItSays) {
  const auto path = std::filesystem::path(testing::TempDir()) / "tapersight-scan-file-test.png";
  const auto size = write_scan(path.string(), ramp(), 300);
  ASSERT_TRUE(size);
  EXPECT_EQ(*size, std::filesystem::file_size(path));
  EXPECT_EQ(cv::norm(cv::imread(path.string(), cv::IMREAD_GRAYSCALE), ramp(), cv::NORM_INF), 0);
  std::filesystem::remove(path);
}

}  // namespace
}  // namespace tapersight
