#include "edges/face_figure.h"

#include <algorithm>
#include <cmath>

#include "imaging/blurred_step.h"
#include "numeric/descriptive.h"

namespace tapersight {
namespace {

constexpr int kSegments = 24;
constexpr int kLag = 2;

// The segment's mean light at whole pixels behind the edge; empty where the window leaves the picture.
std::vector<double> mean_profile(const ScanLines& lines, const SidePath& path, int first, int count, int from,
                                 int size) {
  std::vector<double> profile(static_cast<std::size_t>(size), 0.0);
  for (int line = first; line < first + count; ++line) {
    const int edge = static_cast<int>(std::lround(path.place(line)));
    for (int k = 0; k < size; ++k) {
      const int place = edge + static_cast<int>(path.inward()) * (from + k);
      if (place < 0 || place >= lines.places()) return {};
      profile[static_cast<std::size_t>(k)] += lines.light(line, place) / count;
    }
  }
  return profile;
}

std::vector<double> differences(const std::vector<double>& profile) {
  std::vector<double> d;
  for (std::size_t i = kLag; i < profile.size(); ++i) d.push_back(profile[i] - profile[i - kLag]);
  return d;
}

// Sums over profiles of their squared deviations from the mean, and of those's products `lag` px apart.
struct RingSums {
  int lag;
  double square = 0, product = 0;
  int squares = 0, products = 0;

  void add(const std::vector<double>& profile, double noise_square) {
    const double middle = mean(profile);
    for (std::size_t i = 0; i < profile.size(); ++i) {
      square += (profile[i] - middle) * (profile[i] - middle) - noise_square;
      ++squares;
      if (i + static_cast<std::size_t>(lag) >= profile.size()) continue;
      product += (profile[i] - middle) * (profile[i + static_cast<std::size_t>(lag)] - middle);
      ++products;
    }
  }
  double variance() const { return squares > 0 ? std::max(0.0, square / squares) : 0; }
  // The Matern (3/2) length at which the correlation at this lag is as found, within bounds.
  double length_px() const {
    const double v = variance();
    if (!(v > 0) || products == 0) return lag;
    const double found = std::clamp(product / products / v, 0.05, 0.95);
    double low = 0.2 * lag, high = 10.0 * lag;
    for (int pass = 0; pass < 40; ++pass) {
      const double middle = (low + high) / 2;
      const double h = std::sqrt(3.0) * lag / middle;
      ((1 + h) * std::exp(-h) < found ? low : high) = middle;
    }
    return (low + high) / 2;
  }
};

double dot(const std::vector<double>& a, const std::vector<double>& b) {
  double sum = 0;
  for (std::size_t i = 0; i < std::min(a.size(), b.size()); ++i) sum += a[i] * b[i];
  return sum;
}

// Mean square of the differences of a face of unit standard deviation, blurred and sampled.
double unit_square(double blur, double correlation) {
  constexpr double kFine = 0.125;
  const int reach = static_cast<int>(std::ceil((4 * blur + 1 + kLag) / kFine));
  std::vector<double> response;  // of (pixel at lag - pixel at 0) to the light of a cell
  for (int c = -reach; c <= reach + kLag; ++c) {
    const double t = (c + 0.5) * kFine;
    response.push_back(kFine *
                       (BlurredStep::exact(kLag - t, blur).slope - BlurredStep::exact(-t, blur).slope));
  }
  double sum = 0;
  double carried = 0;  // response before this cell, with its correlation
  const double decay = std::exp(-kFine / correlation);
  for (const double r : response) {
    sum += r * r + 2 * r * carried;
    carried = decay * (carried + r);
  }
  return sum;
}

// Variance of a pixel's noise on the face: from what two neighbouring lines, which share the figure, differ
// by beyond their own tones.
double noise_square_of(const ScanLines& lines, const SidePath& path, int from, int size) {
  constexpr int kPairs = 400;
  std::vector<double> squares;
  const int way = static_cast<int>(path.inward());
  const int total = path.last_line() - path.first_line() + 1;
  for (int line = path.first_line() + total / kSegments; line < path.last_line() - total / kSegments;
       line += std::max(2, total / kPairs)) {
    const int first = static_cast<int>(std::lround(path.place(line))) + way * from;
    const int last = first + way * (size - 1);
    if (std::min(first, last) < 0 || std::max(first, last) >= lines.places()) continue;
    double sum = 0, square = 0;
    for (int k = 0; k < size; ++k) {
      const double d = lines.light(line + 1, first + way * k) - lines.light(line, first + way * k);
      sum += d;
      square += d * d;
    }
    squares.push_back((square - sum * sum / size) / (size - 1) / 2);
  }
  return squares.empty() ? 0 : mean(squares);
}

}  // namespace

FaceFigure measure_figure(const ScanLines& lines, const SidePath& path, double blur_px, double correlation_px,
                          int reach_px) {
  FaceFigure figure;
  figure.correlation_px = correlation_px;
  const int total = path.last_line() - path.first_line() + 1;
  const int count = std::max(1, total / kSegments);
  figure.coherent_lines = count;
  const int from = static_cast<int>(std::ceil(2.5 * blur_px + 1));
  const double noise_square = noise_square_of(lines, path, from, reach_px);
  std::vector<double> squares;
  double own = 0;
  double shared = 0;
  std::vector<double> last;
  RingSums rings{std::max(1, reach_px / 8)};
  for (int s = 1; s + 1 < kSegments; ++s) {  // the ends are torn
    const std::vector<double> profile =
        mean_profile(lines, path, path.first_line() + s * total / kSegments, count, from, reach_px);
    if (!profile.empty()) rings.add(profile, noise_square / count);
    std::vector<double> d = differences(profile);
    if (!d.empty()) {
      const double square = dot(d, d) / static_cast<double>(d.size()) - 2 * noise_square / count;
      squares.push_back(std::max(0.0, square));
      if (!last.empty()) {
        shared += dot(d, last);
        own += (dot(d, d) + dot(last, last)) / 2;
      }
    }
    last = std::move(d);
  }
  if (squares.size() < 5) return figure;
  figure.rings = std::sqrt(rings.variance());
  figure.rings_px = rings.length_px();
  figure.light = std::sqrt(median(squares) / unit_square(blur_px, correlation_px));
  const double r = own > 0 ? std::clamp(shared / own, 0.0, 0.8) : 0;
  figure.coherent_lines = count * (1 + r) / (1 - r);
  return figure;
}

}  // namespace tapersight
