#include "bench/plain_recipe.h"

#include <algorithm>
#include <cmath>
#include <opencv2/aruco.hpp>
#include <opencv2/calib3d.hpp>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "target/sheet_layout.h"

namespace tapersight::testing {
namespace {

const Marker* marker_of(int id, const SheetLayout** layout) {
  for (const SheetLayout* l : all_sheet_layouts())
    for (const Marker& m : l->markers)
      if (m.id == id) {
        *layout = l;
        return &m;
      }
  return nullptr;
}

// sheet_from_picture by the markers' corners.
cv::Mat sheet_homography(const cv::Mat& grey, const SheetLayout** layout) {
  const auto parameters = cv::aruco::DetectorParameters::create();
  parameters->cornerRefinementMethod = cv::aruco::CORNER_REFINE_SUBPIX;
  parameters->minMarkerPerimeterRate = 0.01;
  std::vector<std::vector<cv::Point2f>> corners;
  std::vector<int> ids;
  cv::aruco::detectMarkers(grey, cv::aruco::getPredefinedDictionary(cv::aruco::DICT_5X5_1000), corners, ids,
                           parameters);
  std::vector<cv::Point2f> picture, sheet;
  for (std::size_t i = 0; i < ids.size(); ++i) {
    const Marker* m = marker_of(ids[i], layout);
    if (m == nullptr) continue;
    const double h = m->side_mm / 2;
    const double at[4][2] = {{-h, -h}, {h, -h}, {h, h}, {-h, h}};
    for (std::size_t k = 0; k < 4; ++k) {
      picture.push_back(corners[i][k]);
      sheet.emplace_back(static_cast<float>(m->centre_mm.x() + at[k][0]),
                         static_cast<float>(m->centre_mm.y() + at[k][1]));
    }
  }
  if (picture.size() < 16) return {};
  return cv::findHomography(picture, sheet, cv::RANSAC, 0.5);
}

struct SheetLine {
  double slope, at;  // x = at + slope * y, mm
};

SheetLine fit(const std::vector<cv::Point2f>& points) {
  cv::Vec4f line;
  cv::fitLine(points, line, cv::DIST_L2, 0, 0.01, 0.01);
  const double slope = double{line[0]} / double{line[1]};
  return {slope, double{line[2]} - slope * double{line[3]}};
}

}  // namespace

std::optional<double> plain_recipe_taper(const std::string& path) {
  const cv::Mat grey = cv::imread(path, cv::IMREAD_GRAYSCALE);
  const SheetLayout* layout = nullptr;
  const cv::Mat h = sheet_homography(grey, &layout);
  if (h.empty()) return std::nullopt;
  cv::Mat edges;
  cv::Canny(grey, edges, 50, 150);
  std::vector<cv::Vec4i> found;
  const int least = static_cast<int>(0.12 * std::max(grey.rows, grey.cols));
  cv::HoughLinesP(edges, found, 1, CV_PI / 1800, least / 3, least, 100);
  // The outermost long lines within the channel, 4 mm clear of its sides.
  std::vector<SheetLine> lines;
  for (const cv::Vec4i& l : found) {
    std::vector<cv::Point2f> ends = {{static_cast<float>(l[0]), static_cast<float>(l[1])},
                                     {static_cast<float>(l[2]), static_cast<float>(l[3])}};
    cv::perspectiveTransform(ends, ends, h);
    const auto& c = layout->channel;
    const double low = double{std::min(ends[0].x, ends[1].x)};
    const double high = double{std::max(ends[0].x, ends[1].x)};
    if (low < c.x + 4 || high > c.right() - 4) continue;
    if (std::abs(ends[0].y - ends[1].y) < 30.0F) continue;
    const double slope = double{ends[1].x - ends[0].x} / double{ends[1].y - ends[0].y};
    lines.push_back({slope, double{ends[0].x} - slope * double{ends[0].y}});
  }
  const double middle = layout->page_height_mm / 2;
  const auto place = [&](const SheetLine& l) { return l.at + l.slope * middle; };
  if (lines.size() < 2) return std::nullopt;
  const auto [left, right] =
      std::minmax_element(lines.begin(), lines.end(),
                          [&](const SheetLine& a, const SheetLine& b) { return place(a) < place(b); });
  if (place(*right) - place(*left) < 3.0) return std::nullopt;
  // All edge pixels within 0.3 mm of each, through fitLine.
  std::vector<cv::Point> pixels;
  cv::findNonZero(edges, pixels);
  std::vector<cv::Point2f> points(pixels.begin(), pixels.end());
  cv::perspectiveTransform(points, points, h);
  std::vector<cv::Point2f> near[2];
  for (const cv::Point2f& p : points) {
    if (std::abs(double{p.y} - middle) > 90) continue;
    if (std::abs(double{p.x} - left->at - left->slope * double{p.y}) < 0.3) near[0].push_back(p);
    if (std::abs(double{p.x} - right->at - right->slope * double{p.y}) < 0.3) near[1].push_back(p);
  }
  if (near[0].size() < 100 || near[1].size() < 100) return std::nullopt;
  return fit(near[1]).slope - fit(near[0]).slope;
}

}  // namespace tapersight::testing
