// The overlay is for the eye; what can be checked without one: it is a PNG of a viewable size, the picture is
// in it, and each mark stands where the thing lies that it marks.
#include "overlay/overlay.h"

#include <gtest/gtest.h>

#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>

#include "report/overlay_style.h"
#include "report/picture_panel.h"
#include "report/sample_report.h"

namespace tapersight {
namespace {

using testing::sample_picture;
using testing::sample_report;

cv::Mat decoded(const Result<std::string>& png) {
  if (!png) return {};
  const std::vector<unsigned char> raw(png->begin(), png->end());
  return cv::imdecode(raw, cv::IMREAD_COLOR);
}

// The number of pixels within `radius` of (x, y) that are close to a colour.
int pixels_of(const cv::Mat& image, const Colour& colour, double x, double y, int radius) {
  const cv::Vec3d wanted(255 * colour.blue, 255 * colour.green, 255 * colour.red);
  int count = 0;
  for (int v = static_cast<int>(y) - radius; v <= static_cast<int>(y) + radius; ++v)
    for (int u = static_cast<int>(x) - radius; u <= static_cast<int>(x) + radius; ++u)
      if (u >= 0 && v >= 0 && u < image.cols && v < image.rows)
        count += cv::norm(cv::Vec3d(image.at<cv::Vec3b>(v, u)) - wanted) < 40;
  return count;
}

// Where the picture's top left corner is in the overlay: its tone does not occur outside it.
cv::Point picture_corner(const cv::Mat& overlay) {
  for (int v = 0; v < overlay.rows; ++v)
    for (int u = 0; u < overlay.cols; ++u)
      if (overlay.at<cv::Vec3b>(v, u) == cv::Vec3b(230, 230, 230) &&
          overlay.at<cv::Vec3b>(std::min(v + 9, overlay.rows - 1), std::min(u + 9, overlay.cols - 1)) ==
              cv::Vec3b(230, 230, 230))
        return {u, v};
  return {-1, -1};
}

class Overlay : public ::testing::Test {
 protected:
  // The canvas place of a sheet point; the sample's sheet lies at the picture's corner.
  cv::Point2d place(double x_mm, double y_mm) const {
    const double scale = 1600.0 / 2970;
    return {corner_.x + x_mm * testing::kPxPerMm * scale, corner_.y + y_mm * testing::kPxPerMm * scale};
  }
  const MeasurementReport report_ = sample_report();
  const cv::Mat image_ = decoded(draw_overlay(sample_picture(), report_));
  const cv::Point corner_ = picture_corner(image_);
};

TEST_F(Overlay, IsAViewablePngWithThePictureAndRoomForThePlots) {
  ASSERT_FALSE(image_.empty());
  EXPECT_GE(image_.rows, 1600);
  EXPECT_LE(image_.rows, 2000);
  EXPECT_GE(image_.cols, 1131 + 1200);
  EXPECT_GE(corner_.x, 0);
}

TEST_F(Overlay, MarksEverySaddleWhereItWasFound) {
  int marked = 0;
  const auto& saddles = report_.measurement->saddles;
  for (const Correspondence& saddle : saddles) {
    const cv::Point2d p = place(saddle.sheet_mm.x(), saddle.sheet_mm.y());
    marked += pixels_of(image_, overlay_style::kSheet, p.x, p.y, 6) > 10;
  }
  EXPECT_EQ(marked, static_cast<int>(saddles.size()));
}

TEST_F(Overlay, DrawsTheChannelAndEachEdgeInItsOwnColour) {
  const RectMm& channel = report_.measurement->layout->channel;
  const cv::Point2d channel_side = place(channel.x, channel.y + 60);
  EXPECT_GT(pixels_of(image_, overlay_style::kSheet, channel_side.x, channel_side.y, 3), 5);
  for (int side = 0; side < 2; ++side) {
    const cv::Point2d p = place(side == 0 ? 95 : 115, 150);
    EXPECT_GT(pixels_of(image_, overlay_style::kEdge[side], p.x, p.y, 6), 10) << side;
    EXPECT_EQ(pixels_of(image_, overlay_style::kEdge[1 - side], p.x, p.y, 6), 0) << side;
  }
}

TEST_F(Overlay, MarksLeftOutPointsApart) {
  // Points 100 to 102 of both edges: 70 to 71 mm down the page.
  for (const double x_mm : {95.0, 115.0}) {
    const cv::Point2d out = place(x_mm, 70.5);
    EXPECT_GT(pixels_of(image_, overlay_style::kLeftOut, out.x, out.y, 8), 8);
    const cv::Point2d used = place(x_mm, 150);
    EXPECT_EQ(pixels_of(image_, overlay_style::kLeftOut, used.x, used.y, 8), 0);
  }
}

TEST_F(Overlay, NamesTheFenceEndBeyondTheFenceEnd) {
  const cv::Point2d fence_end = place(105, 220);
  const cv::Point2d far_end = place(105, 20);
  EXPECT_GT(pixels_of(image_, overlay_style::kFence, fence_end.x, fence_end.y + 32, 14), 100);
  EXPECT_EQ(pixels_of(image_, overlay_style::kFence, far_end.x, far_end.y, 40), 0);
}

TEST_F(Overlay, PlotsTheResidualsOfBothEdges) {
  const int plots_from = corner_.x + 1131 + 60;
  const cv::Mat plots = image_.colRange(plots_from, image_.cols);
  int of_edge[2] = {0, 0};
  for (int side = 0; side < 2; ++side)
    of_edge[side] = pixels_of(plots, overlay_style::kEdge[side], plots.cols / 2.0, plots.rows / 2.0, 3000);
  // 398 dots of some ten pixels each, apart from words and lines.
  EXPECT_GT(of_edge[0], 3000);
  EXPECT_GT(of_edge[1], 3000);
}

TEST_F(Overlay, CheckBarsMoveNothingInThePicture) {
  // The map leads to true millimetres: with a print 1 % too small the channel must be drawn where it is.
  MeasurementReport report = sample_report();
  report.options.bar_x_mm = 152.4 * 0.99;
  report.options.bar_y_mm = 203.2 * 0.99;
  report.measurement->map.stretch(0.99, 0.99);
  report.measurement->strip.centre_mm *= 0.99;
  const cv::Mat image = decoded(draw_overlay(sample_picture(), report));
  const RectMm& channel = report.measurement->layout->channel;
  const cv::Point2d p = place(channel.x, channel.y + 60);
  EXPECT_GT(pixels_of(image, overlay_style::kSheet, p.x, p.y, 3), 5);
}

TEST(OverlaySizes, LyingPictureGetsThePlotsBelow) {
  // The same scene turned by 90 degrees: picture x = old y, picture y = width - old x.
  MeasurementReport report = sample_report();
  PictureMeasurement& m = *report.measurement;
  PlaneMap map = *m.map.scanner();
  map.centre_px = {1484.5, 1049.5};
  map.scale_px = {1485, 1050};
  map.coefficients << 105, 148.5, 0, 148.5, -105, 0;
  m.map = map;
  cv::Mat lying;
  cv::rotate(sample_picture(), lying, cv::ROTATE_90_COUNTERCLOCKWISE);
  const cv::Mat image = decoded(draw_overlay(lying, report));
  ASSERT_FALSE(image.empty());
  EXPECT_LT(image.cols, 1800);
  EXPECT_GT(image.rows, 1131 + 800);
}

TEST(OverlaySizes, SmallPictureIsNotBlownUp) {
  const cv::Mat small(300, 200, CV_8UC1, cv::Scalar(9));
  const ReducedPicture reduced = reduce_picture(small, kOverlayPicturePx);
  EXPECT_EQ(reduced.scale, 1);
  EXPECT_EQ(reduced.grey.size(), small.size());
}

TEST(OverlayBytes, AreTheSameTwice) {
  const auto first = draw_overlay(sample_picture(), sample_report());
  const auto second = draw_overlay(sample_picture(), sample_report());
  ASSERT_TRUE(first.ok() && second.ok());
  EXPECT_TRUE(*first == *second);
}

}  // namespace
}  // namespace tapersight
