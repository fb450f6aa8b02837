#include "edges/border_profiles.h"

#include <algorithm>
#include <cmath>

namespace tapersight {
namespace {

std::vector<double> smoothed_slope(const std::vector<double>& light, double sigma) {
  const int reach = static_cast<int>(std::ceil(3.5 * sigma));
  std::vector<double> kernel;
  double norm = 0;
  for (int k = -reach; k <= reach; ++k) {
    kernel.push_back(k * std::exp(-0.5 * k * k / (sigma * sigma)));
    norm += k * kernel.back();
  }
  const int n = static_cast<int>(light.size());
  std::vector<double> slope(light.size(), 0.0);
  for (int i = 0; i < n; ++i) {
    double sum = 0;
    for (int k = -reach; k <= reach; ++k)
      sum += kernel[static_cast<std::size_t>(k + reach)] *
             light[static_cast<std::size_t>(std::clamp(i + k, 0, n - 1))];
    slope[static_cast<std::size_t>(i)] = sum / norm;
  }
  return slope;
}

}  // namespace

double BorderProfiles::slope_noise() const {
  std::vector<double> all;
  for (const SegmentProfile& s : segments)
    for (const double v : s.slope) all.push_back(std::abs(v));
  const auto quarter = all.begin() + static_cast<std::ptrdiff_t>(all.size() / 4);
  std::nth_element(all.begin(), quarter, all.end());
  return *quarter;
}

BorderProfiles border_profiles(const ScanLines& lines, const SidePath& path, double outward_px,
                               double inward_px, double scale_px) {
  constexpr int kSegments = BorderProfiles::kSegments;
  BorderProfiles p;
  p.outward_px = static_cast<int>(std::ceil(outward_px));
  p.size = p.outward_px + static_cast<int>(std::ceil(inward_px)) + 1;
  p.scale_px = scale_px;
  std::vector<std::vector<double>> count(kSegments,
                                         std::vector<double>(static_cast<std::size_t>(p.size), 0.0));
  p.segments.assign(kSegments, {std::vector<double>(static_cast<std::size_t>(p.size), 0.0), {}});
  const int first = path.first_line();
  const int total = path.last_line() - first + 1;
  for (int line = first; line < first + total; ++line) {
    const int segment = static_cast<int>(static_cast<long long>(line - first) * kSegments / total);
    auto& light = p.segments[static_cast<std::size_t>(segment)].light;
    auto& number = count[static_cast<std::size_t>(segment)];
    // A pixel goes to the bin of its offset, to the nearest pixel.
    const int inward = static_cast<int>(path.inward());
    const int outermost = cvRound(path.place(line)) - inward * p.outward_px;
    for (int bin = 0; bin < p.size; ++bin) {
      const int place = outermost + inward * bin;
      if (place < 0 || place >= lines.places()) continue;
      light[static_cast<std::size_t>(bin)] += lines.light(line, place);
      number[static_cast<std::size_t>(bin)] += 1;
    }
  }
  for (int s = 0; s < kSegments; ++s) {
    auto& light = p.segments[static_cast<std::size_t>(s)].light;
    const auto& number = count[static_cast<std::size_t>(s)];
    double last = 0;
    bool any = false;
    for (std::size_t i = 0; i < light.size(); ++i) {
      if (number[i] > 0) {
        last = light[i] / number[i];
        if (!any) std::fill(light.begin(), light.begin() + static_cast<std::ptrdiff_t>(i), last);
        any = true;
      }
      light[i] = last;
    }
    p.segments[static_cast<std::size_t>(s)].slope = smoothed_slope(light, p.scale_px);
  }
  return p;
}

}  // namespace tapersight
