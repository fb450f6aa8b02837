// A live camera's frame is worth taking, or it is told what is the matter: on a committed photo, made worse
// in one way after the other.
#include "pipeline/judge_frame.h"

#include <gtest/gtest.h>

#include <opencv2/imgproc.hpp>

#include "room/load_picture.h"

namespace tapersight {
namespace {

class JudgeFrame : public ::testing::Test {
 protected:
  void SetUp() override {
    const auto picture = load_picture(TESTIMAGES_DIR "/photos/bench-09-a4-dark-channel.jpg");
    ASSERT_TRUE(picture.ok());
    cv::resize(picture->grey, frame_, {}, 0.6, 0.6, cv::INTER_AREA);  // as many pixels as a video has
  }
  std::string code_of(const cv::Mat& frame) const {
    const auto sharpness = judge_frame(frame);
    return sharpness ? "ready" : sharpness.failure().code;
  }
  cv::Mat frame_;
};

TEST_F(JudgeFrame, AGoodOneIsReady) {
  EXPECT_EQ(code_of(frame_), "ready");
}

TEST_F(JudgeFrame, TheSharperOfTwoIsKnown) {
  cv::Mat softer;
  cv::GaussianBlur(frame_, softer, {}, 1.2);
  const auto sharp = judge_frame(frame_), soft = judge_frame(softer);
  ASSERT_TRUE(sharp.ok() && soft.ok());
  EXPECT_GT(*sharp, *soft);
}

TEST_F(JudgeFrame, AMovedOneIsBlurred) {
  cv::Mat blurred;
  cv::GaussianBlur(frame_, blurred, {}, 4);
  EXPECT_EQ(code_of(blurred), "too-blurred");
}

TEST_F(JudgeFrame, ADarkOneIsTold) {
  cv::Mat dark;
  frame_.convertTo(dark, -1, 0.12);
  EXPECT_EQ(code_of(dark), "under-exposed");
}

TEST_F(JudgeFrame, FromAfarTheSheetIsTooSmall) {
  cv::Mat far(frame_.size(), CV_8UC1, cv::Scalar(120)), small;
  cv::resize(frame_, small, {}, 0.45, 0.45, cv::INTER_AREA);
  small.copyTo(far(cv::Rect({far.cols / 4, far.rows / 4}, small.size())));
  const std::string code = code_of(far);
  EXPECT_TRUE(code == "too-small" || code == "resolution-too-low" || code == "no-target") << code;
}

TEST_F(JudgeFrame, APartOfTheSheetIsNotEnough) {
  const std::string code = code_of(frame_(cv::Rect(0, 0, frame_.cols, frame_.rows / 2)).clone());
  EXPECT_NE(code, "ready");
}

TEST_F(JudgeFrame, AWallIsNoSheet) {
  cv::Mat wall(1500, 2000, CV_8UC1);
  cv::randu(wall, 100, 140);
  EXPECT_NE(code_of(wall), "ready");
}

}  // namespace
}  // namespace tapersight
