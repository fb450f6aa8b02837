#include "target/thin_out.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace tapersight {
namespace {

// Two thousand squares, each compared with every other, take a tenth of a second. The sheets have 64 to 192
// markers and some tags; pictures of them on wood or cloth hold some hundred shapes more.
constexpr int kManyShapes = 2000;
constexpr std::size_t kMostKept = 800;
constexpr int kManySpecks = 200'000;          // whose outlines take some 50 MB
constexpr int kWindowPx = 23, kConstant = 7;  // of the threshold, as the search for markers has it
constexpr int kMarginPx =
    kWindowPx / 2 + 3;        // about a marker, so that it is told from its surroundings alike
constexpr int kSampled = 16;  // every so many rows and columns are looked at first

cv::Mat dark_parts(const cv::Mat& grey) {
  cv::Mat dark;
  cv::adaptiveThreshold(grey, dark, 255, cv::ADAPTIVE_THRESH_MEAN_C, cv::THRESH_BINARY_INV, kWindowPx,
                        kConstant);
  return dark;
}

// How often dark begins along a row and along a column, on average, multiplied: about the number of shapes.
double shapes_by_sampling(const cv::Mat& dark) {
  double along_rows = 0, along_columns = 0;
  int rows = 0, columns = 0;
  for (int y = 0; y < dark.rows; y += kSampled, ++rows)
    for (int x = 1; x < dark.cols; ++x) along_rows += dark.at<uchar>(y, x) > dark.at<uchar>(y, x - 1);
  for (int y = 1; y < dark.rows; ++y)
    for (int x = 0; x < dark.cols; x += kSampled)
      along_columns += dark.at<uchar>(y, x) > dark.at<uchar>(y - 1, x);
  columns = (dark.cols + kSampled - 1) / kSampled;
  return rows == 0 || columns == 0 ? 0 : along_rows / rows * (along_columns / columns);
}

// Places of the connected parts whose outline may be a marker's; `all` counts the others too.
std::vector<cv::Rect> parts_of_size(const cv::Mat& parts, const OutlineRange& outline, int& all) {
  cv::Mat labels, stats, centres;
  all += cv::connectedComponentsWithStats(parts, labels, stats, centres, 8, CV_32S);
  std::vector<cv::Rect> found;
  for (int i = 1; i < stats.rows; ++i) {
    const cv::Rect place(stats.at<int>(i, cv::CC_STAT_LEFT), stats.at<int>(i, cv::CC_STAT_TOP),
                         stats.at<int>(i, cv::CC_STAT_WIDTH), stats.at<int>(i, cv::CC_STAT_HEIGHT));
    // A square that stands on its corner has an outline of 2 of its box's sides, one that lies of 4.
    const int sides = place.width + place.height;
    if (2 * sides >= outline.least && sides <= outline.most) found.push_back(place);
  }
  return found;
}

// A square seen at any angle, and at most so obliquely as the sheet can be measured.
bool has_marker_shape(const cv::Rect& place) {
  return std::max(place.width, place.height) <= 3 * std::min(place.width, place.height);
}

// Light and dark within: a tile or the cell of a grid is even.
bool is_lively(const cv::Mat& grey, const cv::Rect& place) {
  constexpr double kInner = 0.6, kLeastSpread = 20;  // code values, three times what tells dark from light
  const cv::Size inner(std::max(1, static_cast<int>(place.width * kInner)),
                       std::max(1, static_cast<int>(place.height * kInner)));
  double least = 0, most = 0;
  cv::minMaxLoc(
      grey(cv::Rect({place.x + (place.width - inner.width) / 2, place.y + (place.height - inner.height) / 2},
                    inner)),
      &least, &most);
  return most - least >= kLeastSpread;
}

}  // namespace

cv::Mat thinned_out(const cv::Mat& grey, const OutlineRange& outline) {
  cv::Mat dark = dark_parts(grey);
  if (shapes_by_sampling(dark) <= kManyShapes) return grey;
  int all = 0;
  std::vector<cv::Rect> places = parts_of_size(dark, outline, all);
  cv::bitwise_not(dark, dark);
  const std::size_t light = parts_of_size(dark, outline, all).size();
  if (all <= kManySpecks && places.size() + light <= kManyShapes) return grey;
  dark.release();
  places.erase(std::remove_if(places.begin(), places.end(),
                              [&](const cv::Rect& place) {
                                return !has_marker_shape(place) || !is_lively(grey, place);
                              }),
               places.end());
  std::stable_sort(places.begin(), places.end(),
                   [](const cv::Rect& a, const cv::Rect& b) { return a.area() > b.area(); });
  if (places.size() > kMostKept) places.resize(kMostKept);
  if (places.empty()) return {};
  cv::Mat thinned(grey.size(), CV_8UC1, cv::Scalar(255));
  const cv::Rect whole({0, 0}, grey.size());
  for (const cv::Rect& place : places) {
    const cv::Rect with_margin = cv::Rect(place.x - kMarginPx, place.y - kMarginPx,
                                          place.width + 2 * kMarginPx, place.height + 2 * kMarginPx) &
                                 whole;
    grey(with_margin).copyTo(thinned(with_margin));
  }
  return thinned;
}

}  // namespace tapersight
