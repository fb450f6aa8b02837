#include "target/thin_out.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>
#include <tuple>
#include <vector>

#include "target/connected_parts.h"

namespace tapersight {
namespace {

// Two thousand squares, each compared with every other, take a tenth of a second. The sheets have 64 to 192
// markers and some tags; pictures of them on wood or cloth hold some hundred shapes more.
constexpr int kManyShapes = 2000;
constexpr std::size_t kMostKept = 800;
constexpr int kManySpecks = 200'000;          // whose outlines take some 50 MB
constexpr double kLongBorder = 6e6;           // outlines of noise that hangs together: some 100 MB
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

// What a few rows and columns tell of the dark parts.
struct Sampled {
  double shapes = 0;  // how often dark begins along a row and along a column, on average, multiplied
  double border = 0;  // px, of all outlines together
};

Sampled by_sampling(const cv::Mat& dark) {
  double along_rows = 0, along_columns = 0;
  int rows = 0, columns = 0;
  for (int y = 0; y < dark.rows; y += kSampled, ++rows)
    for (int x = 1; x < dark.cols; ++x) along_rows += dark.at<uchar>(y, x) > dark.at<uchar>(y, x - 1);
  for (int y = 1; y < dark.rows; ++y)
    for (int x = 0; x < dark.cols; x += kSampled)
      along_columns += dark.at<uchar>(y, x) > dark.at<uchar>(y - 1, x);
  columns = (dark.cols + kSampled - 1) / kSampled;
  if (rows == 0 || columns == 0) return {};
  // Each beginning has its end.
  return {along_rows / rows * (along_columns / columns),
          2 * (along_rows / rows * dark.rows + along_columns / columns * dark.cols)};
}

// Places of the connected parts whose outline may be a marker's, from the top; `all` counts the others too.
std::vector<cv::Rect> parts_of_size(const cv::Mat& picture, bool set, const OutlineRange& outline, int& all) {
  std::vector<cv::Rect> found;
  each_part(picture, set, [&](const cv::Rect& place) {
    ++all;
    // A square that stands on its corner has an outline of 2 of its box's sides, one that lies of 4.
    const int sides = place.width + place.height;
    if (2 * sides >= outline.least && sides <= outline.most) found.push_back(place);
  });
  std::sort(found.begin(), found.end(), [](const cv::Rect& p, const cv::Rect& q) {
    return std::tie(p.y, p.x, p.height, p.width) < std::tie(q.y, q.x, q.height, q.width);
  });
  return found;
}

// A square seen at any angle, and at most so obliquely as the sheet can be measured.
bool has_marker_shape(const cv::Rect& place) {
  return std::max(place.width, place.height) <= 3 * std::min(place.width, place.height);
}

// How often a line goes from dark to light or back, by more than half of the spread.
int changes(const uchar* code, int count, std::size_t step, double dark, double light) {
  int seen = 0, now = 0;  // -1 dark, 1 light
  for (int i = 0; i < count; ++i, code += step) {
    const int there = *code <= dark ? -1 : *code >= light ? 1 : now;
    seen += there != now && now != 0;
    now = there;
  }
  return seen;
}

// Light and dark within, and each in pieces as large as a code's: a tile or the cell of a grid is even;
// sawdust, cloth and noise change more often than the seven modules of a marker can.
bool is_lively(const cv::Mat& grey, const cv::Rect& place) {
  constexpr double kInner = 0.6, kLeastSpread = 20;  // code values, three times what tells dark from light
  constexpr int kLines = 7, kMostChanges = 12;       // on average a line; a marker has up to seven
  const cv::Size inner(std::max(1, static_cast<int>(place.width * kInner)),
                       std::max(1, static_cast<int>(place.height * kInner)));
  const cv::Mat within = grey(cv::Rect(
      {place.x + (place.width - inner.width) / 2, place.y + (place.height - inner.height) / 2}, inner));
  double least = 0, most = 0;
  cv::minMaxLoc(within, &least, &most);
  if (most - least < kLeastSpread) return false;
  const double dark = least + (most - least) / 4, light = most - (most - least) / 4;
  int all = 0;
  for (int i = 0; i < kLines; ++i) {
    const int y = (2 * i + 1) * within.rows / (2 * kLines), x = (2 * i + 1) * within.cols / (2 * kLines);
    all += changes(within.ptr(y), within.cols, 1, dark, light);
    all += changes(within.ptr(0) + x, within.rows, within.step, dark, light);
  }
  return all <= 2 * kLines * kMostChanges;
}

}  // namespace

cv::Mat thinned_out(const cv::Mat& grey, const OutlineRange& outline) {
  cv::Mat dark = dark_parts(grey);
  const Sampled sampled = by_sampling(dark);
  if (sampled.shapes <= kManyShapes) return grey;
  int all = 0;
  std::vector<cv::Rect> places = parts_of_size(dark, true, outline, all);
  const std::size_t light = parts_of_size(dark, false, outline, all).size();
  if (all <= kManySpecks && sampled.border <= kLongBorder && places.size() + light <= kManyShapes)
    return grey;
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
