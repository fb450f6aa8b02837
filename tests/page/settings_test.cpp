// The command that measures again says every setting, safely quoted.
#include "page/settings.h"

#include <gtest/gtest.h>

#include "report/sample_report.h"

namespace tapersight {
namespace {

using testing::sample_report;

TEST(RepeatCommand, HoldsTheSetUp) {
  MeasurementReport report = sample_report();
  report.wishes.tolerance = parse_tolerance("0.1mm/m").value();
  report.options.bar_x_mm = 150.25;
  EXPECT_EQ(repeat_command(report),
            "tapersight measure bench-07.jpg --bar-x 150.25mm --units mm --turns 4 --fence near "
            "--strip-falls right "
            "--cut-length 500mm --pivot left --pivot-distance 1000mm --tolerance 0.1mm/m --adjust feelers "
            "--feelers "
            "metric-20");
}

TEST(RepeatCommand, HoldsTheScansOwnScaleAndRegion) {
  MeasurementReport report = sample_report();
  report.setup.pivot_distance_mm.reset();
  report.options.without_target = true;
  report.options.fence_end = PictureSide::kLeft;
  report.options.scan_dpi = 600;
  report.options.region_px = cv::Rect(1, 2, 300, 400);
  EXPECT_EQ(repeat_command(report),
            "tapersight measure bench-07.jpg --without-target --fence-end-at left --scan-dpi 600 --region "
            "1,2,300,400 --units mm --turns 4 --fence near --strip-falls right --cut-length 500mm");
}

TEST(RepeatCommand, HoldsTheFurtherPicturesAndHowAllWereRead) {
  MeasurementReport report = sample_report();
  report.setup.pivot_distance_mm.reset();
  report.further = {{"turned.jpg", true}, {"again 2.jpg", false}, {"turned-2.jpg", true}};
  report.reading.page = 3;
  report.reading.limits.most_pixels = 400e6;
  report.reading.limits.most_file_bytes = 600U << 20;
  report.reading.limits.most_memory_bytes = 2048UL << 20;
  report.options.kind = PictureKind::kPhoto;
  report.options.thickness_mm = 19.05;
  EXPECT_EQ(
      repeat_command(report).find(
          "tapersight measure bench-07.jpg 'again 2.jpg' --reversed turned.jpg --reversed turned-2.jpg "
          "--page 3 --max-megapixels 400 --max-file-mb 600 --max-memory-mb 2048 --kind photo --thickness "
          "19.05mm --units"),
      0U)
      << repeat_command(report);
}

TEST(RepeatCommand, QuotesForTheShell) {
  MeasurementReport report = sample_report();
  report.picture.file = "it's $HOME; rm.jpg";
  report.setup.pivot_distance_mm.reset();
  EXPECT_EQ(repeat_command(report).find("tapersight measure 'it'\\''s $HOME; rm.jpg' --units"), 0U);
}

TEST(RepeatCommand, HoldsWhatMovesTheFence) {
  MeasurementReport report = sample_report();
  AdjustMeans& means = report.wishes.means;
  const auto ends_with = [&](const std::string& words) {
    const std::string line = repeat_command(report);
    return line.size() > words.size() && line.substr(line.size() - words.size()) == words;
  };
  means.feelers = FeelerSet{"own", {0.05, 0.1}, {3}};
  EXPECT_TRUE(ends_with("--adjust feelers --feelers 0.05mm,0.1mm --spacers 3mm")) << repeat_command(report);
  means.by = AdjustBy::kScrew;
  means.thread = parse_thread("M6").value();
  EXPECT_TRUE(ends_with("--adjust screw --thread M6")) << repeat_command(report);
  means.by = AdjustBy::kShims;
  means.shims = {{"ticket", 0.24}, {"card", 0.3}};
  EXPECT_TRUE(ends_with("--adjust shims --shims 'ticket = 0.24mm; card = 0.3mm'")) << repeat_command(report);
  means.by = AdjustBy::kIndicator;
  means.indicator = Indicator{0.01, 1};
  EXPECT_TRUE(ends_with("--adjust indicator --indicator 0.01mm/1mm")) << repeat_command(report);
}

}  // namespace
}  // namespace tapersight
