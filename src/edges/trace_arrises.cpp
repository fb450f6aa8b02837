#include "edges/trace_arrises.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <optional>

#include "imaging/blurred_step.h"

namespace tapersight {
namespace {

constexpr int kGroups = 300;            // places along an edge, at most
constexpr int kLearnGroups = 40;        // of which this many are looked at to learn the profile
constexpr double kWorthASecond = 0.94;  // a second step has to bring the squared error down to this part

// The profile across an edge: value(x) = step(x) + part * step(x - apart), x px inward.
struct Profile {
  BlurredStep step;
  double apart_px = 0, part = 0;
  double value(double x) const { return step.value(x) + (part != 0 ? part * step.value(x - apart_px) : 0); }
  double slope(double x) const { return step.slope(x) + (part != 0 ? part * step.slope(x - apart_px) : 0); }
};

struct Sample {
  double x, light;  // px inward of the path
};

// Outward well into the ground, inward just past the edge: what lies behind is the wood's figure.
struct Window {
  double outer, inner;
};

Window window_of(double blur) {
  return {2.6 * blur + 1.5, 0.7 * blur + 0.6};
}

std::vector<Sample> samples_of(const ScanLines& lines, const SidePath& path, int first, int count,
                               double shift, const Window& w) {
  std::vector<Sample> samples;
  for (int line = first; line < first + count; ++line) {
    const double at = path.place(line);
    const double a = at + path.inward() * (shift - w.outer), b = at + path.inward() * (shift + w.inner);
    const int low = static_cast<int>(std::ceil(std::min(a, b)));
    const int high = static_cast<int>(std::floor(std::max(a, b)));
    if (low < 0 || high >= lines.places()) return {};
    for (int place = low; place <= high; ++place)
      samples.push_back({(place - at) * path.inward(), lines.light(line, place)});
  }
  return samples;
}

struct GroupFit {
  double shift_px = 0, sigma_px = 0, contrast = 0, cost = 0;
  int samples = 0;
};

std::optional<GroupFit> fit_group(const ScanLines& lines, const SidePath& path, int first, int count,
                                  const Profile& profile, const Window& w, double start) {
  double shift = start, low = 0, step = 0;
  std::vector<Sample> samples;
  for (int pass = 0; pass < 12; ++pass) {
    // The window follows the edge at first, then stays: pixels that come and go would keep the fit moving.
    if (pass < 4) samples = samples_of(lines, path, first, count, shift, w);
    if (samples.size() < 8) return std::nullopt;
    Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
    Eigen::Vector3d right = Eigen::Vector3d::Zero();
    double cost = 0;
    for (const Sample& s : samples) {
      const double e = profile.value(s.x - shift);
      const double r = s.light - low - step * e;
      const Eigen::Vector3d j(1, e, pass == 0 ? 0 : -step * profile.slope(s.x - shift));
      normal.noalias() += j * j.transpose();
      right += r * j;
      cost += r * r;
    }
    if (pass == 0) normal(2, 2) = 1;
    const Eigen::Vector3d d = normal.ldlt().solve(right);
    if (!d.allFinite()) return std::nullopt;
    low += d[0];
    step += d[1];
    if (pass < 4 && pass > 0) shift += std::clamp(d[2], -1.0, 1.0);
    if (std::abs(shift - start) > w.outer) return std::nullopt;
    if (pass < 4) continue;
    const double move = std::clamp(d[2], -1.0, 1.0);
    shift += move;
    if (std::abs(move) > 3e-3) continue;
    const auto n = static_cast<double>(samples.size());
    return GroupFit{shift, std::sqrt(cost / (n - 3) * normal.inverse()(2, 2)), step, cost,
                    static_cast<int>(samples.size())};
  }
  return std::nullopt;
}

// Squared error of groups along the side with free levels and places: of two steps the two parts are free.
struct Trial {
  double cost = 0, part = 0;
};

Trial try_profile(const std::vector<std::vector<Sample>>& groups, const BlurredStep& step, double apart) {
  Trial trial;
  double first = 0, second = 0;
  for (const auto& samples : groups) {
    const int n = apart != 0 ? 4 : 3;
    Eigen::VectorXd p = Eigen::VectorXd::Zero(4);  // low, step, place, second step
    double cost = 0;
    for (int pass = 0; pass < 6; ++pass) {
      Eigen::Matrix4d normal = 1e-9 * Eigen::Matrix4d::Identity();
      Eigen::Vector4d right = Eigen::Vector4d::Zero();
      cost = 0;
      for (const Sample& s : samples) {
        const double x = s.x - p[2];
        const double e = step.value(x), f = n == 4 ? step.value(x - apart) : 0;
        const double slope = p[1] * step.slope(x) + (n == 4 ? p[3] * step.slope(x - apart) : 0);
        const double r = s.light - p[0] - p[1] * e - p[3] * f;
        const Eigen::Vector4d j(1, e, pass == 0 ? 0 : -slope, f);
        normal.noalias() += j * j.transpose();
        right += r * j;
        cost += r * r;
      }
      Eigen::Vector4d d = normal.ldlt().solve(right);
      d[2] = std::clamp(d[2], -0.7, 0.7);
      if (d.allFinite()) p += d;
      p[2] = std::clamp(p[2], -2.0, 2.0);
    }
    trial.cost += cost;
    first += p[1];
    second += p[3];
  }
  trial.part = first != 0 ? second / first : 0;
  return trial;
}

struct Learned {
  double blur_px = 1, apart_px = 0, part = 0;
  Window window{};
};

// Blur, and distance and part of a second step where one shows. The path passes through the first.
Learned learn(const ScanLines& lines, const SidePath& path, double blur) {
  const double reach = std::max(3.5, 2.6 * blur + 1.5);
  const int total = path.last_line() - path.first_line() + 1;
  const int count = std::max(2, total / (2 * kLearnGroups));
  std::vector<std::vector<Sample>> groups;
  for (int g = 1; g + 1 < kLearnGroups; ++g) {
    auto samples =
        samples_of(lines, path, path.first_line() + g * total / kLearnGroups, count, 0, {reach, reach});
    if (!samples.empty()) groups.push_back(std::move(samples));
  }
  Learned best{blur, 0, 0, window_of(blur)};
  double least = 1e300;
  for (const double factor : {0.7, 0.8, 0.9, 1.0, 1.1, 1.25, 1.4}) {
    const Trial one = try_profile(groups, BlurredStep(factor * blur), 0);
    if (one.cost >= least) continue;
    least = one.cost;
    best.blur_px = factor * blur;
  }
  double needed = kWorthASecond * least;
  for (const double factor : {0.85, 1.0, 1.15})
    for (double apart = -reach + 0.5; apart <= reach - 0.5; apart += 0.5) {
      if (std::abs(apart) < 1) continue;
      const Trial two = try_profile(groups, BlurredStep(factor * blur), apart);
      if (two.cost >= needed || std::abs(two.part) > 1.5 || std::abs(1 + two.part) < 0.3) continue;
      needed = two.cost;
      best.blur_px = factor * blur;
      best.apart_px = apart;
      best.part = two.part;
    }
  best.window = window_of(best.blur_px);
  best.window.outer += std::max(0.0, -best.apart_px);
  best.window.inner += std::max(0.0, best.apart_px);
  return best;
}

// Pixels of the scan line per px at the side's middle: perspective makes the far end smaller.
double scale_at(const SidePath& path, const SidePath& other, double line) {
  const double middle = (path.first_line() + path.last_line()) / 2.0;
  return std::abs(path.place(line) - other.place(line)) / std::abs(path.place(middle) - other.place(middle));
}

double median_of(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

// A fit whose contrast is far from the edge's own has locked on something else.
void drop_strangers(std::vector<EdgePoint>& points) {
  std::vector<double> contrasts;
  for (const EdgePoint& p : points)
    if (p.valid) contrasts.push_back(p.contrast);
  if (contrasts.empty()) return;
  const double usual = median_of(std::move(contrasts));
  for (EdgePoint& p : points)
    if (p.valid && (p.contrast / usual < 0.3 || p.contrast / usual > 3)) p.valid = false;
}

}  // namespace

EdgeTrace trace_arrises(const ScanLines& lines, const SidePath& side_0, const SidePath& side_1,
                        double blur_px) {
  const SidePath* sides[2] = {&side_0, &side_1};
  EdgeTrace trace;
  const int first = std::max(side_0.first_line(), side_1.first_line());
  const int last = std::min(side_0.last_line(), side_1.last_line());
  trace.lines_per_point = std::max(2, (last - first + 1) / kGroups);
  const int groups = std::max(0, (last - first + 1) / trace.lines_per_point);
  for (int i = 0; i < groups; ++i)
    trace.line_px.push_back(first + i * trace.lines_per_point + (trace.lines_per_point - 1) / 2.0);
  for (int k = 0; k < 2; ++k) {
    const SidePath& path = *sides[k];
    const Learned learned = learn(lines, path, blur_px);
    trace.blur_px[k] = learned.blur_px;
    trace.beside_px[k] = std::abs(learned.apart_px);
    trace.points[k].resize(static_cast<std::size_t>(groups));
    Profile profile{BlurredStep(learned.blur_px), learned.apart_px, learned.part};
    for (int i = 0; i < groups; ++i) {
      const double middle = trace.line_px[static_cast<std::size_t>(i)];
      profile.apart_px = learned.apart_px * scale_at(path, *sides[1 - k], middle);
      const auto fit = fit_group(lines, path, first + i * trace.lines_per_point, trace.lines_per_point,
                                 profile, learned.window, 0);
      if (!fit) continue;
      EdgePoint& p = trace.points[k][static_cast<std::size_t>(i)];
      p.picture_px = lines.picture_px(middle, path.place(middle) + path.inward() * fit->shift_px);
      p.sigma_px = fit->sigma_px;
      p.contrast = fit->contrast;
      p.valid = true;
    }
    drop_strangers(trace.points[k]);
  }
  return trace;
}

}  // namespace tapersight
