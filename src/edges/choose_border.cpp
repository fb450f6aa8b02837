#include "edges/choose_border.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>

#include "imaging/blurred_step.h"

namespace tapersight {
namespace {

constexpr int kSegments = 24;
// Peaks that meet by chance lie anywhere in a window of 3 px on both sides: 1.7 px rms from their line.
constexpr double kWaverPx = 0.9;

struct Profiles {
  int outward_px = 0;
  int size = 0;
  double scale_px = 1;                     // sigma of the derivative's smoothing
  std::vector<std::vector<double>> light;  // a segment's mean light by offset (index 0 = -outward_px)
  std::vector<std::vector<double>> slope;  // its smoothed derivative, inward
  static double along(int segment) { return (2.0 * segment + 1) / kSegments - 1; }
};

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

Profiles mean_profiles(const ScanLines& lines, const SidePath& path, const BorderOptions& options) {
  Profiles p;
  p.outward_px = static_cast<int>(std::ceil(options.outward_mm * options.px_per_mm));
  p.size = p.outward_px + static_cast<int>(std::ceil(options.inward_mm * options.px_per_mm)) + 1;
  p.scale_px = std::max(1.0, options.target_blur_px);
  std::vector<std::vector<double>> count(kSegments,
                                         std::vector<double>(static_cast<std::size_t>(p.size), 0.0));
  p.light.assign(kSegments, std::vector<double>(static_cast<std::size_t>(p.size), 0.0));
  const int first = path.first_line();
  const int total = path.last_line() - first + 1;
  for (int line = first; line < first + total; ++line) {
    const int segment = static_cast<int>(static_cast<long long>(line - first) * kSegments / total);
    auto& light = p.light[static_cast<std::size_t>(segment)];
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
    auto& light = p.light[static_cast<std::size_t>(s)];
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
    p.slope.push_back(smoothed_slope(light, p.scale_px));
  }
  return p;
}

// The slope that at least about two thirds of the segments reach along a line, with its sign.
double shared_slope(const Profiles& p, double offset, double lean) {
  double values[kSegments];
  int n = 0;
  for (int s = 0; s < kSegments; ++s) {
    const int i = static_cast<int>(std::lround(offset + lean * Profiles::along(s))) + p.outward_px;
    values[n++] =
        i < 0 || i >= p.size ? 0 : p.slope[static_cast<std::size_t>(s)][static_cast<std::size_t>(i)];
  }
  std::nth_element(values, values + n / 3, values + n);
  const double low = values[n / 3];
  std::nth_element(values + n / 3, values + (n - 1 - n / 3), values + n);
  const double high = values[n - 1 - n / 3];
  if (low > 0) return low;
  return high < 0 ? high : 0;
}

struct Peak {
  double offset, lean, strength;
};

std::vector<Peak> peaks_of(const Profiles& p, double most_lean) {
  std::vector<Peak> best(static_cast<std::size_t>(p.size));
  for (int i = 0; i < p.size; ++i) {
    Peak& b = best[static_cast<std::size_t>(i)];
    b = {static_cast<double>(i - p.outward_px), 0, 0};
    for (double lean = -most_lean; lean <= most_lean; lean += 1) {
      const double strength = shared_slope(p, b.offset, lean);
      if (std::abs(strength) > std::abs(b.strength)) b = {b.offset, lean, strength};
    }
  }
  std::vector<Peak> peaks;
  const int reach = std::max(2, static_cast<int>(std::lround(1.5 * p.scale_px)));
  for (int i = 1; i + 1 < p.size; ++i) {
    const double mine = std::abs(best[static_cast<std::size_t>(i)].strength);
    bool top = mine > 0;
    for (int k = std::max(0, i - reach); k <= std::min(p.size - 1, i + reach) && top; ++k) {
      const double other = std::abs(best[static_cast<std::size_t>(k)].strength);
      if (best[static_cast<std::size_t>(k)].strength * best[static_cast<std::size_t>(i)].strength > 0)
        top = k < i ? other < mine : other <= mine;
    }
    if (top) peaks.push_back(best[static_cast<std::size_t>(i)]);
  }
  return peaks;
}

// Straight line through the segments' own peaks near a found line.
BorderCandidate refine(const Profiles& p, const Peak& peak) {
  BorderCandidate c;
  c.offset_px = peak.offset;
  c.lean_px = peak.lean;
  const int reach = std::max(3, static_cast<int>(std::lround(2 * p.scale_px)));
  const double sign = peak.strength > 0 ? 1 : -1;
  for (int pass = 0; pass < 3; ++pass) {
    double sw = 0, st = 0, so = 0, stt = 0, sto = 0, see = 0;
    int shown = 0;
    for (int s = 0; s < kSegments; ++s) {
      const double t = Profiles::along(s);
      const auto& slope = p.slope[static_cast<std::size_t>(s)];
      const int middle = static_cast<int>(std::lround(c.offset_px + c.lean_px * t)) + p.outward_px;
      int top = -1;
      for (int i = std::max(1, middle - reach); i <= std::min(p.size - 2, middle + reach); ++i)
        if (top < 0 ||
            sign * slope[static_cast<std::size_t>(i)] > sign * slope[static_cast<std::size_t>(top)])
          top = i;
      if (top < 0) continue;
      const auto i = static_cast<std::size_t>(top);
      if (sign * slope[i] < 0.35 * std::abs(peak.strength)) continue;
      const double curve = slope[i - 1] - 2 * slope[i] + slope[i + 1];
      const double sub =
          curve * sign < 0 ? std::clamp((slope[i - 1] - slope[i + 1]) / (2 * curve), -0.5, 0.5) : 0;
      const double offset = top + sub - p.outward_px;
      const double error = offset - (c.offset_px + c.lean_px * t);
      ++shown;
      sw += 1;
      st += t;
      so += offset;
      stt += t * t;
      sto += t * offset;
      see += error * error;
    }
    c.consistent = static_cast<double>(shown) / kSegments;
    if (shown < 4) return c;
    c.wander_px = std::sqrt(see / shown);
    const double determinant = sw * stt - st * st;
    if (determinant > 0) {
      c.lean_px = (sw * sto - st * so) / determinant;
      c.offset_px = (so - c.lean_px * st) / sw;
    }
  }
  return c;
}

// Step and blur: Gauss-Newton fit of a blurred step to all segments, put in line.
void measure_step(const Profiles& p, BorderCandidate& c) {
  const double half = std::max(3.5, 3.2 * p.scale_px);
  double blur = p.scale_px;
  double shift = 0;
  double low = 0;
  double step = 0;
  for (int pass = 0; pass < 12; ++pass) {
    Eigen::Matrix4d normal = 1e-12 * Eigen::Matrix4d::Identity();
    Eigen::Vector4d right = Eigen::Vector4d::Zero();
    for (int s = 0; s < kSegments; ++s) {
      const double at = c.offset_px + c.lean_px * Profiles::along(s) + p.outward_px;
      for (int i = std::max(0, static_cast<int>(std::ceil(at - half)));
           i <= std::min(p.size - 1, static_cast<int>(std::floor(at + half))); ++i) {
        const double x = i - at - shift;
        const BlurredStep::Exact e = BlurredStep::exact(x, blur);
        const double r =
            p.light[static_cast<std::size_t>(s)][static_cast<std::size_t>(i)] - low - step * e.value;
        Eigen::Vector4d j(1, e.value, -step * e.slope, step * e.by_blur);
        if (pass == 0) j.tail<2>().setZero();  // first the two levels
        normal += j * j.transpose();
        right += r * j;
      }
    }
    const Eigen::Vector4d d = normal.ldlt().solve(right);
    low += d[0];
    step += d[1];
    shift = std::clamp(shift + std::clamp(d[2], -1.0, 1.0), -half / 2, half / 2);
    blur = std::clamp(blur + std::clamp(d[3], -0.4 * blur, 0.4 * blur), 0.25, 4 * half);
  }
  c.step = step;
  c.blur_px = blur;
  c.offset_px += shift;
}

double noise_of(const Profiles& p) {
  // Median absolute slope far from edges, over all segments: what shared_slope must stand out from.
  std::vector<double> all;
  for (const auto& s : p.slope)
    for (const double v : s) all.push_back(std::abs(v));
  std::nth_element(all.begin(), all.begin() + static_cast<std::ptrdiff_t>(all.size() / 4), all.end());
  return all[all.size() / 4];
}

bool sharp(const BorderCandidate& c, const BorderOptions& o) {
  // Roughness within a segment widens the mean profile: up to 0.05 mm of it is allowed for.
  const double rough = 0.05 * o.px_per_mm;
  const double most = std::sqrt(3.2 * o.target_blur_px * o.target_blur_px + rough * rough + 0.25);
  return c.blur_px <= most;
}

double straight_limit(const BorderCandidate& edge, const BorderOptions& o) {
  return std::max(1.5 * edge.wander_px, 0.03 * o.px_per_mm);
}

// Mean light between two places inward of the path, along lines of this lean.
double mean_light(const Profiles& p, double from, double to, double lean) {
  double sum = 0;
  int count = 0;
  for (int s = 0; s < kSegments; ++s) {
    const double shift = lean * Profiles::along(s) + p.outward_px;
    for (int i = std::max(0, static_cast<int>(std::ceil(from + shift)));
         i <= std::min(p.size - 1, static_cast<int>(std::floor(to + shift))); ++i, ++count)
      sum += p.light[static_cast<std::size_t>(s)][static_cast<std::size_t>(i)];
  }
  return count > 0 ? sum / count : 0;
}

// Is `inner` the border of the strip's face behind a band (side wall, hard shadow) that `outer` starts?
bool bounds_a_band(const Profiles& p, const std::vector<BorderCandidate>& all, std::size_t outer,
                   std::size_t inner, const BorderOptions& o) {
  const BorderCandidate& a = all[outer];
  const BorderCandidate& b = all[inner];
  if (b.offset_px - a.offset_px > 5 * o.px_per_mm) return false;
  if (b.consistent < 0.85 || !sharp(b, o) || b.wander_px > straight_limit(a, o)) return false;
  // A line of the wood has the same tone on both sides; behind the band lies another tone, all over the face.
  const double clear = 1.5 * std::max(a.blur_px, b.blur_px);
  const double face = mean_light(p, b.offset_px + clear, p.size, b.lean_px);
  const double middle = (a.offset_px + b.offset_px) / 2;
  const double band = mean_light(p, std::min(middle, a.offset_px + clear),
                                 std::max(middle, b.offset_px - clear), (a.lean_px + b.lean_px) / 2);
  if ((face - band) * b.step < 0.4 * b.step * b.step) return false;
  // Stronger than what else is straight within the strip: other peaks are chance meetings of the grain.
  for (std::size_t k = 0; k < all.size(); ++k) {
    if (k == outer || k == inner || all[k].wander_px > std::min(kWaverPx, 3 * straight_limit(a, o))) continue;
    if (k > outer && k < inner && std::abs(all[k].step) > 0.5 * std::abs(b.step)) return false;
    if (k > inner && std::abs(all[k].step) > 0.4 * std::abs(b.step)) return false;
  }
  return std::abs(b.step) > 0.15 * std::abs(a.step);
}

// Takes out what wavers and is weak or has no width of its own: chance meetings of the grain, or the flank of
// a strong line under another slant.
void drop_chance_meetings(std::vector<BorderCandidate>& all, const BorderOptions& o) {
  double strongest = 0;
  for (const BorderCandidate& c : all)
    if (c.wander_px < 0.5) strongest = std::max(strongest, std::abs(c.step));
  all.erase(std::remove_if(all.begin(), all.end(),
                           [&](const BorderCandidate& c) {
                             return c.wander_px > kWaverPx &&
                                    (std::abs(c.step) < 0.25 * strongest || c.blur_px > 8 * o.target_blur_px);
                           }),
            all.end());
}

}  // namespace

Result<BorderChoice> choose_border(const ScanLines& lines, const SidePath& path,
                                   const BorderOptions& options) {
  const Profiles profiles = mean_profiles(lines, path, options);
  const double noise = noise_of(profiles);
  const double least_step = 0.006;
  std::vector<BorderCandidate> candidates;
  bool soft_seen = false;
  for (const Peak& peak : peaks_of(profiles, std::ceil(0.8 * options.px_per_mm))) {
    if (std::abs(peak.strength) < 3 * noise && std::abs(peak.strength) < 0.02) continue;
    BorderCandidate c = refine(profiles, peak);
    if (c.consistent < 0.7) continue;
    measure_step(profiles, c);
    if (std::abs(c.step) < least_step) continue;
    candidates.push_back(c);
  }
  drop_chance_meetings(candidates, options);
  std::size_t first = 0;
  while (first < candidates.size() && !sharp(candidates[first], options)) {
    soft_seen = true;
    ++first;
  }
  if (first == candidates.size()) {
    if (soft_seen)
      return Failure{"too-blurred",
                     "One long edge of the strip is too blurred to measure, or lost in a shadow.",
                     "Press the strip flat on the glass, its clean sawn face down, or give it a ground of "
                     "another tone, and scan again."};
    return Failure{"edge-not-found", "One long edge of the strip cannot be made out from end to end.",
                   "Give the strip a ground of another tone, brush off sawdust, and scan again."};
  }
  std::size_t chosen = first;
  for (std::size_t k = first + 1; k < candidates.size(); ++k)
    if (bounds_a_band(profiles, candidates, first, k, options)) {
      chosen = k;
      break;
    }
  BorderChoice choice;
  choice.edge = candidates[chosen];
  for (std::size_t k = 0; k < candidates.size(); ++k)
    if (k != chosen) choice.others.push_back(candidates[k]);
  return choice;
}

}  // namespace tapersight
