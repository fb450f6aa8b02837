// The printed sheet tells how much a scan was sharpened: enough to take the halos away, and nothing where
// there are none.
#include "target/sheet_sharpening.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "synth/render_scan.h"
#include "target/find_sheet.h"

namespace tapersight {
namespace {

struct Halo {
  double before = 0, after = 0;  // part of the step by which the code goes below the ink's, beside paper
};

SheetProfile profile_of(const cv::Mat& grey, const FoundSheet& sheet) {
  return sheet_profile(grey, sheet.saddles, *sheet.layout);
}

double halo_of(const SheetProfile& p) {
  const auto at = [&](double px) { return p.code[static_cast<std::size_t>((px - p.first_px) / p.step_px)]; };
  double low = 1e9;
  for (double px = -4; px < -0.5; px += p.step_px) low = std::min(low, at(px));
  return (at(-8) - low) / (at(8) - at(-8));
}

struct Told {
  Sharpening sharpening;
  Halo halo;
  double blur_px = 0, plain_blur_px = 0;  // taken back, and of the scene that was never sharpened
};

ScanScene scene_of(const Sharpening& by, const cv::Vec2d& blur_and_rotation, int dpi) {
  ScanScene scene;
  scene.dpi = dpi;
  scene.page_rotation_deg = blur_and_rotation[1];
  scene.window_sheet_mm = fiducial_bounds(sheet_layout(scene.paper));
  scene.scanner.blur_px = blur_and_rotation[0];
  scene.scanner.sharpen.amount = by.amount;
  scene.scanner.sharpen.radius_px = by.radius_px;
  return scene;
}

Told told_of(const Sharpening& by, const cv::Vec2d& blur_and_rotation, int dpi) {
  const cv::Mat grey = render_scan(scene_of(by, blur_and_rotation, dpi)).image;
  const auto sheet = find_sheet(grey);
  if (!sheet) {
    ADD_FAILURE() << sheet.failure().text;
    return {};
  }
  Told told;
  const SheetProfile profile = profile_of(grey, *sheet);
  told.sharpening = sharpening_of(profile);
  told.halo.before = halo_of(profile);
  const cv::Mat back = without_sharpening(grey, told.sharpening, {{0, 0}, grey.size()});
  told.halo.after = halo_of(profile_of(back, *sheet));
  told.blur_px = blur_without(told.sharpening, grey, sheet->saddles, *sheet->layout);
  const cv::Mat plain = render_scan(scene_of({}, blur_and_rotation, dpi)).image;
  const auto plain_sheet = find_sheet(plain);
  if (plain_sheet) told.plain_blur_px = plain_sheet->blur_px;
  return told;
}

struct Case {
  Sharpening by;
  cv::Vec2d blur_and_rotation;
  int dpi;
};

class Sharpened : public testing::TestWithParam<Case> {};

TEST_P(Sharpened, LosesItsHalosAndGetsItsBlurBack) {
  const Case& c = GetParam();
  const Told told = told_of(c.by, c.blur_and_rotation, c.dpi);
  EXPECT_GT(told.halo.before, 0.02) << "there is a halo";
  EXPECT_LT(std::abs(told.halo.after), 0.3 * told.halo.before);
  EXPECT_NEAR(told.blur_px, told.plain_blur_px, 0.2 * told.plain_blur_px);
}

INSTANTIATE_TEST_SUITE_P(Sheet, Sharpened,
                         testing::Values(Case{{0.4, 1.2}, {0.7, 1}, 300}, Case{{0.8, 0.9}, {0.9, 7}, 300},
                                         Case{{1.5, 1.4}, {0.7, 91}, 300}, Case{{1, 2}, {0.8, 2}, 300},
                                         Case{{0.8, 1.5}, {1.1, 3}, 600}));

TEST(SheetSharpening, ASheetThatWasNotSharpenedIsLeftAlone) {
  for (const double blur : {0.5, 0.8, 1.2})
    for (const double rotation : {0.0, 3.0, 12.0})
      EXPECT_EQ(told_of({}, {blur, rotation}, 300).sharpening.amount, 0) << blur << " " << rotation;
}

TEST(SheetSharpening, FewBordersTellNothing) {
  const cv::Mat grey = render_scan(scene_of({1, 1.2}, {0.7, 1}, 300)).image;
  const auto sheet = find_sheet(grey);
  ASSERT_TRUE(sheet.ok());
  const std::vector<Correspondence> few(sheet->saddles.begin(), sheet->saddles.begin() + 4);
  EXPECT_TRUE(sheet_profile(grey, few, *sheet->layout).code.empty());
  EXPECT_EQ(sharpening_of({}).amount, 0);
}

}  // namespace
}  // namespace tapersight
