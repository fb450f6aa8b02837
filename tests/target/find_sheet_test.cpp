// The sheet is found whatever its rotation, and every saddle is the right one.
#include "target/find_sheet.h"

#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/imgproc.hpp>

#include "synth/render_photo.h"
#include "synth/render_scan.h"

namespace tapersight {
namespace {

ScanScene scene_of(Paper paper, double rotation_deg) {
  ScanScene scene;
  scene.paper = paper;
  scene.page_rotation_deg = rotation_deg;
  scene.window_sheet_mm = fiducial_bounds(sheet_layout(paper));
  scene.scanner.noise_levels = 1.5;
  return scene;
}

// Largest distance between found and true saddles, px.
double worst_error(const FoundSheet& found, const ScanTruth& truth) {
  double worst = 0;
  for (const Correspondence& c : found.saddles)
    worst = std::max(worst, (truth.pixel_from_sheet(c.sheet_mm) - c.picture_px).norm());
  return worst;
}

TEST(FindSheet, AnyRotationBothPapers) {
  for (const Paper paper : {Paper::kA4, Paper::kLetter})
    for (const double rotation : {0.0, 3.0, 90.0, 177.5, 271.0}) {
      const RenderedScan scan = render_scan(scene_of(paper, rotation));
      const auto found = find_sheet(scan.image);
      ASSERT_TRUE(found.ok()) << rotation << ": " << found.failure().text;
      EXPECT_EQ(found->layout, &sheet_layout(paper));
      EXPECT_EQ(found->saddles.size(), sheet_layout(paper).saddles.size()) << rotation;
      EXPECT_LT(worst_error(*found, scan.truth), 0.15) << rotation;  // px; five times the usual scatter
    }
}

TEST(FindSheet, PartlyCoveredStillFindsTheRestAndNothingFalse) {
  ScanScene scene = scene_of(Paper::kA4, 1);
  scene.patches = random_patches(sheet_layout(Paper::kA4), 0.3, 7);
  const RenderedScan scan = render_scan(scene);
  const auto found = find_sheet(scan.image);
  ASSERT_TRUE(found.ok());
  EXPECT_GT(found->saddles.size(), 90u);
  EXPECT_LT(found->saddles.size(), 192u);
  int false_ones = 0;
  for (const Correspondence& c : found->saddles)
    false_ones += (scan.truth.pixel_from_sheet(c.sheet_mm) - c.picture_px).norm() > 0.3;
  EXPECT_LE(false_ones, 3);  // half-covered ones; fit_plane drops them
}

// From afar, from the side, through a lens that bends: the far side has half the near side's scale, and where
// its codes cannot be read its saddles are found from their neighbours.
TEST(FindSheet, InAnObliquePhotoFromAfarNoSaddleIsMissed) {
  for (const double roll_deg : {312.0, 56.0, 2.0, 130.0}) {
    PhotoScene scene;
    scene.strips.clear();
    scene.camera.distance_mm = 640;
    scene.camera.tilt_deg = 18;
    scene.camera.tilt_towards_deg = roll_deg / 2;
    scene.camera.roll_deg = roll_deg;
    scene.camera.k1 = -0.05;
    scene.camera.look_at_mm = {25, -24};
    scene.phone.blur_px = 1;
    scene.phone.noise_levels = 2;
    scene.encoding.jpeg_quality = 72;
    const PhotoTruth truth = make_photo_truth(scene);
    const RenderedPhoto photo = render_photo(scene);
    const auto found = find_sheet(photo.image);
    ASSERT_TRUE(found.ok()) << roll_deg << ": " << found.failure().text;
    EXPECT_EQ(found->saddles.size(), truth.saddles.size()) << roll_deg;
    double squares = 0;
    for (const Correspondence& c : found->saddles)
      for (std::size_t k = 0; k < truth.saddles.size(); ++k)
        if (found->layout->saddles[k].at_mm == c.sheet_mm)
          squares += (truth.saddles[k].at_px - c.picture_px).squaredNorm();
    EXPECT_LT(std::sqrt(squares / static_cast<double>(found->saddles.size())), 0.15) << roll_deg;  // px
  }
}

// A third of the frame: 4 px/mm of 12 megapixels, and as large a part of 48.
TEST(FindSheet, ASheetThatFillsLittleOfThePhotoIsFound) {
  PhotoScene scene = random_photo_scene(166, SceneProfile::kSmooth);
  scene.strips.clear();
  scene.encoding.colour = false;
  const RenderedPhoto photo = render_photo(scene);
  for (const int enlarged : {1, 2}) {
    cv::Mat picture;
    cv::resize(photo.image, picture, {}, enlarged, enlarged, cv::INTER_CUBIC);
    const auto found = find_sheet(picture);
    ASSERT_TRUE(found.ok()) << enlarged << ": " << found.failure().text;
    EXPECT_LT(found->px_per_mm, 4.5 * enlarged);
    EXPECT_EQ(static_cast<int>(found->saddles.size()), found->saddles_printed) << enlarged;
  }
}

// Made smaller or larger for its codes, such a picture has no pixel left in one direction.
TEST(FindSheet, PicturesOfOneLineAreRefusedLikeOthers) {
  for (const cv::Size size :
       {cv::Size(1, 1), cv::Size(400, 1), cv::Size(5000, 1), cv::Size(1, 5000), cv::Size(3, 8000)}) {
    cv::Mat grey(size, CV_8UC1);
    for (int y = 0; y < grey.rows; ++y)
      for (int x = 0; x < grey.cols; ++x) grey.at<uchar>(y, x) = (x + y) / 9 % 2 == 0 ? 20 : 230;
    const auto found = find_sheet(grey);
    ASSERT_FALSE(found.ok()) << size;
    EXPECT_FALSE(found.failure().remedy.empty()) << size;
  }
}

TEST(FindSheet, TellsAMirroredPicture) {
  const RenderedScan scan = render_scan(scene_of(Paper::kA4, 0));
  cv::Mat mirrored;
  cv::flip(scan.image, mirrored, 1);
  const auto found = find_sheet(mirrored);
  ASSERT_FALSE(found.ok());
  EXPECT_EQ(found.failure().code, "target-mirrored");
}

TEST(FindSheet, AsksItsDeadline) {
  const cv::Mat grey(1600, 1200, CV_8UC1, cv::Scalar(200));
  EXPECT_EQ(find_sheet(grey, Deadline::in(0)).failure().code, "took-too-long");
  EXPECT_NE(find_sheet(grey, Deadline::never()).failure().code, "took-too-long");
}

}  // namespace
}  // namespace tapersight
