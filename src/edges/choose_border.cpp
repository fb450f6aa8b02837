#include "edges/choose_border.h"

#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <optional>

#include "edges/border_profiles.h"
#include "edges/line_chains.h"
#include "edges/rival_lines.h"
#include "imaging/blurred_step.h"
#include "numeric/dense.h"

namespace tapersight {
namespace {

constexpr int kSegments = BorderProfiles::kSegments;
// How far from where it was going a sawn edge may be found in the next segment, some 7 mm on: a waver of a
// quarter of a millimetre over 60 mm turns by less.
constexpr double kMostStepMm = 0.12;
// Places that meet by chance lie anywhere within that step: more than half a pixel about their neighbours'
// mean.
constexpr double kUnevenPx = 0.5;

// Straight line through the places of a line.
BorderCandidate describe(const LineChain& chain, double slope) {
  BorderCandidate c;
  double sw = 0, st = 0, so = 0, stt = 0, sto = 0, soo = 0;
  for (std::size_t s = 0; s < chain.at.size(); ++s) {
    c.curve_px.push_back(chain.at[s].offset_px);
    if (!chain.shows(s)) continue;
    const double t = BorderProfiles::along(static_cast<int>(s)), offset = chain.at[s].offset_px;
    sw += 1;
    st += t;
    so += offset;
    stt += t * t;
    sto += t * offset;
    soo += offset * offset;
  }
  c.lean_px = (sw * sto - st * so) / (sw * stt - st * st);
  c.offset_px = (so - c.lean_px * st) / sw;
  c.straight_px = std::sqrt(std::max(0.0, (soo - c.offset_px * so - c.lean_px * sto) / sw));
  c.slope = slope;
  c.uneven_px = chain.unevenness_px();
  c.consistent = chain.consistent();
  return c;
}

// How far the nearest other line is, px across, outward and inward.
struct Room {
  double outward_px = HUGE_VAL, inward_px = HUGE_VAL;
};

// Step and blur: Gauss-Newton fit of a blurred step to all segments, put in line, half way to its neighbours.
void measure_step(const BorderProfiles& p, const Room& room, BorderCandidate& c) {
  const double half = std::max(3.5, 3.2 * p.scale_px);
  const double outward = std::min(half, room.outward_px / 2), inward = std::min(half, room.inward_px / 2);
  const bool crowded =
      std::min(outward, inward) < 2 * p.scale_px;  // then its blur cannot be told from its step
  double blur = p.scale_px;
  double shift = 0;
  double low = 0;
  double step = 0;
  // The best of the passes: beside a sharpened edge's halo the fit may run away.
  struct {
    double cost = HUGE_VAL, step = 0, blur = 1, shift = 0;
  } best;
  for (int pass = 0; pass < 12; ++pass) {
    double cost = 0;
    Eigen::Matrix4d normal = 1e-12 * Eigen::Matrix4d::Identity();
    Eigen::Vector4d right = Eigen::Vector4d::Zero();
    for (int s = 0; s < kSegments; ++s) {
      const double at = c.curve_px[static_cast<std::size_t>(s)] + p.outward_px;
      for (int i = std::max(0, static_cast<int>(std::ceil(at - outward)));
           i <= std::min(p.size - 1, static_cast<int>(std::floor(at + inward))); ++i) {
        const double x = i - at - shift;
        const BlurredStep::Exact e = BlurredStep::exact(x, blur);
        const double r =
            p.segments[static_cast<std::size_t>(s)].light[static_cast<std::size_t>(i)] - low - step * e.value;
        Eigen::Vector4d j(1, e.value, -step * e.slope, step * e.by_blur);
        if (pass == 0) j.tail<2>().setZero();  // first the two levels
        if (crowded) j[3] = 0;
        normal += j * j.transpose();
        right += r * j;
        cost += r * r;
      }
    }
    if (pass > 0 && cost < best.cost) best = {cost, step, blur, shift};
    const Eigen::Vector4d d = solve_symmetric_4(normal, right);
    low += d[0];
    step += d[1];
    shift = std::clamp(shift + std::clamp(d[2], -1.0, 1.0), -half / 2, half / 2);
    blur = std::clamp(blur + std::clamp(d[3], -0.4 * blur, 0.4 * blur), 0.25, 4 * half);
  }
  c.step = best.step;
  c.blur_px = best.blur;
  c.offset_px += best.shift;
  for (double& offset : c.curve_px) offset += best.shift;
}

void measure_steps(const BorderProfiles& p, std::vector<BorderCandidate>& all) {
  std::vector<Room> rooms(all.size());
  for (std::size_t k = 1; k < all.size(); ++k)
    rooms[k - 1].inward_px = rooms[k].outward_px = std::max(1.0, all[k].offset_px - all[k - 1].offset_px);
  for (std::size_t k = 0; k < all.size(); ++k) measure_step(p, rooms[k], all[k]);
}

void drop_faint(std::vector<BorderCandidate>& all) {
  constexpr double kLeastStep = 0.006;  // light
  all.erase(std::remove_if(all.begin(), all.end(),
                           [](const BorderCandidate& c) { return std::abs(c.step) < kLeastStep; }),
            all.end());
}

// The halo of a sharpened edge, or its own flank: a line of less than half its strength beside a stronger
// one, nearer than the optics and a sharpening of two pixels can part, and parallel to it. The two sides of a
// thin line are as strong as each other.
void drop_flanks(std::vector<BorderCandidate>& all, const BorderOptions& o) {
  const double near_px = 2.5 * std::max(1.0, o.target_blur_px);
  constexpr double kParallelPx = 0.3;
  std::vector<BorderCandidate> kept;
  for (const BorderCandidate& c : all)
    if (std::none_of(all.begin(), all.end(), [&](const BorderCandidate& other) {
          return std::abs(other.step) > 2 * std::abs(c.step) &&
                 std::abs(other.offset_px - c.offset_px) < near_px &&
                 std::abs(other.lean_px - c.lean_px) < kParallelPx;
        }))
      kept.push_back(c);
  all = std::move(kept);
}

// How far two lines are from going the same way, up to their angle: rms of the distance between them about a
// line.
double apart_px(const BorderCandidate& a, const BorderCandidate& b) {
  const auto n = static_cast<Eigen::Index>(a.curve_px.size());
  Eigen::MatrixXd line(n, 2);
  Eigen::VectorXd apart(n);
  for (Eigen::Index s = 0; s < n; ++s) {
    line.row(s) << 1, BorderProfiles::along(static_cast<int>(s));
    apart[s] = b.curve_px[static_cast<std::size_t>(s)] - a.curve_px[static_cast<std::size_t>(s)];
  }
  const Eigen::Vector2d fitted = PivotedQr(line).solve(apart);
  return std::sqrt((apart - line * fitted).squaredNorm() / static_cast<double>(n));
}

// Is `inner` the border of the strip's face behind a band (side wall, hard shadow) that `outer` starts?
bool bounds_a_band(const BorderProfiles& p, const std::vector<BorderCandidate>& all, std::size_t outer,
                   std::size_t inner, const BorderOptions& o) {
  const BorderCandidate& a = all[outer];
  const BorderCandidate& b = all[inner];
  if (b.offset_px - a.offset_px > 5 * o.px_per_mm) return false;
  if (b.consistent < 0.85 || !is_sharp(b, o) || apart_px(a, b) > evenness_limit_px(a, o)) return false;
  // A line of the wood has the same tone on both sides; behind the band lies another tone, all over the face.
  const double clear = 1.5 * std::max(a.blur_px, b.blur_px);
  const double face = mean_light(
      p, [&](std::size_t s) { return b.curve_px[s] + clear; }, [&](std::size_t /*s*/) { return p.size; });
  const double band = widest_band(p, all, outer, inner).tone;
  if ((face - band) * b.step < 0.4 * b.step * b.step) return false;
  // Stronger than what else is straight within the strip: other peaks are chance meetings of the grain.
  for (std::size_t k = 0; k < all.size(); ++k) {
    if (k == outer || k == inner || all[k].uneven_px > std::min(kUnevenPx, 3 * evenness_limit_px(a, o)))
      continue;
    if (k > outer && k < inner && std::abs(all[k].step) > 0.5 * std::abs(b.step)) return false;
    if (k > inner && std::abs(all[k].step) > 0.4 * std::abs(b.step)) return false;
  }
  return std::abs(b.step) > 0.15 * std::abs(a.step);
}

// Behind a faint shadow's border, a sharpened edge's halo or a hair along the strip the ground goes on: the
// band behind the line, up to the next, is nearer to the ground's tone than to the face's.
bool leaves_the_ground(const BorderProfiles& p, const std::vector<BorderCandidate>& all, std::size_t k,
                       const BorderOptions& o) {
  constexpr double kTold = 0.03;         // light between ground and face, for the tones to tell anything
  constexpr double kOfTheGround = 0.35;  // of the way from the ground's tone to the face's
  const BorderCandidate& a = all[k];
  const double clear = 1.5 * a.blur_px + 1;
  const double ground = mean_light(
      p, [&](std::size_t /*s*/) { return -p.outward_px; },
      [&](std::size_t s) { return a.curve_px[s] - clear; });
  const double face = mean_light(
      p, [&](std::size_t /*s*/) { return (p.size - p.outward_px) / 2; },
      [&](std::size_t /*s*/) { return p.size; });
  if (std::abs(face - ground) < kTold) return true;
  const auto next = [&](std::size_t s) {
    const double most = a.curve_px[s] + clear + o.px_per_mm;
    return k + 1 < all.size() ? std::min(most, all[k + 1].curve_px[s]) : most;
  };
  const double band = mean_light(
      p, [&](std::size_t s) { return std::min(a.curve_px[s] + clear, (a.curve_px[s] + next(s)) / 2); },
      [&](std::size_t s) { return std::max(next(s) - clear, (a.curve_px[s] + next(s)) / 2); });
  return (band - ground) / (face - ground) > kOfTheGround;
}

// Takes out what wavers and is weak or has no width of its own: chance meetings of the grain, or the flank of
// a strong line under another slant.
void drop_chance_meetings(std::vector<BorderCandidate>& all, const BorderOptions& o) {
  double strongest = 0;
  for (const BorderCandidate& c : all)
    if (c.uneven_px < 0.5) strongest = std::max(strongest, std::abs(c.step));
  all.erase(std::remove_if(all.begin(), all.end(),
                           [&](const BorderCandidate& c) {
                             return c.uneven_px > kUnevenPx &&
                                    (std::abs(c.step) < 0.25 * strongest || c.blur_px > 8 * o.target_blur_px);
                           }),
            all.end());
}

// All that could be a line of the strip, from outside to inside; seen in `least_seen` of the segments.
std::vector<BorderCandidate> lines_in(const BorderProfiles& profiles, const BorderOptions& options,
                                      double least_seen) {
  constexpr double kFaint = 0.35, kMostShared = 2.0 / 3;
  const double least_slope = std::min(3 * profiles.slope_noise(), 0.02);
  std::vector<BorderCandidate> candidates;
  for (const LineChain& chain : line_chains(profiles.segments, profiles.outward_px, kFaint * least_slope,
                                            std::max(1.0, kMostStepMm * options.px_per_mm), least_seen)) {
    const double slope = chain.shared_slope(std::min(least_seen, kMostShared));
    if (std::abs(slope) >= least_slope) candidates.push_back(describe(chain, slope));
  }
  measure_steps(profiles, candidates);
  drop_flanks(candidates, options);
  measure_steps(profiles, candidates);  // with the room that the flanks leave
  drop_faint(candidates);
  drop_chance_meetings(candidates, options);
  return candidates;
}

BorderProfiles profiles_of(const ScanLines& lines, const SidePath& path, const BorderOptions& options) {
  return border_profiles(lines, path, options.outward_mm * options.px_per_mm,
                         options.inward_mm * options.px_per_mm, std::max(1.0, options.target_blur_px));
}

}  // namespace

Failure edge_not_found() {
  return {"edge-not-found", "One long edge of the strip cannot be made out from end to end.",
          "Put a different tone behind the strip, brush off sawdust, and scan again."};
}

Result<BorderCandidate> choose_border(const ScanLines& lines, const SidePath& path,
                                      const BorderOptions& options) {
  const BorderProfiles profiles = profiles_of(lines, path, options);
  constexpr double kLeastSeen = 0.7;
  const std::vector<BorderCandidate> candidates = lines_in(profiles, options, kLeastSeen);
  bool soft_seen = false;
  std::size_t first = 0;
  while (first < candidates.size() && !is_sharp(candidates[first], options)) {
    soft_seen = true;
    ++first;
  }
  std::size_t leaving = first;
  while (leaving < candidates.size() && (!is_sharp(candidates[leaving], options) ||
                                         !leaves_the_ground(profiles, candidates, leaving, options)))
    ++leaving;
  // What only lies beside the edge is the weaker line of the two.
  constexpr double kStronger = 2;
  if (leaving < candidates.size() &&
      std::abs(candidates[leaving].step) > kStronger * std::abs(candidates[first].step))
    first = leaving;
  if (first == candidates.size()) {
    if (soft_seen)
      return Failure{"too-blurred",
                     "One long edge of the strip is too blurred to measure, or lost in a shadow.",
                     "Press the strip flat on the glass, its clean sawn face down, or put a different tone "
                     "behind it, and scan again."};
    return edge_not_found();
  }
  std::size_t chosen = first;
  for (std::size_t k = first + 1; k < candidates.size(); ++k)
    if (bounds_a_band(profiles, candidates, first, k, options)) {
      chosen = k;
      break;
    }
  return candidates[chosen];
}

namespace {

// The line of the list that is the edge.
std::optional<std::size_t> place_of(const BorderCandidate& edge, const std::vector<BorderCandidate>& all) {
  constexpr double kSamePx = 1;
  for (std::size_t k = 0; k < all.size(); ++k)
    if (std::abs(all[k].offset_px - edge.offset_px) < kSamePx && all[k].step * edge.step > 0) return k;
  return std::nullopt;
}

}  // namespace

std::vector<BorderCandidate> find_rivals(const ScanLines& lines, const SidePath& path,
                                         const BorderCandidate& edge, const BorderOptions& options) {
  constexpr double kLeastSeen = 0.5;  // a line that leans otherwise may run into the edge on the way
  constexpr double kPastEdgeMm = 1;
  std::vector<BorderCandidate> rivals;
  // Apart, for on the even ground fainter lines can be told than in the wood.
  BorderOptions outside = options;
  outside.inward_mm = edge.offset_px / options.px_per_mm + kPastEdgeMm;
  const BorderProfiles ground = profiles_of(lines, path, outside);
  std::vector<BorderCandidate> all = lines_in(ground, outside, kLeastSeen);
  if (const auto at = place_of(edge, all)) {
    // The pieces of a shadow's soft border crowd each other: with room each is as soft as the whole.
    for (std::size_t k = 0; k < *at; ++k)
      measure_step(ground, {HUGE_VAL, all[*at].offset_px - all[k].offset_px}, all[k]);
    rivals = rivals_outside(ground, all, *at, options);
  }
  const BorderProfiles face = profiles_of(lines, path, options);
  all = lines_in(face, options, kLeastSeen);
  if (const auto at = place_of(edge, all)) {
    const auto inside = rivals_inside(face, all, *at, options);
    rivals.insert(rivals.end(), inside.begin(), inside.end());
  }
  return rivals;
}

}  // namespace tapersight
