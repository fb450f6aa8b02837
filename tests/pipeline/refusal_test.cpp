// Pictures that must be refused, each with its reason. None of them may give a number.
#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/aruco.hpp>
#include <opencv2/imgproc.hpp>
#include <ostream>

#include "pipeline/pictures.h"

namespace tapersight::testing {
namespace {

const cv::Size kPage(1654, 2339);  // A4 at 200 dpi

struct Refused {
  const char* name;
  const char* code;
  std::function<cv::Mat()> picture;
};

std::ostream& operator<<(std::ostream& out, const Refused& refused) {
  return out << refused.name;
}

cv::Mat plain(const std::function<void(ScanScene&)>& change) {
  return picture_of(change);
}

StripScene& strip_of(ScanScene& scene) {
  return scene.strips.front();
}

// --- no target -----------------------------------------------------------------------------------------

cv::Mat wood_only() {
  return plain([](ScanScene& s) {
    s.has_target = false;
    strip_of(s).width_mm = 150;
    strip_of(s).length_mm = 320;
    strip_of(s).wood.grain_contrast = 0.3;
    strip_of(s).wood.saw_contrast = 0.05;
  });
}

cv::Mat chessboard_without_codes() {
  cv::Mat grey(kPage, CV_8UC1, cv::Scalar(225));
  for (int y = 200; y < 2100; y += 63)
    for (int x = 200; x < 1400; x += 63)
      if ((x / 63 + y / 63) % 2 == 0) grey(cv::Rect(x, y, 63, 63)).setTo(35);
  cv::GaussianBlur(grey, grey, {}, 0.8);
  return grey;
}

cv::Mat sheet_of_other_codes(int dictionary, int first) {
  cv::Mat grey(kPage, CV_8UC1, cv::Scalar(225));
  const auto codes = cv::aruco::getPredefinedDictionary(dictionary);
  for (int i = 0; i < 30; ++i) {
    cv::Mat code;
    cv::aruco::drawMarker(codes, first + i, 140, code);
    code.copyTo(grey(cv::Rect(150 + 240 * (i % 5), 200 + 240 * (i / 5), 140, 140)));
  }
  cv::GaussianBlur(grey, grey, {}, 0.8);
  return grey;
}

cv::Mat even_page(double code, double noise) {
  cv::Mat page(kPage, CV_8UC1);
  cv::RNG rng(11);
  rng.fill(page, cv::RNG::NORMAL, code, noise);
  return page;
}

// --- what lies in the channel ---------------------------------------------------------------------------

cv::Mat empty_channel(double ground) {
  return plain([&](ScanScene& s) {
    s.strips.clear();
    s.ground_tone = ground;
  });
}

cv::Mat drawn_in_channel(const std::function<void(cv::Mat&, cv::Point)>& draw) {
  cv::Mat grey = empty_channel(0.03);
  const cv::Rect channel = channel_px(plain_scene());
  draw(grey, (channel.tl() + channel.br()) / 2);
  cv::GaussianBlur(grey(channel), grey(channel), {}, 0.7);
  return grey;
}

cv::Mat ball() {
  return drawn_in_channel([](cv::Mat& grey, cv::Point at) {
    cv::circle(grey, at, 270, cv::Scalar(180), cv::FILLED, cv::LINE_AA);
  });
}

cv::Mat triangle() {
  return drawn_in_channel([](cv::Mat& grey, cv::Point at) {
    const std::vector<cv::Point> corners = {at + cv::Point(-180, 1000), at + cv::Point(180, 1000),
                                            at + cv::Point(0, -1000)};
    cv::fillConvexPoly(grey, corners, cv::Scalar(180), cv::LINE_AA);
  });
}

cv::Mat square_offcut() {
  return drawn_in_channel(
      [](cv::Mat& grey, cv::Point at) { grey(cv::Rect(at.x - 250, at.y - 380, 500, 760)).setTo(170); });
}

cv::Mat hook() {
  return drawn_in_channel([](cv::Mat& grey, cv::Point at) {
    grey(cv::Rect(at.x - 250, at.y - 700, 120, 1400)).setTo(170);
    grey(cv::Rect(at.x - 250, at.y + 580, 500, 120)).setTo(170);
  });
}

cv::Mat bent_cord() {
  return drawn_in_channel([](cv::Mat& grey, cv::Point at) {
    for (int y = -1000; y <= 1000; ++y)
      grey(cv::Rect(at.x + static_cast<int>(60 * std::sin(y / 180.0)) - 45, at.y + y, 90, 1)).setTo(170);
  });
}

// Two pieces that meet at an angle.
cv::Mat kinked(double degrees) {
  return plain([&](ScanScene& s) {
    StripScene far = strip_of(s);
    far.length_mm = 110;
    StripScene fence = far;
    const double half = degrees / 2 * M_PI / 180;
    far.angle_deg = degrees / 2;
    fence.angle_deg = -degrees / 2;
    far.offset_y_mm = -55 * std::cos(half);
    fence.offset_y_mm = 55 * std::cos(half);
    s.strips = {far, fence};
  });
}

cv::Mat broken(double gap, double shift, double at = 20) {
  return plain([&](ScanScene& s) {
    strip_of(s).break_gap_mm = gap;
    strip_of(s).break_shift_mm = shift;
    strip_of(s).break_at_mm = at;
  });
}

cv::Mat strips_at(const std::vector<Eigen::Vector2d>& places, double length) {
  return plain([&](ScanScene& s) {
    const StripScene one = strip_of(s);
    s.strips.clear();
    for (const auto& p : places) {
      s.strips.push_back(one);
      s.strips.back().width_mm = 12;
      s.strips.back().length_mm = length;
      s.strips.back().offset_x_mm = p.x();
      s.strips.back().offset_y_mm = p.y();
    }
  });
}

cv::Mat strip_placed(double x, double y, double length, double angle) {
  return plain([&](ScanScene& s) {
    strip_of(s).offset_x_mm = x;
    strip_of(s).offset_y_mm = y;
    strip_of(s).length_mm = length;
    strip_of(s).angle_deg = angle;
  });
}

cv::Mat cut_off(double keep) {
  const cv::Mat grey = strip_placed(0, 8, 235, 0);
  return grey(cv::Rect(0, 0, grey.cols, static_cast<int>(keep * grey.rows))).clone();
}

cv::Mat cut_at_side() {
  const cv::Mat grey = strip_placed(0, 0, 220, 0);
  return grey(cv::Rect(0, 0, grey.cols / 2, grey.rows)).clone();
}

// --- how the picture was taken --------------------------------------------------------------------------

cv::Mat blurred(int dpi, double sigma_px) {
  return plain([&](ScanScene& s) {
    s.dpi = dpi;
    s.scanner.blur_px = sigma_px;
  });
}

// The sheet is sharp, the strip stood off the glass.
cv::Mat blurred_strip(double sigma_px) {
  cv::Mat grey = picture_of([](ScanScene&) {});
  cv::Rect channel = channel_px(plain_scene());
  channel.x += 30;
  channel.width -= 60;
  cv::Mat part;
  cv::GaussianBlur(grey, part, {}, sigma_px);
  part(channel).copyTo(grey(channel));
  return grey;
}

cv::Mat at_dpi(int dpi) {
  return plain([&](ScanScene& s) { s.dpi = dpi; });
}

cv::Mat exposed(double exposure, double wood = 0.45) {
  return plain([&](ScanScene& s) {
    s.encoding.exposure = exposure;
    strip_of(s).wood.tone = wood;
  });
}

cv::Mat toned(double ground, double wood, double figure) {
  return plain([&](ScanScene& s) {
    s.ground_tone = ground;
    strip_of(s).wood.tone = wood;
    strip_of(s).wood.grain_contrast = figure;
  });
}

cv::Mat covered(const std::vector<RectMm>& patches) {
  return plain([&](ScanScene& s) {
    for (const RectMm& p : patches) s.patches.push_back({p, 0.4});
  });
}

cv::Mat mirrored(int axis) {
  cv::Mat out;
  cv::flip(picture_of([](ScanScene&) {}), out, axis);
  return out;
}

cv::Mat curled_sheet() {
  const cv::Mat grey = picture_of([](ScanScene&) {});
  cv::Mat x(grey.size(), CV_32FC1), y(grey.size(), CV_32FC1), out;
  for (int r = 0; r < grey.rows; ++r)
    for (int c = 0; c < grey.cols; ++c) {
      x.at<float>(r, c) = static_cast<float>(c + 4 * std::sin(r / 90.0) * std::cos(c / 200.0));
      y.at<float>(r, c) = static_cast<float>(r + 4 * std::sin(c / 130.0 + r / 300.0));
    }
  cv::remap(grey, out, x, y, cv::INTER_CUBIC, cv::BORDER_REPLICATE);
  return out;
}

const RectMm kTop = {0, 0, 210, 75};
const RectMm kBottom = {0, 225, 210, 75};
const RectMm kLeftBlock = {40, 0, 32, 297};
const RectMm kRightTop = {137, 0, 40, 110};

const std::vector<Refused>& refused_pictures() {
  static const std::vector<Refused> all = {
      {"noise_fine", "no-target", [] { return noise_picture(kPage, 0, 1); }},
      {"noise_blotches", "no-target", [] { return noise_picture(kPage, 1.5, 2); }},
      {"photo_of_round_things", "no-target", [] { return blob_picture(kPage, 3); }},
      {"page_of_text", "no-target", [] { return text_picture(kPage, 4); }},
      {"wood_only", "no-target", wood_only},
      {"strip_without_sheet", "no-target", [] { return plain([](ScanScene& s) { s.has_target = false; }); }},
      {"chessboard_without_codes", "no-target", chessboard_without_codes},
      {"codes_of_another_kind", "no-target", [] { return sheet_of_other_codes(cv::aruco::DICT_4X4_250, 0); }},
      {"codes_of_another_sheet", "no-target",
       [] { return sheet_of_other_codes(cv::aruco::DICT_5X5_1000, 400); }},
      {"blank_white", "blank-picture", [] { return even_page(255, 0); }},
      {"blank_paper", "blank-picture", [] { return even_page(236, 0.8); }},
      {"blank_grey", "blank-picture", [] { return even_page(128, 0); }},
      {"blank_black", "blank-picture", [] { return even_page(4, 0.8); }},
      {"gradient_only", "no-target",
       [] {
         cv::Mat g(kPage, CV_8UC1);
         for (int y = 0; y < g.rows; ++y) g.row(y).setTo(60 + 120 * y / g.rows);
         return g;
       }},

      {"no_strip_dark_lid", "no-strip", [] { return empty_channel(0.03); }},
      {"no_strip_white_lid", "no-strip", [] { return empty_channel(0.85); }},
      {"no_strip_grey_lid", "no-strip", [] { return empty_channel(0.3); }},
      {"two_side_by_side", "two-strips",
       [] {
         return strips_at({{-14, 0}, {12, 5}}, 220);
       }},
      {"two_close_together", "two-strips",
       [] {
         return strips_at({{-7, 0}, {7.5, 0}}, 220);
       }},
      {"three", "two-strips",
       [] {
         return strips_at({{-18, 0}, {0, 5}, {18, -4}}, 200);
       }},
      {"two_touching", "two-strips",
       [] {
         return strips_at({{-6, 0}, {6.0, 8}}, 200);
       }},
      {"two_end_to_end", "strip-broken",
       [] {
         return strips_at({{0, -62}, {0, 62}}, 110);
       }},
      {"long_and_short_beside", "two-strips",
       [] {
         return plain([](ScanScene& s) {
           StripScene shorter = strip_of(s);
           shorter.length_mm = 60;
           shorter.offset_x_mm = 18;
           strip_of(s).offset_x_mm = -10;
           s.strips.push_back(shorter);
         });
       }},

      {"across_left_fiducials", "strip-across-fiducials", [] { return strip_placed(-32, 0, 220, 0); }},
      {"across_right_side", "strip-across-fiducials", [] { return strip_placed(24, 0, 220, 0.4); }},
      {"slanted_over_the_side", "strip-across-fiducials", [] { return strip_placed(8, 0, 240, 14); }},
      {"square_across_the_sheet", "strip-across-fiducials", [] { return strip_placed(0, 0, 120, 90); }},
      {"longer_than_channel", "strip-too-long", [] { return strip_placed(0, 0, 290, 0); }},
      {"over_the_channel_bottom", "strip-too-long", [] { return strip_placed(3, 40, 230, 0.5); }},
      {"over_the_channel_top", "strip-too-long", [] { return strip_placed(-3, -50, 200, 0.5); }},
      {"cut_off_at_the_bottom", "strip-cut-off", [] { return cut_off(0.945); }},
      {"half_the_sheet_cut_off", "strip-cut-off", [] { return cut_off(0.6); }},
      {"one_block_cut_off", "target-covered", cut_at_side},
      {"too_short_40", "strip-too-short", [] { return strip_placed(0, 0, 40, 0); }},
      {"too_short_25", "strip-too-short", [] { return strip_placed(4, 20, 25, 0); }},
      {"broken_gap_0_5", "strip-broken", [] { return broken(0.5, 0.3); }},
      {"broken_gap_0_5_in_line", "strip-broken", [] { return broken(0.5, 0); }},
      {"broken_gap_1", "strip-broken", [] { return broken(1, 0.2); }},
      {"broken_gap_3", "strip-broken", [] { return broken(3, 0); }},
      {"broken_gap_20", "strip-broken", [] { return broken(20, 1); }},
      {"broken_near_the_end", "strip-broken", [] { return broken(2, 0.5, 85); }},
      {"broken_shifted", "strip-broken", [] { return broken(0.6, 3); }},
      {"broken_kinked_3", "edge-not-straight", [] { return kinked(3); }},
      {"broken_kinked_1_5", "edge-not-straight", [] { return kinked(1.5); }},
      {"ball", "not-a-strip", ball},
      {"triangle", "not-a-strip", triangle},
      {"square_offcut", "not-a-strip", square_offcut},
      {"hook", "not-a-strip", hook},
      {"bent_cord", "not-a-strip", bent_cord},

      {"blur_4", "too-blurred", [] { return blurred(300, 4); }},
      {"blur_5", "too-blurred", [] { return blurred(300, 5); }},
      {"blur_7", "too-blurred", [] { return blurred(300, 7); }},
      {"blur_12", "too-blurred", [] { return blurred(300, 12); }},
      {"blur_25", "too-blurred", [] { return blurred(300, 25); }},
      {"blur_9_at_600", "too-blurred", [] { return blurred(600, 9); }},
      {"strip_off_the_glass_4", "too-blurred", [] { return blurred_strip(4); }},
      {"strip_off_the_glass_8", "too-blurred", [] { return blurred_strip(8); }},
      {"shadow_as_dark_as_the_wood", "too-blurred",
       [] {
         return plain([](ScanScene& s) {
           s.ground_tone = 0.85;
           strip_of(s).wood.tone = 0.33;
           strip_of(s).shadow = {StripSide::kLeft, 1.5, 0.6, 0.5};
         });
       }},
      {"dpi_75", "resolution-too-low", [] { return at_dpi(75); }},
      {"dpi_100", "resolution-too-low", [] { return at_dpi(100); }},
      {"dpi_120", "resolution-too-low", [] { return at_dpi(120); }},
      {"over_exposed_strip", "saturated", [] { return exposed(2.6); }},
      {"over_exposed_all", "saturated", [] { return exposed(14); }},
      {"over_exposed_white", "blank-picture", [] { return exposed(60); }},
      {"under_exposed", "blank-picture", [] { return exposed(0.0015); }},
      {"black_scan", "blank-picture", [] { return exposed(0.0003); }},
      {"no_contrast_dark", "no-contrast", [] { return toned(0.05, 0.053, 0.06); }},
      {"no_contrast_at_all", "no-strip", [] { return toned(0.05, 0.05, 0); }},
      {"no_contrast_middle", "no-contrast", [] { return toned(0.4, 0.4, 0.06); }},
      {"no_contrast_light", "no-contrast", [] { return toned(0.8, 0.79, 0.05); }},
      {"no_contrast_faint", "no-contrast", [] { return toned(0.3, 0.312, 0.02); }},

      {"top_covered", "target-covered", [] { return covered({kTop}); }},
      {"bottom_covered", "target-covered", [] { return covered({kBottom}); }},
      {"left_block_covered", "target-covered", [] { return covered({kLeftBlock}); }},
      {"right_block_half_covered", "target-covered", [] { return covered({kRightTop}); }},
      {"both_blocks_covered", "target-covered",
       [] {
         return covered({kLeftBlock, {137, 30, 40, 220}});
       }},
      {"mirrored", "target-mirrored", [] { return mirrored(1); }},
      {"mirrored_upside_down", "target-mirrored", [] { return mirrored(0); }},
      {"curled_sheet", "sheet-distorted", curled_sheet},
  };
  return all;
}

class RefusedPicture : public ::testing::TestWithParam<Refused> {};

TEST_P(RefusedPicture, IsRefusedForItsReason) {
  const auto result = measured(GetParam().picture());
  ASSERT_FALSE(result.ok()) << "measured: taper " << result->strip.taper << ", u " << result->strip.u_taper;
  EXPECT_EQ(result.failure().code, GetParam().code) << result.failure().text;
  EXPECT_FALSE(result.failure().text.empty());
  EXPECT_FALSE(result.failure().remedy.empty());
}

INSTANTIATE_TEST_SUITE_P(All, RefusedPicture, ::testing::ValuesIn(refused_pictures()),
                         [](const auto& tested) { return std::string(tested.param.name); });

// With the sheet and without it; within the edges it is tests/edges/trace_edges_test.cpp.
TEST(RefusedPictures, ThoseThatTakeTooLongAreToo) {
  const cv::Mat grey = plain([](ScanScene& /*scene*/) {});
  for (const bool without_target : {false, true}) {
    PictureOptions options;
    options.without_target = without_target;
    options.region_px = without_target ? std::optional(channel_px(plain_scene())) : std::nullopt;
    EXPECT_TRUE(measure_picture(grey, 300, 300, options).ok()) << without_target;
    options.deadline = Deadline::in(0);
    EXPECT_EQ(measure_picture(grey, 300, 300, options).failure().code, "took-too-long") << without_target;
  }
}

TEST(RefusedPictures, AreAtLeastForty) {
  EXPECT_GE(refused_pictures().size(), 40U);
}

}  // namespace
}  // namespace tapersight::testing
