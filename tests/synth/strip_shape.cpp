#include "synth/strip_shape.h"

#include <algorithm>
#include <cmath>

#include "base/rng.h"
#include "synth/roughness.h"

namespace tapersight {
namespace {

constexpr double kStepMm = 0.02;  // of the drawn edges: below a quarter pixel at 300 dpi, half at 600

struct EdgeCurve {
  std::vector<double> u, v;
};

double outwards(StripSide side) {
  return side == StripSide::kLeft ? -1 : 1;
}

// A lopsided triangle: 1 at its top, 0 from `half` away on.
double tooth(double distance, double half, double lean) {
  const double reach = distance < 0 ? half * (1 + lean) : half * (1 - lean);
  return std::max(0.0, 1 - std::abs(distance) / reach);
}

void add_chips(const EdgeScene& edge, double length_mm, Rng rng, const std::vector<double>& u,
               std::vector<double>& out) {
  for (int i = 0; i < edge.chips; ++i) {
    const double at = length_mm * rng.uniform(-0.47, 0.47);
    const double half = edge.chip_length_mm * rng.uniform(0.15, 0.5);
    const double depth = edge.chip_depth_mm * rng.uniform(0.4, 1.0);
    const double lean = rng.uniform(-0.7, 0.7);
    for (std::size_t k = 0; k < u.size(); ++k) {
      const double bite = depth * std::sqrt(tooth(u[k] - at, half, lean));
      if (bite > 0) out[k] = std::min(out[k], -bite);
    }
  }
}

// Torn wood near both ends moves the long edge, in or out.
void add_tears(const EndScene& ends, double length_mm, Rng rng, const std::vector<double>& u,
               std::vector<double>& out) {
  for (int i = 0; i < 2 * ends.splinters; ++i) {
    const double end = i % 2 == 0 ? -length_mm / 2 : length_mm / 2;
    const double reach = ends.splinter_mm * rng.uniform(0.3, 1.0);
    const double by = 1e-3 * ends.tear_um * rng.uniform(-1.0, 0.7);
    for (std::size_t k = 0; k < u.size(); ++k) out[k] += by * std::max(0.0, 1 - std::abs(u[k] - end) / reach);
  }
}

// A slow profile, drawn at steps of its own and straight between them: a step of a fiftieth of its length
// leaves less than a thousandth of its rms.
std::vector<double> waver_profile(const EdgeScene& edge, double length_mm, std::uint64_t seed,
                                  const std::vector<double>& u) {
  const double step = edge.waver_mm / 50;
  const auto coarse = rough_profile({1e-3 * edge.waver_um, edge.waver_mm, true}, step,
                                    static_cast<std::size_t>(length_mm / step) + 2, seed);
  std::vector<double> fine;
  for (const double at : u) {
    const double place = (at + length_mm / 2) / step;
    const auto k = std::min(static_cast<std::size_t>(place), coarse.size() - 2);
    fine.push_back(coarse[k] + (place - static_cast<double>(k)) * (coarse[k + 1] - coarse[k]));
  }
  return fine;
}

// What is slow along the edge: waver, a kink, fractal roughness.
void add_slow(const EdgeScene& edge, double length_mm, double step_mm, std::uint64_t seed,
              const std::vector<double>& u, std::vector<double>& out) {
  const auto waver = waver_profile(edge, length_mm, stream_seed(seed, "waver"), u);
  const FractalModel model{1e-3 * edge.fractal_um, edge.fractal_exponent, edge.fractal_longest_mm};
  const auto fractal = fractal_profile(model, step_mm, u.size(), stream_seed(seed, "fractal"));
  const double kink = edge.kink_at * length_mm;
  for (std::size_t k = 0; k < u.size(); ++k) {
    const double to_end = length_mm / 2 - (u[k] < kink ? -u[k] : u[k]);
    const double whole = length_mm / 2 - (u[k] < kink ? -kink : kink);
    out[k] += waver[k] + fractal[k] + 1e-3 * edge.kink_um * to_end / whole;
  }
}

EdgeCurve make_edge(const StripScene& strip, StripSide side, std::uint64_t seed, std::uint64_t slow_seed) {
  const EdgeScene& scene = side == StripSide::kLeft ? strip.left : strip.right;
  const auto count = static_cast<std::size_t>(std::max(2.0, std::round(strip.length_mm / kStepMm))) + 1;
  const double step = strip.length_mm / static_cast<double>(count - 1);
  EdgeCurve curve;
  for (std::size_t k = 0; k < count; ++k)
    curve.u.push_back(-strip.length_mm / 2 + step * static_cast<double>(k));
  auto out = rough_profile({1e-3 * scene.roughness_um, scene.correlation_mm, scene.gaussian}, step, count,
                           stream_seed(seed, "roughness"));
  for (std::size_t k = 0; k < count; ++k) {
    const double n = 2 * curve.u[k] / strip.length_mm;
    out[k] += 1e-3 * scene.bow_um * (1 - n * n);
  }
  add_slow(scene, strip.length_mm, step, slow_seed, curve.u, out);
  add_chips(scene, strip.length_mm, Rng(stream_seed(seed, "chips")), curve.u, out);
  add_tears(strip.ends, strip.length_mm, Rng(stream_seed(seed, "tears")), curve.u, out);
  for (std::size_t k = 0; k < count; ++k)
    curve.v.push_back(straight_edge(strip, side, curve.u[k]) + outwards(side) * out[k]);
  return curve;
}

double slope_of(const EdgeCurve& curve) {
  double n = 0, u1 = 0, v1 = 0, u2 = 0, uv = 0;
  for (std::size_t k = 0; k < curve.u.size(); ++k) {
    n += 1;
    u1 += curve.u[k];
    v1 += curve.v[k];
    u2 += curve.u[k] * curve.u[k];
    uv += curve.u[k] * curve.v[k];
  }
  return (n * uv - u1 * v1) / (n * u2 - u1 * u1);
}

double value_at(const EdgeCurve& curve, double u) {
  const auto above = std::upper_bound(curve.u.begin(), curve.u.end(), u);
  if (above == curve.u.begin()) return curve.v.front();
  if (above == curve.u.end()) return curve.v.back();
  const auto i = static_cast<std::size_t>(above - curve.u.begin());
  const double t = (u - curve.u[i - 1]) / (curve.u[i] - curve.u[i - 1]);
  return curve.v[i - 1] + t * (curve.v[i] - curve.v[i - 1]);
}

struct EndCut {
  double u_mm;
  double outward;  // +1: wood ends towards larger u
  double roughness_um;
  double slant;  // du/dv of the cut
  int splinters;
  double splinter_mm;
};

std::vector<Eigen::Vector2d> make_end(double v_left, double v_right, const EndCut& cut, std::uint64_t seed) {
  const auto count = static_cast<std::size_t>(std::max(2.0, std::round((v_right - v_left) / kStepMm))) + 1;
  const double step = (v_right - v_left) / static_cast<double>(count - 1);
  auto u = rough_profile({1e-3 * cut.roughness_um, 0.3, false}, step, count, stream_seed(seed, "end"));
  Rng rng(stream_seed(seed, "splinters"));
  std::vector<double> out(count, 0.0);
  for (int i = 0; i < cut.splinters; ++i) {
    const double at = rng.uniform(v_left, v_right);
    const double half = rng.uniform(0.15, 0.6);
    const double reach = cut.splinter_mm * rng.uniform(-1.0, 0.8);
    for (std::size_t k = 0; k < count; ++k)
      out[k] += reach * tooth(v_left + step * static_cast<double>(k) - at, half, 0.3);
  }
  std::vector<Eigen::Vector2d> points;
  for (std::size_t k = 0; k < count; ++k) {
    const double v = v_left + step * static_cast<double>(k);
    points.emplace_back(v, cut.u_mm + cut.slant * (v - (v_left + v_right) / 2) + u[k] + cut.outward * out[k]);
  }
  return points;
}

StripPiece make_piece(const EdgeCurve& left, const EdgeCurve& right, const EndCut& far, const EndCut& fence,
                      double shift_mm, std::uint64_t seed) {
  StripPiece piece;
  const auto side = [&](const EdgeCurve& curve) {
    std::vector<Eigen::Vector2d> points = {{value_at(curve, far.u_mm), far.u_mm}};
    for (std::size_t k = 0; k < curve.u.size(); ++k)
      if (curve.u[k] > far.u_mm && curve.u[k] < fence.u_mm) points.emplace_back(curve.v[k], curve.u[k]);
    points.emplace_back(value_at(curve, fence.u_mm), fence.u_mm);
    return points;
  };
  piece.left = side(left);
  piece.right = side(right);
  piece.far_end =
      make_end(piece.left.front().x(), piece.right.front().x(), far, stream_seed(seed, "far end"));
  piece.fence_end =
      make_end(piece.left.back().x(), piece.right.back().x(), fence, stream_seed(seed, "fence end"));
  for (auto* points : {&piece.left, &piece.right, &piece.far_end, &piece.fence_end})
    for (Eigen::Vector2d& p : *points) p.x() += shift_mm;
  return piece;
}

}  // namespace

std::vector<Eigen::Vector2d> StripPiece::outline() const {
  std::vector<Eigen::Vector2d> points = left;
  points.insert(points.end(), fence_end.begin(), fence_end.end());
  points.insert(points.end(), right.rbegin(), right.rend());
  points.insert(points.end(), far_end.rbegin(), far_end.rend());
  return points;
}

double straight_edge(const StripScene& strip, StripSide side, double u_mm) {
  return outwards(side) * (strip.width_mm + strip.taper * u_mm) / 2;
}

double taper_of_slopes(double left_slope, double right_slope) {
  return 2 * std::tan((std::atan(right_slope) - std::atan(left_slope)) / 2);
}

double lift_at(const StripScene& strip, double u_mm) {
  const double part = u_mm / strip.length_mm + 0.5;  // 0 at the far end
  return std::max(0.0, strip.lift.far_mm + part * (strip.lift.fence_mm - strip.lift.far_mm));
}

StripShape make_strip_shape(const StripScene& strip, std::uint64_t seed) {
  return make_strip_shape(strip, seed, seed);
}

StripShape make_strip_shape(const StripScene& strip, std::uint64_t seed, std::uint64_t slow_seed) {
  const auto edge = [&](StripSide side, const char* name) {
    return make_edge(strip, side, stream_seed(seed, name), stream_seed(slow_seed, name));
  };
  const EdgeCurve left = edge(StripSide::kLeft, "left edge");
  const EdgeCurve right = edge(StripSide::kRight, "right edge");
  StripShape shape;
  shape.left_slope = slope_of(left);
  shape.right_slope = slope_of(right);
  const double half = strip.length_mm / 2;
  const EndScene& ends = strip.ends;
  const EndCut far = {-half, -1, ends.roughness_um, 0, ends.splinters, ends.splinter_mm};
  const EndCut fence = {half, 1, ends.roughness_um, 0, ends.splinters, ends.splinter_mm};
  if (!(strip.break_gap_mm > 0)) {
    shape.pieces.push_back(make_piece(left, right, far, fence, 0, stream_seed(seed, "whole")));
    return shape;
  }
  const double gap = strip.break_gap_mm / 2;
  const EndCut upper = {strip.break_at_mm - gap, 1, 250, 0.4, 3, 1.5};
  const EndCut lower = {strip.break_at_mm + gap, -1, 250, 0.4, 3, 1.5};
  shape.pieces.push_back(
      make_piece(left, right, far, upper, strip.break_shift_mm, stream_seed(seed, "far piece")));
  shape.pieces.push_back(make_piece(left, right, lower, fence, 0, stream_seed(seed, "fence piece")));
  return shape;
}

}  // namespace tapersight
