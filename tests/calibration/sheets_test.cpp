// The sheets that people print: every point of the layout stands where the layout says, in PNG, PDF and SVG,
// and the committed files are the present layout's. Compared by what is drawn, not byte for byte: the words'
// outlines differ with the fonts installed.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <opencv2/aruco.hpp>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>

#include "base/files.h"
#include "base/text.h"
#include "formats/read_picture.h"
#include "print/draw_sheet.h"
#include "print/draw_tags.h"
#include "support/run_program.h"
#include "support/temp_dir.h"
#include "target/find_sheet.h"

namespace tapersight {
namespace {

using testing::run_program;

std::string committed(const SheetLayout& layout, const std::string& ending) {
  return std::string(CALIBRATION_DIR) + "/sheet-" + layout.id + "." + ending;
}

class Sheets : public ::testing::TestWithParam<const SheetLayout*> {
 protected:
  const SheetLayout& layout() const { return *GetParam(); }

  // Every saddle of the layout is found in a picture of the whole page, within `tolerance_mm` of its place.
  void expect_layout_in(const cv::Mat& page, double dpi, double tolerance_mm) {
    const double px_per_mm = dpi / 25.4;
    // Whole pixels; pdftoppm rounds up.
    ASSERT_NEAR(page.cols, layout().page_width_mm * px_per_mm, 1);
    ASSERT_NEAR(page.rows, layout().page_height_mm * px_per_mm, 1);
    cv::Mat soft;  // a scanner's optics: a perfectly sharp picture is not what saddles are fitted in
    cv::GaussianBlur(page, soft, {0, 0}, 0.8);
    const auto found = find_sheet(soft);
    ASSERT_TRUE(found.ok()) << found.failure().code;
    EXPECT_EQ(found->layout->id, layout().id);
    ASSERT_EQ(found->saddles.size(), layout().saddles.size());
    Eigen::MatrixX2d drawn(found->saddles.size(), 2);
    Eigen::MatrixX2d meant(found->saddles.size(), 2);
    for (std::size_t i = 0; i < found->saddles.size(); ++i) {
      drawn.row(i) = (found->saddles[i].picture_px + Eigen::Vector2d(0.5, 0.5)) / px_per_mm;
      meant.row(i) = found->saddles[i].sheet_mm;
    }
    EXPECT_LT((drawn - meant).rowwise().norm().maxCoeff(), tolerance_mm);
    // The scale of both directions, from all saddles: right to 0.01 mm over the chessboards' 248 mm.
    for (int axis = 0; axis < 2; ++axis) {
      const Eigen::VectorXd x = meant.col(axis).array() - meant.col(axis).mean();
      EXPECT_NEAR(x.dot(drawn.col(axis)) / x.squaredNorm(), 1, 0.01 / 248);
    }
  }
};

std::string name_of(const ::testing::TestParamInfo<const SheetLayout*>& info) {
  std::string name = info.param->id;
  std::replace(name.begin(), name.end(), '-', '_');
  return name;
}

TEST_P(Sheets, PngShowsEverySaddleInItsPlaceAndItsResolution) {
  const auto bytes = draw_sheet(layout(), SheetFormat::kPng, 300);
  ASSERT_TRUE(bytes.ok());
  const std::vector<unsigned char> raw(bytes->begin(), bytes->end());
  // A hundredth of a millimetre is an eighth of a pixel at 300 dpi: the page's size is whole pixels.
  expect_layout_in(cv::imdecode(raw, cv::IMREAD_GRAYSCALE), 300, 0.01);
  const auto picture = read_picture(*bytes);
  ASSERT_TRUE(picture.ok() && picture->dpi);
  EXPECT_NEAR(picture->dpi->u, 300, 0.02);  // pHYs counts whole pixels per metre
  EXPECT_NEAR(picture->dpi->v, 300, 0.02);
}

TEST_P(Sheets, CommittedPdfShowsEverySaddleInItsPlace) {
  const TempDir dir;
  const auto run = run_program(
      PDFTOPPM, {"-r", "600", "-gray", "-singlefile", committed(layout(), "pdf"), dir.file("page")});
  ASSERT_EQ(run.status, 0) << run.err;
  // Poppler divides a pixel in four: 0.011 mm at 600 dpi.
  expect_layout_in(cv::imread(dir.file("page.pgm"), cv::IMREAD_GRAYSCALE), 600, 0.0125);
}

// The numbers of one path's outline, in drawing units.
std::vector<Eigen::Vector2d> path_points(const std::string& path) {
  std::vector<double> numbers;
  std::size_t at = 0;
  while (at < path.size()) {
    const std::size_t end = std::min(path.find(' ', at), path.size());
    if (const auto number = parse_number(path.substr(at, end - at))) numbers.push_back(*number);
    at = end + 1;
  }
  std::vector<Eigen::Vector2d> points;
  for (std::size_t i = 0; i + 1 < numbers.size(); i += 2) points.emplace_back(numbers[i], numbers[i + 1]);
  return points;
}

// The fiducials are one path, by far the longest of the drawing.
std::string longest_path(const std::string& svg) {
  std::string longest;
  for (std::size_t at = svg.find(" d=\""); at != std::string::npos; at = svg.find(" d=\"", at)) {
    at += 4;
    const std::size_t end = svg.find('"', at);
    if (end - at > longest.size()) longest = svg.substr(at, end - at);
  }
  return longest;
}

TEST_P(Sheets, CommittedSvgIsToScaleAndHoldsTheLayoutsCorners) {
  const auto svg = read_file(committed(layout(), "svg"));
  ASSERT_TRUE(svg.ok());
  const auto plain = [](double mm) { return fixed(mm, std::abs(mm - std::round(mm)) < 1e-9 ? 0 : 1); };
  const std::string width = plain(layout().page_width_mm);
  const std::string height = plain(layout().page_height_mm);
  // One drawing unit is one millimetre.
  const std::string head = svg->substr(0, 1000);
  EXPECT_THAT(head, ::testing::HasSubstr("width=\"" + width + "mm\" height=\"" + height +
                                         "mm\" viewBox=\"0 0 " + width + " " + height + "\""));
  const std::vector<Eigen::Vector2d> corners = path_points(longest_path(*svg));
  for (const Saddle& saddle : layout().saddles) {
    // Two black squares meet at a saddle. SVG numbers have six decimals; Cairo's own grid is 1/256.
    const auto touching = std::count_if(corners.begin(), corners.end(), [&](const Eigen::Vector2d& p) {
      return (p - saddle.at_mm).norm() < 0.01;
    });
    EXPECT_GE(touching, 2) << saddle.at_mm.transpose();
  }
}

TEST_P(Sheets, CommittedSvgHasThePresentLayoutsFiducials) {
  const auto svg = read_file(committed(layout(), "svg"));
  const auto fresh = draw_sheet(layout(), SheetFormat::kSvg, 0);
  ASSERT_TRUE(svg.ok() && fresh.ok());
  EXPECT_GT(longest_path(*fresh).size(), 10'000U);
  EXPECT_TRUE(longest_path(*svg) == longest_path(*fresh)) << "make the sheet anew: calibration/README.md";
}

TEST_P(Sheets, CheckBarsAreDrawnAsLongAsTheirLabelsSay) {
  // 6 in and 8 in: common rule lengths.
  EXPECT_NEAR(layout().bar_x.length_mm(), 152.4, 1e-9);
  EXPECT_NEAR(layout().bar_y.length_mm(), 203.2, 1e-9);
  const auto bytes = draw_sheet(layout(), SheetFormat::kPng, 600);
  ASSERT_TRUE(bytes.ok());
  const std::vector<unsigned char> raw(bytes->begin(), bytes->end());
  const cv::Mat page = cv::imdecode(raw, cv::IMREAD_GRAYSCALE);
  const double px_per_mm = 600 / 25.4;
  // The dark middle of each end tick, looked for across it, beside the bar and away from its label.
  const auto tick_mm = [&](const Eigen::Vector2d& end, const Eigen::Vector2d& along,
                           const Eigen::Vector2d& across) {
    double sum = 0, weight = 0;
    for (double d = -0.6; d <= 0.6; d += 0.01) {
      const Eigen::Vector2d p = (end + along * d + across * 0.7) * px_per_mm;
      const double ink = 255 - page.at<unsigned char>(static_cast<int>(p.y()), static_cast<int>(p.x()));
      sum += ink * d;
      weight += ink;
    }
    return weight > 0 ? sum / weight : 1e9;
  };
  for (const CheckBar& bar : {layout().bar_x, layout().bar_y}) {
    const Eigen::Vector2d along = (bar.to_mm - bar.from_mm).normalized();
    const Eigen::Vector2d across(-along.y(), along.x());
    // Under a pixel at 600 dpi (0.042 mm); 1e9 where there is no ink at all.
    EXPECT_NEAR(tick_mm(bar.from_mm, along, across), 0, 0.03);
    EXPECT_NEAR(tick_mm(bar.to_mm, along, across), 0, 0.03);
  }
}

// The sheet with the dark channel: the same fiducials in the same places, the channel black up to its border.
class OneStripSheets : public Sheets {};  // the wide one's channel is cut out

TEST_P(OneStripSheets, DarkChannelIsBlackAndChangesNothingElse) {
  const auto bytes = draw_sheet(layout(), SheetFormat::kPng, 300, ChannelGround::kDark);
  ASSERT_TRUE(bytes.ok());
  const std::vector<unsigned char> raw(bytes->begin(), bytes->end());
  const cv::Mat page = cv::imdecode(raw, cv::IMREAD_GRAYSCALE);
  expect_layout_in(page, 300, 0.01);
  const double px_per_mm = 300 / 25.4;
  const RectMm& c = layout().channel;
  const cv::Rect inner(static_cast<int>(std::ceil(c.x * px_per_mm)),
                       static_cast<int>(std::ceil(c.y * px_per_mm)),
                       static_cast<int>(c.width * px_per_mm) - 1, static_cast<int>(c.height * px_per_mm) - 1);
  EXPECT_EQ(cv::countNonZero(page(inner)), 0);
  const double before = (c.x - 0.5) * px_per_mm;  // beside it the paper is white
  EXPECT_EQ(page.at<unsigned char>(static_cast<int>((c.y + 100) * px_per_mm), static_cast<int>(before)), 255);
}

TEST_P(OneStripSheets, CommittedDarkSheetShowsEverySaddleInItsPlace) {
  const TempDir dir;
  const auto run = run_program(
      PDFTOPPM, {"-r", "600", "-gray", "-singlefile",
                 std::string(CALIBRATION_DIR) + "/sheet-" + layout().id + "-dark.pdf", dir.file("page")});
  ASSERT_EQ(run.status, 0) << run.err;
  expect_layout_in(cv::imread(dir.file("page.pgm"), cv::IMREAD_GRAYSCALE), 600, 0.0125);
}

// SVG: tests/cli compares the files of two runs, because Cairo numbers the drawings of one run.
TEST_P(Sheets, SameSheetIsTheSameFile) {
  for (const SheetFormat format : {SheetFormat::kPdf, SheetFormat::kPng}) {
    const auto first = draw_sheet(layout(), format, 150);
    const auto second = draw_sheet(layout(), format, 150);
    ASSERT_TRUE(first.ok() && second.ok());
    EXPECT_TRUE(*first == *second);
  }
}

// Every tag of the committed pages is read, under its own number, where the drawing has it.
TEST(Tags, CommittedPagesHoldEveryNumberOnce) {
  for (const char* paper : {"a4", "letter"}) {
    const TempDir dir;
    const auto run =
        run_program(PDFTOPPM, {"-r", "300", "-gray", "-singlefile",
                               std::string(CALIBRATION_DIR) + "/tags-" + paper + ".pdf", dir.file("page")});
    ASSERT_EQ(run.status, 0) << run.err;
    const cv::Mat page = cv::imread(dir.file("page.pgm"), cv::IMREAD_GRAYSCALE);
    std::vector<std::vector<cv::Point2f>> corners;
    std::vector<int> ids;
    cv::aruco::detectMarkers(page, cv::aruco::getPredefinedDictionary(cv::aruco::DICT_5X5_1000), corners,
                             ids);
    std::sort(ids.begin(), ids.end());
    ASSERT_EQ(ids.size(), 48U);
    for (int bench = 1; bench <= 48; ++bench)
      EXPECT_EQ(ids[static_cast<std::size_t>(bench - 1)], tag_marker(bench));
    for (const auto& c : corners) EXPECT_NEAR(cv::norm(c[1] - c[0]), kTagMarkerMm * 300 / 25.4, 1.5);
  }
}

TEST(Tags, RangesThatThereAreNotAreRefused) {
  for (const auto& [from, to] : {std::pair(0, 4), std::pair(7, 3), std::pair(1, 600)})
    EXPECT_EQ(draw_tags(from, to, Paper::kA4, true).failure().code, "bad-bench-range");
  const int most = tags_per_page(Paper::kA4);
  EXPECT_TRUE(draw_tags(1, most, Paper::kA4, false).ok());
  EXPECT_EQ(draw_tags(1, most + 1, Paper::kA4, false).failure().code, "too-many-tags");
  EXPECT_TRUE(draw_tags(1, kMostBench, Paper::kLetter, true).ok());
}

INSTANTIATE_TEST_SUITE_P(Papers, OneStripSheets,
                         ::testing::Values(&sheet_layout(Paper::kA4), &sheet_layout(Paper::kLetter)),
                         name_of);
INSTANTIATE_TEST_SUITE_P(Papers, Sheets, ::testing::ValuesIn(all_sheet_layouts()), name_of);

}  // namespace
}  // namespace tapersight
