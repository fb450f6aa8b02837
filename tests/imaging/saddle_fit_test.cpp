// Saddle points of a chessboard rendered by exact area coverage: where (0, 0) is, and that nothing moves
// them.
#include "imaging/saddle_fit.h"

#include <gtest/gtest.h>

#include <cmath>

#include "synth/render_scan.h"

namespace tapersight {
namespace {

ScanScene sheet_alone() {
  ScanScene scene;
  scene.dpi = 300;
  scene.strips.clear();
  scene.page_rotation_deg = 2.3;
  scene.window_sheet_mm = {50, 24, 24, 60};  // A4: the top of the left block
  scene.scanner.noise_levels = 0;
  return scene;
}

struct Errors {
  Eigen::Vector2d mean = Eigen::Vector2d::Zero();
  double rms = 0;
  int count = 0;
};

// Fits every saddle in the picture from a guess up to a pixel and a half off.
Errors fit_errors(const ScanScene& scene) {
  const RenderedScan scan = render_scan(scene);
  const SheetLayout& layout = sheet_layout(scene.paper);
  Errors e;
  for (std::size_t i = 0; i < layout.saddles.size(); ++i) {
    const Eigen::Vector2d truth = scan.truth.saddles[i].at_px;
    if (truth.x() < 20 || truth.y() < 20 || truth.x() > scan.image.cols - 20 ||
        truth.y() > scan.image.rows - 20)
      continue;
    SaddleGuess guess;
    guess.at_px = truth + Eigen::Vector2d(1.5 * std::cos(i), 1.5 * std::sin(i));
    guess.angle_1 = scene.page_rotation_deg * M_PI / 180;
    guess.angle_2 = guess.angle_1 + M_PI / 2;
    guess.dark_first = layout.saddles[i].ink_upper_left;
    guess.radius_px = 10;
    const auto fit = fit_saddle(scan.image, guess);
    if (!fit) continue;
    const Eigen::Vector2d error = fit->at_px - truth;
    e.mean += error;
    e.rms += error.squaredNorm() / 2;
    ++e.count;
  }
  e.mean /= e.count;
  e.rms = std::sqrt(e.rms / e.count);
  return e;
}

// OpenCV 4.6's own board corners would show +0.5 px here.
TEST(SaddleFit, PixelZeroIsTheCentreOfTheTopLeftPixel) {
  const Errors e = fit_errors(sheet_alone());
  EXPECT_GE(e.count, 15);
  EXPECT_LT(e.mean.norm(), 0.003);  // px; 8-bit rounding alone leaves about a thousandth
  EXPECT_LT(e.rms, 0.006);
}

TEST(SaddleFit, BlurAndExposureDoNotMoveIt) {
  for (const double blur : {0.4, 1.0, 2.0})
    for (const double exposure : {0.5, 1.0}) {
      ScanScene scene = sheet_alone();
      scene.scanner.blur_px = blur;
      scene.encoding.exposure = exposure;
      EXPECT_LT(fit_errors(scene).mean.norm(), 0.004) << blur << " " << exposure;
    }
}

TEST(SaddleFit, InkSpreadDoesNotMoveIt) {
  for (const double spread : {-0.06, 0.06}) {
    ScanScene scene = sheet_alone();
    scene.ink_spread_mm = spread;
    EXPECT_LT(fit_errors(scene).mean.norm(), 0.01) << spread;
  }
}

TEST(SaddleFit, NoiseCostsWhatTheMetrologyNotesSay) {
  ScanScene scene = sheet_alone();
  scene.scanner.noise_levels = 2;
  // 0.025 px is what corner refinement reaches at 60 px squares (measured once with
  // OpenCV 4.6).
  EXPECT_LT(fit_errors(scene).rms, 0.025);
}

TEST(SaddleFit, RefusesWhatIsNoSaddle) {
  cv::Mat flat(60, 60, CV_8UC1, cv::Scalar(200));
  SaddleGuess guess;
  guess.at_px = {30, 30};
  guess.angle_2 = M_PI / 2;
  EXPECT_FALSE(fit_saddle(flat, guess).has_value());
  flat.colRange(0, 30).setTo(20);  // a plain edge
  EXPECT_FALSE(fit_saddle(flat, guess).has_value());
  guess.at_px = {3, 3};  // the window leaves the picture
  EXPECT_FALSE(fit_saddle(flat, guess).has_value());
}

TEST(SaddleFit, RefusesASaddleOfTheOtherColour) {
  ScanScene scene = sheet_alone();
  const RenderedScan scan = render_scan(scene);
  const SheetLayout& layout = sheet_layout(scene.paper);
  SaddleGuess guess;
  guess.at_px = scan.truth.saddles[7].at_px;
  guess.angle_1 = scene.page_rotation_deg * M_PI / 180;
  guess.angle_2 = guess.angle_1 + M_PI / 2;
  guess.dark_first = !layout.saddles[7].ink_upper_left;
  EXPECT_FALSE(fit_saddle(scan.image, guess).has_value());
}

}  // namespace
}  // namespace tapersight
