#include "target/sheet_sharpening.h"

#include <Eigen/Core>
#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "imaging/blurred_step.h"
#include "imaging/picture.h"
#include "imaging/saddle_fit.h"
#include "numeric/dense.h"
#include "numeric/descriptive.h"

namespace tapersight {
namespace {

constexpr double kReachPx = 9;        // to both sides of a border
constexpr double kClearMm = 0.85;     // so far from a border nothing else is printed: the markers' rims
constexpr int kPerPx = 4;             // bins
constexpr double kPartOfSide = 0.25;  // at each end of a border, where another one meets it
constexpr std::size_t kLeastBorders = 12;
constexpr double kPlacePx = 0.15;  // how exactly a ragged border is put on its half-way place
constexpr double kNoiseCode = 0.5;

// One border between two printed squares, in the picture.
struct Border {
  Eigen::Vector2d from, along, to_paper;  // px; the last two of length 1
  double length_px = 0;
};

std::optional<Border> border_between(const Correspondence& a, const Correspondence& b,
                                     const SheetLayout& layout) {
  const Eigen::Vector2d on_sheet = b.sheet_mm - a.sheet_mm;
  if (std::abs(on_sheet.norm() - layout.square_mm) > 0.1 * layout.square_mm) return std::nullopt;
  Border border;
  border.from = a.picture_px;
  border.length_px = (b.picture_px - a.picture_px).norm();
  border.along = (b.picture_px - a.picture_px) / border.length_px;
  border.to_paper = {-border.along.y(), border.along.x()};
  const Eigen::Vector2d left(-on_sheet.y(), on_sheet.x());
  const Eigen::Vector2d middle = (a.sheet_mm + b.sheet_mm) / 2;
  if (layout.fiducial_ink_at(middle + 0.05 * left)) border.to_paper = -border.to_paper;
  return border;
}

// Calls see(distance towards the paper, code) for each pixel beside the border's middle part.
template <typename See>
void look_across(const cv::Mat& grey, const Border& b, See&& see) {
  const double from = kPartOfSide * b.length_px, to = (1 - kPartOfSide) * b.length_px;
  const Eigen::Vector2d ends[] = {b.from + from * b.along, b.from + to * b.along};
  const Eigen::Vector2d reach = kReachPx * b.to_paper.cwiseAbs();
  const Eigen::Vector2d low = ends[0].cwiseMin(ends[1]) - reach, high = ends[0].cwiseMax(ends[1]) + reach;
  for (int v = std::max(0, cvCeil(low.y())); v <= std::min(grey.rows - 1, cvFloor(high.y())); ++v)
    for (int u = std::max(0, cvCeil(low.x())); u <= std::min(grey.cols - 1, cvFloor(high.x())); ++u) {
      const Eigen::Vector2d p = Eigen::Vector2d(u, v) - b.from;
      const double t = p.dot(b.along), d = p.dot(b.to_paper);
      if (t >= from && t <= to && std::abs(d) <= kReachPx) see(d, grey.at<uchar>(v, u));
    }
}

// Where the mean profile of one border crosses half way from ink to paper.
std::optional<double> half_way(const cv::Mat& grey, const Border& border) {
  constexpr int kBins = 2 * static_cast<int>(kReachPx) + 1;
  std::array<double, kBins> sum{}, number{};
  look_across(grey, border, [&](double d, int code) {
    const auto bin = static_cast<std::size_t>(std::lround(d + kReachPx));
    sum[bin] += code;
    number[bin] += 1;
  });
  for (std::size_t i = 1; i + 1 < kBins; ++i) {  // the outermost lie half outside
    if (number[i] == 0) return std::nullopt;
    sum[i] /= number[i];
  }
  const double half = (sum[1] + sum[2] + sum[kBins - 2] + sum[kBins - 3]) / 4;
  for (std::size_t i = kBins / 2 - 3; i < kBins / 2 + 3; ++i)
    if (sum[i] < half && sum[i + 1] >= half)
      return static_cast<double>(i) + (half - sum[i]) / (sum[i + 1] - sum[i]) - kReachPx;
  return std::nullopt;
}

bool is_clipped(int code) {
  return code <= 1 || code >= 254;
}

// sRGB's code value (IEC 61966-2-1), 0..255, of a relative light.
double code_of(double light) {
  const double clamped = std::clamp(light, 0.0, 1.0);
  return 255 * (clamped <= 0.0031308 ? 12.92 * clamped : 1.055 * std::pow(clamped, 1 / 2.4) - 0.055);
}

// A Gaussian's mean of evenly spaced values; beyond the ends they go on as they end.
std::vector<double> smoothed(const std::vector<double>& values, double sigma_bins) {
  const int reach = static_cast<int>(std::ceil(4 * sigma_bins));
  std::vector<double> kernel;
  double sum = 0;
  for (int k = -reach; k <= reach; ++k) {
    kernel.push_back(std::exp(-0.5 * k * k / (sigma_bins * sigma_bins)));
    sum += kernel.back();
  }
  const int n = static_cast<int>(values.size());
  std::vector<double> result(values.size(), 0.0);
  for (int i = 0; i < n; ++i)
    for (int k = -reach; k <= reach; ++k)
      result[static_cast<std::size_t>(i)] += kernel[static_cast<std::size_t>(k + reach)] / sum *
                                             values[static_cast<std::size_t>(std::clamp(i + k, 0, n - 1))];
  return result;
}

struct Trial {
  double square = HUGE_VAL;  // weighted sum of squares that is left
  double amount = 0;
};

// What a profile is put together from, at its own places, code values.
struct Terms {
  std::vector<double> step;   // the encoded step at the profile's places
  std::vector<double> tail;   // encoded with an added wide tail, less the step
  std::vector<double> added;  // the step less the step smoothed; empty: no sharpening
};

// Weighted least squares of the profile by a level, the terms and the step's place.
Trial fit(const SheetProfile& p, const Terms& terms) {
  const std::size_t n = p.code.size();
  const auto cols = static_cast<Eigen::Index>(terms.added.empty() ? 4 : 5);
  Eigen::MatrixXd design(static_cast<Eigen::Index>(n), cols);
  Eigen::VectorXd code(static_cast<Eigen::Index>(n));
  for (std::size_t i = 0; i < n; ++i) {
    const auto row = static_cast<Eigen::Index>(i);
    const double root = std::sqrt(p.weight[i]);
    const std::size_t before = i == 0 ? 0 : i - 1, after = std::min(i + 1, n - 1);
    design(row, 0) = root;
    design(row, 1) = root * terms.step[i];
    design(row, 2) = root * (terms.step[after] - terms.step[before]);
    design(row, 3) = root * terms.tail[i];
    if (cols > 4) design(row, 4) = root * terms.added[i];
    code[row] = root * p.code[i];
  }
  const Eigen::VectorXd x = PivotedQr(design).solve(code);
  Trial trial;
  trial.square = (code - design * x).squaredNorm();
  if (cols > 4) trial.amount = x[4] / x[1];
  return trial;
}

}  // namespace

SheetProfile sheet_profile(const cv::Mat& grey, const std::vector<Correspondence>& saddles,
                           const SheetLayout& layout) {
  std::vector<Border> borders;
  for (const Correspondence& a : saddles)
    for (const Correspondence& b : saddles) {
      const bool beside = a.row == b.row && b.column == a.column + 1;
      const bool below = a.column == b.column && b.row == a.row + 1;
      if (a.block != b.block || !(beside || below)) continue;
      const auto border = border_between(a, b, layout);
      if (border && kClearMm * border->length_px > kReachPx * layout.square_mm) borders.push_back(*border);
    }
  constexpr std::size_t kBins = 2 * static_cast<std::size_t>(kReachPx) * kPerPx + 1;
  SheetProfile profile;
  std::vector<double> clipped(kBins, 0.0);
  profile.first_px = -kReachPx;
  profile.step_px = 1.0 / kPerPx;
  profile.code.assign(kBins, 0.0);
  profile.weight.assign(kBins, 0.0);
  std::size_t seen = 0;
  for (const Border& border : borders) {
    const auto place = half_way(grey, border);
    if (!place) continue;
    ++seen;
    look_across(grey, border, [&](double d, int code) {
      const double at = (d - *place + kReachPx) * kPerPx;
      if (at < 0 || at > kBins - 1) return;
      const auto bin = static_cast<std::size_t>(std::lround(at));
      profile.code[bin] += code;
      profile.weight[bin] += 1;
      clipped[bin] += is_clipped(code) ? 1 : 0;
    });
  }
  if (seen < kLeastBorders) return {};
  constexpr double kMostClipped = 0.02;
  for (std::size_t i = 0; i < kBins; ++i) {
    if (profile.weight[i] > 0) profile.code[i] /= profile.weight[i];
    if (clipped[i] > kMostClipped * profile.weight[i]) profile.weight[i] = 0;
  }
  // Where the code is steep, how exactly the borders were put on each other matters more than their noise.
  for (std::size_t i = 1; i + 1 < kBins; ++i) {
    const double slope = (profile.code[i + 1] - profile.code[i - 1]) / (2 * profile.step_px);
    profile.weight[i] /= kNoiseCode * kNoiseCode + std::pow(kPlacePx * slope, 2);
  }
  return profile;
}

Sharpening sharpening_of(const SheetProfile& profile) {
  const std::size_t n = profile.code.size();
  if (n < 8) return {};
  // Levels of ink and paper, in light, to encode the step between.
  const auto level = [&](std::size_t from, std::size_t to) {
    std::vector<double> codes;
    for (std::size_t i = from; i < to; ++i)
      if (profile.weight[i] > 0) codes.push_back(profile.code[i]);
    const double code = codes.empty() ? 255 : median(std::move(codes));
    return double{light_of_code()[static_cast<std::size_t>(std::lround(code))]};
  };
  const double ink = level(0, n / 6), paper = level(n - n / 6, n);
  constexpr double kLeastBlurPx = 0.2, kMostBlurPx = 2.5, kLeastRadiusPx = 0.5, kMostRadiusPx = 3,
                   kTailPx = 3.5;
  constexpr double kFiner = 1.1;  // from one trial to the next
  double without = HUGE_VAL;
  Trial best;
  double best_radius = 1;
  for (double blur = kLeastBlurPx; blur < kMostBlurPx; blur *= kFiner) {
    Terms terms;
    for (std::size_t i = 0; i < n; ++i) {
      const double x = profile.first_px + static_cast<double>(i) * profile.step_px;
      const double sharp = BlurredStep::exact(x, blur).value, wide = BlurredStep::exact(x, kTailPx).value;
      terms.step.push_back(code_of(ink + (paper - ink) * sharp));
      terms.tail.push_back(code_of(ink + (paper - ink) * (0.9 * sharp + 0.1 * wide)) - terms.step.back());
    }
    without = std::min(without, fit(profile, terms).square);
    for (double radius = kLeastRadiusPx; radius < kMostRadiusPx; radius *= kFiner) {
      terms.added = smoothed(terms.step, radius / profile.step_px);
      for (std::size_t i = 0; i < n; ++i) terms.added[i] = terms.step[i] - terms.added[i];
      const Trial trial = fit(profile, terms);
      if (trial.square >= best.square || trial.amount <= 0) continue;
      best = trial;
      best_radius = radius;
    }
  }
  constexpr double kLeastAmount = 0.1;  // below, its halo is some 2 % of the step: less than wood's own lines
  // Of what a step alone leaves; or the shape of the border is another thing's.
  constexpr double kExplains = 0.9;
  if (best.amount < kLeastAmount || best.square > kExplains * without) return {};
  return {best.amount, best_radius};
}

double blur_without(const Sharpening& sharpening, const cv::Mat& grey,
                    const std::vector<Correspondence>& saddles, const SheetLayout& layout) {
  constexpr std::size_t kEnough = 48;
  constexpr int kRadiusPx = 10, kAroundPx = 24;  // of a saddle's window; of what the filter looks at
  const std::size_t every = std::max<std::size_t>(1, saddles.size() / kEnough);
  std::vector<double> blurs;
  for (std::size_t k = 0; k + 1 < saddles.size(); k += every) {
    const Correspondence& a = saddles[k];
    const auto neighbour = [&](int rows, int columns) {
      return std::find_if(saddles.begin(), saddles.end(), [&](const Correspondence& b) {
        return b.block == a.block && b.row == a.row + rows && b.column == a.column + columns;
      });
    };
    const auto beside = neighbour(0, 1), below = neighbour(1, 0);
    const auto printed = std::find_if(layout.saddles.begin(), layout.saddles.end(), [&](const Saddle& s) {
      return s.block == a.block && s.row == a.row && s.column == a.column;
    });
    if (beside == saddles.end() || below == saddles.end() || printed == layout.saddles.end()) continue;
    const cv::Point middle(cvRound(a.picture_px.x()), cvRound(a.picture_px.y()));
    const cv::Rect around(middle - cv::Point(kAroundPx, kAroundPx), middle + cv::Point(kAroundPx, kAroundPx));
    if ((around & cv::Rect({0, 0}, grey.size())) != around) continue;
    const auto angle_to = [&](const Correspondence& b) {
      const Eigen::Vector2d way = b.picture_px - a.picture_px;
      return std::atan2(way.y(), way.x());
    };
    SaddleGuess guess;
    guess.at_px = a.picture_px - Eigen::Vector2d(around.x, around.y);
    guess.angle_1 = angle_to(*beside);
    guess.angle_2 = angle_to(*below);
    guess.dark_first = printed->ink_upper_left;
    guess.radius_px = kRadiusPx;
    const cv::Mat part = grey(around).clone();
    if (const auto fit = fit_saddle(without_sharpening(part, sharpening, {{0, 0}, part.size()}), guess))
      blurs.push_back(fit->blur_px);
  }
  return blurs.empty() ? 0 : median(std::move(blurs));
}

}  // namespace tapersight
