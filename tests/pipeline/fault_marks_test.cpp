// What is marked in a picture that was refused lies where the fault is.
#include "pipeline/fault_marks.h"

#include <gtest/gtest.h>

#include "pipeline/pictures.h"

namespace tapersight {
namespace {

using testing::picture_of;

TEST(FaultMarks, BothStripsAreOutlined) {
  const cv::Mat grey = picture_of([](ScanScene& scene) {
    scene.strips.push_back(scene.strips.front());
    scene.strips[0].offset_x_mm = -15;
    scene.strips[1].offset_x_mm = 15;
    for (StripScene& strip : scene.strips) strip.width_mm = 12;
  });
  const FaultMarks marks = fault_marks(grey, true);
  EXPECT_TRUE(marks.missing_px.empty());
  ASSERT_EQ(marks.channel_px.size(), 4U);
  ASSERT_EQ(marks.pieces_px.size(), 2U);
  const auto middle = [](const std::vector<Eigen::Vector2d>& corners) {
    return Eigen::Vector2d((corners[0] + corners[1] + corners[2] + corners[3]) / 4);
  };
  const double between = (middle(marks.pieces_px[0]) - middle(marks.pieces_px[1])).norm();
  EXPECT_NEAR(between, 30 * 300 / 25.4, 12) << "30 mm apart at 300 dpi";
}

TEST(FaultMarks, HiddenPointsOfTheSheetAreWhereTheyShouldBe) {
  ScanScene scene = testing::plain_scene();
  const RectMm& block = layout_of(scene).blocks[1];
  const RectMm hidden{block.x - 2, block.y - 2, block.width + 4, 70};
  scene.patches.push_back({hidden, 0.5});
  const RenderedScan scan = render_scan(scene);
  const FaultMarks marks = fault_marks(scan.image, true);
  std::size_t expected = 0;
  for (const Saddle& saddle : layout_of(scene).saddles) {
    if (!hidden.contains(saddle.at_mm)) continue;
    ++expected;
    const Eigen::Vector2d at = scan.truth.pixel_from_sheet(saddle.at_mm);
    double nearest = 1e9;
    for (const Eigen::Vector2d& p : marks.missing_px) nearest = std::min(nearest, (p - at).norm());
    EXPECT_LT(nearest, 3);
  }
  EXPECT_GT(expected, 15U);
  EXPECT_LE(marks.missing_px.size(), expected + 6);  // and some at the patch's very border
}

TEST(FaultMarks, WithoutASheetNothingIsMarked) {
  const cv::Mat grey = picture_of([](ScanScene& scene) { scene.has_target = false; });
  EXPECT_FALSE(fault_marks(grey, true).sheet_seen());
  EXPECT_FALSE(fault_marks(picture_of([](ScanScene&) {}), false).sheet_seen());
  EXPECT_FALSE(fault_marks(cv::Mat(20, 20, CV_8UC1, cv::Scalar(200)), true).sheet_seen());
}

}  // namespace
}  // namespace tapersight
