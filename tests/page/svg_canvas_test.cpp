// Shapes as SVG: where they were asked for, packed where they are alike, and text that cannot become markup.
#include "page/svg_canvas.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tapersight {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

const Colour kBlue{0, 0, 1}, kRed{1, 0, 0};

TEST(SvgCanvas, SaysItsSizeAndItsWords) {
  SvgCanvas canvas(120, 80);
  const auto drawing = canvas.drawing("a \"strip\"");
  ASSERT_TRUE(drawing.ok());
  EXPECT_THAT(drawing->html(), HasSubstr("viewBox=\"0 0 120 80\""));
  EXPECT_THAT(drawing->html(), HasSubstr("role=\"img\" aria-label=\"a &quot;strip&quot;\""));
}

TEST(SvgCanvas, ShapesAlikeInARowAreOnePath) {
  SvgCanvas canvas(100, 100);
  canvas.dot({10, 20}, 2.5, kBlue);
  canvas.dot({30.25, 20}, 2.5, kBlue);
  canvas.dot({50, 20}, 2.5, kRed);
  EXPECT_THAT(canvas.drawing("")->html(),
              HasSubstr("<path d=\"M10 20h0M30.2 20h0\" fill=\"none\" stroke=\"#0000ff\" stroke-width=\"5\" "
                        "stroke-linejoin=\"round\" stroke-linecap=\"round\"/><path d=\"M50 20h0\""));
}

TEST(SvgCanvas, WhatIsDrawnLaterLiesOnTop) {
  SvgCanvas canvas(100, 100);
  canvas.line({{0, 0}, {10, 10}}, kBlue, 2);
  canvas.fill({1, 2, 3, 4}, kRed);
  const std::string html = canvas.drawing("")->html();
  EXPECT_LT(html.find("M0 0L10 10"), html.find("<rect x=\"1\" y=\"2\" width=\"3\" height=\"4\""));
}

TEST(SvgCanvas, TextIsText) {
  SvgCanvas canvas(100, 100);
  canvas.text({5, 6}, "<b>&", {12, kBlue, TextAlign::kCentre});
  const std::string html = canvas.drawing("")->html();
  EXPECT_THAT(html, HasSubstr("text-anchor=\"middle\">&lt;b&gt;&amp;</text>"));
  EXPECT_THAT(html, Not(HasSubstr("<b>")));
}

TEST(SvgCanvas, AClipIsOpenedAndClosed) {
  SvgCanvas canvas(100, 100);
  canvas.clip({10, 20, 30, 40});
  canvas.dot({15, 25}, 1, kBlue);
  canvas.unclip();
  EXPECT_THAT(canvas.drawing("")->html(),
              HasSubstr("<svg x=\"10\" y=\"20\" width=\"30\" height=\"40\" viewBox=\"10 20 30 40\"><path"));
}

TEST(SvgCanvas, APictureLiesInItAsJpeg) {
  SvgCanvas canvas(64, 48);
  canvas.picture(cv::Mat(48, 64, CV_8UC1, cv::Scalar(128)), 0, 0);
  EXPECT_THAT(
      canvas.drawing("")->html(),
      HasSubstr("<image x=\"0\" y=\"0\" width=\"64\" height=\"48\" href=\"data:image/jpeg;base64,/9j/"));
}

TEST(SvgCanvas, AnEmptyPictureIsAFailure) {
  SvgCanvas canvas(64, 48);
  canvas.picture(cv::Mat(), 0, 0);
  EXPECT_EQ(canvas.drawing("").failure().code, "page-not-drawn");
}

}  // namespace
}  // namespace tapersight
