#include "edges/side_profiles.h"

#include <algorithm>
#include <cmath>

namespace tapersight {
namespace {

constexpr double kBinPx = 0.5;
constexpr double kTornEnds = 0.02;  // of the length, at each end

int all_lines(const SidePath& path) {
  return path.last_line() - path.first_line() + 1;
}

int torn_lines(const SidePath& path) {
  return static_cast<int>(kTornEnds * all_lines(path));
}

}  // namespace

int lines_between_torn_ends(const SidePath& path) {
  return all_lines(path) - 2 * torn_lines(path);
}

std::vector<ProfileSegment> side_profiles(const ScanLines& lines, const SidePath& path, int segments,
                                          double outward, double inward) {
  const auto bins = static_cast<std::size_t>(std::ceil((outward + inward) / kBinPx));
  const int start = path.first_line() + torn_lines(path);
  const int total = lines_between_torn_ends(path);
  const double before = path.inward() > 0 ? outward : inward;
  const double behind = path.inward() > 0 ? inward : outward;
  std::vector<ProfileSegment> profiles;
  for (int s = 0; s < segments; ++s) {
    std::vector<ProfileSample> sums(bins, ProfileSample{0, 0, 0});
    const int first = start + s * total / segments;
    const int end = start + (s + 1) * total / segments;
    for (int line = first; line < end; ++line) {
      const double at = path.place(line);
      const int from = std::max(0, static_cast<int>(std::ceil(at - before)));
      const int to = std::min(lines.places() - 1, static_cast<int>(std::floor(at + behind)));
      for (int place = from; place <= to; ++place) {
        const double x = (place - at) * path.inward();
        ProfileSample& sum = sums[std::min(bins - 1, static_cast<std::size_t>((x + outward) / kBinPx))];
        sum.x += x;
        sum.light += lines.light(line, place);
        sum.pixels += 1;
      }
    }
    ProfileSegment profile{path.along((first + end - 1) / 2.0), {}};
    for (const ProfileSample& sum : sums)
      if (sum.pixels > 0) profile.samples.push_back({sum.x / sum.pixels, sum.light / sum.pixels, sum.pixels});
    profiles.push_back(std::move(profile));
  }
  return profiles;
}

}  // namespace tapersight
