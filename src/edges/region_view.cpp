#include "edges/region_view.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "imaging/parallel.h"

namespace tapersight {
namespace {

constexpr int kGrid = 32;  // view pixels between the places where the map is inverted (8 mm)

}  // namespace

RegionView view_region(const cv::Mat& grey, const SheetMap& map, const Eigen::Vector2d& low_mm,
                       const Eigen::Vector2d& high_mm) {
  RegionView view;
  view.origin_mm = low_mm;
  const int width =
      std::max(1, static_cast<int>(std::lround((high_mm.x() - low_mm.x()) * RegionView::kPxPerMm)));
  const int height =
      std::max(1, static_cast<int>(std::lround((high_mm.y() - low_mm.y()) * RegionView::kPxPerMm)));
  view.code = cv::Mat::zeros(height, width, CV_8UC1);
  view.inside = cv::Mat::zeros(height, width, CV_8UC1);

  const int nodes_x = width / kGrid + 2;
  const int nodes_y = height / kGrid + 2;
  std::vector<Eigen::Vector2d> node(static_cast<std::size_t>(nodes_x * nodes_y));
  for (int j = 0; j < nodes_y; ++j)
    for (int i = 0; i < nodes_x; ++i)
      node[static_cast<std::size_t>(j * nodes_x + i)] =
          map.picture_from_sheet(view.sheet_from_view(i * kGrid, j * kGrid));

  // Average over about one view pixel, in steps of about one picture pixel, at most 4 x 4.
  const double px_per_view =
      1 / (map.derivative(map.centre_px()).colwise().norm().mean() * RegionView::kPxPerMm);
  const int taps = std::clamp(static_cast<int>(std::lround(px_per_view)), 1, 4);
  const double step = px_per_view / taps;
  in_parallel(nodes_y - 1, [&](int strip) {
    for (int y = strip * kGrid; y < std::min(height, (strip + 1) * kGrid); ++y)
      for (int x = 0; x < width; ++x) {
        const int i = x / kGrid;
        const int j = y / kGrid;
        const double fx = static_cast<double>(x % kGrid) / kGrid;
        const double fy = static_cast<double>(y % kGrid) / kGrid;
        const Eigen::Vector2d* n = &node[static_cast<std::size_t>(j * nodes_x + i)];
        const Eigen::Vector2d p =
            (1 - fy) * ((1 - fx) * n[0] + fx * n[1]) + fy * ((1 - fx) * n[nodes_x] + fx * n[nodes_x + 1]);
        int sum = 0;
        int count = 0;
        for (int b = 0; b < taps; ++b)
          for (int a = 0; a < taps; ++a) {
            const int u = cvRound(p.x() + (a - (taps - 1) / 2.0) * step);
            const int v = cvRound(p.y() + (b - (taps - 1) / 2.0) * step);
            if (u < 0 || v < 0 || u >= grey.cols || v >= grey.rows) continue;
            sum += grey.at<uchar>(v, u);
            ++count;
          }
        if (count < taps * taps) continue;
        view.code.at<uchar>(y, x) = static_cast<uchar>((sum + count / 2) / count);
        view.inside.at<uchar>(y, x) = 255;
      }
  });
  return view;
}

}  // namespace tapersight
