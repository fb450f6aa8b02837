// What we encode is what OpenCV's decoders read: the pixels of a PNG exactly, those of a JPEG nearly.
#include <gtest/gtest.h>

#include <opencv2/imgcodecs.hpp>

#include "imaging/jpeg_file.h"
#include "imaging/png_file.h"

namespace tapersight {
namespace {

cv::Mat colours(int rows, int columns) {
  cv::Mat pixels(rows, columns, CV_8UC3);
  for (int y = 0; y < rows; ++y)
    for (int x = 0; x < columns; ++x)
      pixels.at<cv::Vec3b>(y, x) = {static_cast<unsigned char>(2 * x), static_cast<unsigned char>(3 * y),
                                    static_cast<unsigned char>(x + y)};
  return pixels;
}

cv::Mat decoded(const std::string& bytes) {
  return cv::imdecode(std::vector<unsigned char>(bytes.begin(), bytes.end()), cv::IMREAD_UNCHANGED);
}

TEST(Encode, APngHoldsTheVeryPixelsAlsoOfAPartOfAPicture) {
  const cv::Mat whole = colours(60, 90);
  const cv::Mat part = whole(cv::Rect(7, 5, 40, 30));
  for (const int compression : {0, 2, 9}) {
    const auto bytes = encode_png_colour(part, compression);
    ASSERT_TRUE(bytes.ok());
    EXPECT_EQ(cv::norm(decoded(*bytes), part, cv::NORM_INF), 0);
  }
}

TEST(Encode, AJpegIsNearThePixels) {
  const cv::Mat colour = colours(60, 90);
  const auto bytes = encode_jpeg(colour, 95);
  ASSERT_TRUE(bytes.ok());
  EXPECT_LT(cv::norm(decoded(*bytes), colour, cv::NORM_L1) / (3.0 * static_cast<double>(colour.total())), 2);
  EXPECT_EQ(decoded(*bytes).size(), cv::Size(90, 60));

  cv::Mat grey;
  cv::extractChannel(colour, grey, 1);
  const auto grey_bytes = encode_jpeg(grey, 95);
  ASSERT_TRUE(grey_bytes.ok());
  EXPECT_EQ(decoded(*grey_bytes).channels(), 1);
  EXPECT_LT(cv::norm(decoded(*grey_bytes), grey, cv::NORM_L1) / static_cast<double>(grey.total()), 1);
}

}  // namespace
}  // namespace tapersight
