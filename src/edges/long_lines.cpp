#include "edges/long_lines.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "imaging/parallel.h"

namespace tapersight {
namespace {

constexpr double kPitch = 1 / RegionView::kPxPerMm;
constexpr int kRows = 8;             // view rows that are taken together: 2 mm
constexpr double kSmoothMm = 0.3;    // of the tone, before its slope is taken
constexpr double kLeastSlope = 2.4;  // code values per mm
constexpr double kMostLean = 0.13, kLeanStep = 0.002;
constexpr double kApartMm = 0.8;
constexpr double kMiss = 1.5;  // what a place without the change counts against one with it

// The slope of the tone to the right, code values per mm, averaged over blocks of rows.
cv::Mat block_slopes(const RegionView& view) {
  cv::Mat code, slope, blocks;
  view.code.convertTo(code, CV_32F);
  cv::GaussianBlur(code, code, {}, kSmoothMm / kPitch, 0.1);
  cv::Sobel(code, slope, CV_32F, 1, 0, 1, 0.5 / kPitch);
  cv::Mat outside;
  cv::erode(view.inside, outside, cv::Mat::ones(3, 5, CV_8UC1));
  slope.setTo(0, outside == 0);
  const int count = view.code.rows / kRows;
  blocks.create(count, view.code.cols, CV_32F);
  for (int b = 0; b < count; ++b)
    cv::reduce(slope.rowRange(b * kRows, (b + 1) * kRows), blocks.row(b), 0, cv::REDUCE_AVG);
  return blocks;
}

double noise_of(const cv::Mat& blocks) {
  std::vector<float> all;
  for (int b = 0; b < blocks.rows; ++b)
    for (int x = 0; x < blocks.cols; x += 3) all.push_back(std::abs(blocks.at<float>(b, x)));
  if (all.empty()) return 0;
  const auto middle = all.begin() + static_cast<std::ptrdiff_t>(all.size() / 2);
  std::nth_element(all.begin(), middle, all.end());
  return double{*middle};
}

double block_along_mm(int b) {
  return (b + 0.5) * kRows * kPitch;
}

double slope_at(const cv::Mat& blocks, int b, double across_mm) {
  const double x = across_mm / kPitch - 0.5;
  const int i = static_cast<int>(std::floor(x));
  if (i < 0 || i + 1 >= blocks.cols) return 0;
  const double f = x - i;
  return (1 - f) * double{blocks.at<float>(b, i)} + f * double{blocks.at<float>(b, i + 1)};
}

struct Scored {
  LongLine line;
  double score = 0;
};

void slopes_along(const cv::Mat& blocks, const LongLine& line, std::vector<double>& slopes) {
  slopes.clear();
  for (int b = 0; b < blocks.rows; ++b) slopes.push_back(slope_at(blocks, b, line.place(block_along_mm(b))));
}

// The stretch of the line that shows the change best (the largest sum of hits less misses). `slopes`: those
// along it.
Scored best_stretch(const std::vector<double>& slopes, const LongLine& guess, double sign, double least) {
  Scored best;
  best.line = guess;
  double sum = 0;
  int from = 0, best_from = 0, best_to = -1;
  const int count = static_cast<int>(slopes.size());
  for (int b = 0; b < count; ++b) {
    const double v = sign * slopes[static_cast<std::size_t>(b)];
    if (sum <= 0) {
      sum = 0;
      from = b;
    }
    sum += v > least ? std::min(1.0, 0.5 + 0.25 * v / least) : -kMiss;
    if (sum > best.score) {
      best.score = sum;
      best_from = from;
      best_to = b;
    }
  }
  double total = 0;
  for (int b = best_from; b <= best_to; ++b) total += slopes[static_cast<std::size_t>(b)];
  best.line.from_mm = best_from * kRows * kPitch;
  best.line.to_mm = (best_to + 1) * kRows * kPitch;
  best.line.change = best_to >= best_from ? total / (best_to - best_from + 1) : 0;
  return best;
}

bool same_line(const LongLine& a, const LongLine& b) {
  if (a.change * b.change < 0) return false;
  const double from = std::max(a.from_mm, b.from_mm), to = std::min(a.to_mm, b.to_mm);
  if (to <= from) return false;
  const double d0 = a.place(from) - b.place(from), d1 = a.place(to) - b.place(to);
  return d0 * d1 < 0 || std::min(std::abs(d0), std::abs(d1)) < kApartMm;
}

// Least squares through the places of steepest change near the line.
void refine(const cv::Mat& blocks, Scored& s, double least) {
  const double sign = s.line.change > 0 ? 1 : -1;
  double sw = 0, sx = 0, sy = 0, sxx = 0, sxy = 0;
  for (int b = 0; b < blocks.rows; ++b) {
    const double along = block_along_mm(b);
    if (along < s.line.from_mm || along > s.line.to_mm) continue;
    double most = least, at = 0;
    for (double d = -0.6; d <= 0.6; d += 0.05) {
      const double v = sign * slope_at(blocks, b, s.line.place(along) + d);
      if (v > most) {
        most = v;
        at = s.line.place(along) + d;
      }
    }
    if (!(most > least)) continue;
    sw += 1;
    sx += along;
    sy += at;
    sxx += along * along;
    sxy += along * at;
  }
  const double determinant = sw * sxx - sx * sx;
  if (!(determinant > 0) || sw < 10) return;
  LongLine better = s.line;
  better.lean = (sw * sxy - sx * sy) / determinant;
  better.at_mm = (sy - better.lean * sx) / sw;
  std::vector<double> slopes;
  slopes_along(blocks, better, slopes);
  const Scored again = best_stretch(slopes, better, sign, least);
  if (again.score >= 0.9 * s.score) s = again;
}

}  // namespace

std::vector<LongLine> find_long_lines(const RegionView& view, double least_length_mm) {
  const cv::Mat blocks = block_slopes(view);
  const double least = std::max(kLeastSlope, 2.0 * noise_of(blocks));
  const double middle = view.code.rows * kPitch / 2;
  const double least_score = 0.7 * least_length_mm / (kRows * kPitch);
  std::vector<double> leans;
  for (double lean = -kMostLean; lean <= kMostLean; lean += kLeanStep) leans.push_back(lean);
  std::vector<std::vector<Scored>> by_lean(leans.size());
  in_parallel(static_cast<int>(leans.size()), [&](int i) {
    const double lean = leans[static_cast<std::size_t>(i)];
    std::vector<double> slopes;
    for (int x = 0; x < view.code.cols; ++x) {
      LongLine guess;
      guess.lean = lean;
      guess.at_mm = (x + 0.5) * kPitch - lean * middle;
      slopes_along(blocks, guess, slopes);
      for (const double sign : {-1.0, 1.0}) {
        const Scored s = best_stretch(slopes, guess, sign, least);
        if (s.score >= least_score) by_lean[static_cast<std::size_t>(i)].push_back(s);
      }
    }
  });
  std::vector<Scored> all;
  for (const std::vector<Scored>& some : by_lean) all.insert(all.end(), some.begin(), some.end());
  std::stable_sort(all.begin(), all.end(), [](const Scored& a, const Scored& b) {
    return a.score * std::sqrt(std::abs(a.line.change)) > b.score * std::sqrt(std::abs(b.line.change));
  });
  std::vector<Scored> kept;
  for (const Scored& s : all)
    if (std::none_of(kept.begin(), kept.end(), [&](const Scored& k) { return same_line(k.line, s.line); }))
      kept.push_back(s);
  std::vector<LongLine> lines;
  for (Scored& s : kept) {
    refine(blocks, s, least);
    lines.push_back(s.line);
  }
  std::sort(lines.begin(), lines.end(),
            [&](const LongLine& a, const LongLine& b) { return a.place(middle) < b.place(middle); });
  return lines;
}

}  // namespace tapersight
