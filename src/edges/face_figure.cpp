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

}  // namespace

FaceFigure measure_figure(const ScanLines& lines, const SidePath& path, double blur_px, double noise,
                          double correlation_px, int reach_px) {
  FaceFigure figure;
  figure.correlation_px = correlation_px;
  const int total = path.last_line() - path.first_line() + 1;
  const int count = std::max(1, total / kSegments);
  figure.coherent_lines = count;
  const int from = static_cast<int>(std::ceil(2.5 * blur_px + 1));
  std::vector<double> squares;
  double own = 0;
  double shared = 0;
  std::vector<double> last;
  for (int s = 1; s + 1 < kSegments; ++s) {  // the ends are torn
    std::vector<double> d = differences(
        mean_profile(lines, path, path.first_line() + s * total / kSegments, count, from, reach_px));
    if (!d.empty()) {
      const double square = dot(d, d) / static_cast<double>(d.size()) - 2 * noise * noise / count;
      squares.push_back(std::max(0.0, square));
      if (!last.empty()) {
        shared += dot(d, last);
        own += (dot(d, d) + dot(last, last)) / 2;
      }
    }
    last = std::move(d);
  }
  if (squares.size() < 5) return figure;
  figure.light = std::sqrt(median(squares) / unit_square(blur_px, correlation_px));
  const double r = own > 0 ? std::clamp(shared / own, 0.0, 0.8) : 0;
  figure.coherent_lines = count * (1 + r) / (1 - r);
  return figure;
}

}  // namespace tapersight
