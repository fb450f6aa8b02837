#include "edges/rival_lines.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/units.h"
#include "numeric/descriptive.h"

namespace tapersight {
namespace {

constexpr double kSofter = 1.3;    // blur over that of what lies on the glass, of what is off it
constexpr double kRoughMm = 0.05;  // how much roughness within a segment may widen its mean profile
// In parts of the edge's step: walls, tape and shadows that are nearer to the wood's tone do not happen,
// lines in plain wood that are as faint do.
constexpr double kOtherMaterial = 0.03;
constexpr double kLeastPieceMm = 5;  // narrower is no strip
constexpr double kMostGapMm = 3;     // wider gaps are seen when the strip is looked for

// Tones of a region, each over a width: what it shows there, and twice as far out again on both sides.
struct Tones {
  double least = 0, most = 0;
  double figure = 0;  // how much they change from px to px, median
  bool any = false;
  bool holds(double tone, double spare) const {
    const double more = (most - least) / 2 + spare;
    return any && tone > least - more && tone < most + more;
  }
};

template <typename From, typename To>
Tones tones_of(const BorderProfiles& p, const BorderCandidate& along, From&& from, To&& to, double width_px) {
  // Bin by bin along the line, so that a bend or lean of the edge does not mix two tones.
  std::vector<double> bins;
  for (int i = -p.size; i < p.size; ++i) {
    double sum = 0;
    int count = 0;
    for (std::size_t s = 0; s < p.segments.size(); ++s) {
      const double at = along.curve_px[s] + i;
      const auto bin = static_cast<std::ptrdiff_t>(std::lround(at + p.outward_px));
      if (at < from(s) || at > to(s) || bin < 0 || bin >= p.size) continue;
      sum += p.segments[s].light[static_cast<std::size_t>(bin)];
      ++count;
    }
    if (2 * count > static_cast<int>(p.segments.size())) bins.push_back(sum / count);
  }
  Tones tones;
  std::vector<double> changes;
  for (std::size_t i = 1; i < bins.size(); ++i) changes.push_back(std::abs(bins[i] - bins[i - 1]));
  if (!changes.empty()) tones.figure = median(std::move(changes));
  // A region narrower than thrice the width is looked at in thirds.
  const auto width = std::clamp<std::size_t>(static_cast<std::size_t>(std::lround(width_px)), 1,
                                             std::max<std::size_t>(1, bins.size() / 3));
  double sum = 0;
  for (std::size_t i = 0; i < bins.size(); ++i) {
    sum += bins[i];
    if (i >= width) sum -= bins[i - width];
    if (i + 1 < width) continue;
    const double mean = sum / static_cast<double>(width);
    tones.least = tones.any ? std::min(tones.least, mean) : mean;
    tones.most = tones.any ? std::max(tones.most, mean) : mean;
    tones.any = true;
  }
  return tones;
}

}  // namespace

Band widest_band(const BorderProfiles& p, const std::vector<BorderCandidate>& all, std::size_t outer,
                 std::size_t inner) {
  Band widest;
  for (std::size_t k = outer; k < inner; ++k) {
    const BorderCandidate& a = all[k];
    const BorderCandidate& b = all[k + 1];
    const double width = b.offset_px - a.offset_px;
    if (width <= widest.width_px) continue;
    const double clear_a = std::min(1.5 * a.blur_px, width / 2),
                 clear_b = std::min(1.5 * b.blur_px, width / 2);
    widest = {mean_light(
                  p, [&](std::size_t s) { return a.curve_px[s] + clear_a - 0.5; },
                  [&](std::size_t s) { return b.curve_px[s] - clear_b + 0.5; }),
              width};
  }
  return widest;
}

namespace {

class Stories {
 public:
  Stories(const BorderProfiles& p, const std::vector<BorderCandidate>& all, std::size_t chosen,
          const BorderOptions& options)
      : p_(p), all_(all), chosen_(chosen), edge_(all[chosen]), o_(options) {}

  bool outside(std::size_t k) const { return could_be_cut(all_[k]) && wood_lies_between(k); }
  bool inside(std::size_t k) const {
    return could_be_cut(all_[k]) && (no_face_lies_between(k) || parts_two_pieces(k));
  }

 private:
  double clear(const BorderCandidate& c) const { return 1.5 * c.blur_px + 1; }

  bool could_be_cut(const BorderCandidate& line) const {
    return is_sharp(line, o_) &&
           line.uneven_px < std::hypot(evenness_limit_px(edge_, o_), place_noise_px(line));
  }

  // What noise makes of the steepest place of a faint line: the slope's own noise over its curvature there.
  double place_noise_px(const BorderCandidate& line) const {
    constexpr double kQuartile = 0.32;  // of |x|, x normal with standard deviation 1
    const double square = line.blur_px * line.blur_px + p_.scale_px * p_.scale_px;
    const double steepest = std::abs(line.step) / std::sqrt(2 * kPi * square);
    return p_.slope_noise() / kQuartile / p_.scale_px * square / steepest;
  }

  // Of a line on the glass, with what roughness adds.
  double softest_px() const {
    return std::hypot(kSofter * std::max(edge_.blur_px, o_.target_blur_px), kRoughMm * o_.px_per_mm);
  }

  bool wood_lies_between(std::size_t k) const {
    const BorderCandidate& line = all_[k];
    if (line.blur_px > softest_px()) return false;
    const Band band = widest_band(p_, all_, k, chosen_);
    const Tones ground = tones_of(
        p_, line, [&](std::size_t) { return -p_.outward_px; },
        [&](std::size_t s) { return line.curve_px[s] - clear(line); }, band.width_px);
    return !ground.holds(band.tone, least_told(line));
  }

  bool no_face_lies_between(std::size_t k) const {
    const BorderCandidate& line = all_[k];
    if (p_.innermost_px() - line.offset_px < kLeastPieceMm * o_.px_per_mm) return false;
    const Band band = widest_band(p_, all_, chosen_, k);
    const Tones face = tones_of(
        p_, edge_, [&](std::size_t s) { return line.curve_px[s] + clear(line); },
        [&](std::size_t) { return p_.innermost_px(); }, band.width_px);
    if (shows_no_figure(k, face)) return true;
    if (std::abs(line.step) < kOtherMaterial * std::abs(edge_.step) ||
        face.holds(band.tone, least_told(line)))
      return false;
    for (std::size_t other = chosen_ + 1; other < all_.size(); ++other)
      if (other != k && std::abs(all_[other].step) > std::abs(line.step) && !beside(other, k)) return false;
    return true;
  }

  // The wood's figure goes on to its edge: beside a lively face an even band is none of it.
  bool shows_no_figure(std::size_t k, const Tones& face) const {
    constexpr double kLively = 4, kLeastPx = 8, kSeen = 0.005;
    const BorderCandidate& line = all_[k];
    if (line.offset_px - edge_.offset_px - clear(edge_) - clear(line) < kLeastPx) return false;
    const Tones band = tones_of(
        p_, edge_, [&](std::size_t s) { return edge_.curve_px[s] + clear(edge_); },
        [&](std::size_t s) { return line.curve_px[s] - clear(line); }, 1);
    return band.any && face.figure > kLively * band.figure && face.figure > kSeen * std::abs(edge_.step);
  }

  // Another piece of wood lies between, and a narrow gap.
  bool parts_two_pieces(std::size_t k) const {
    const BorderCandidate& line = all_[k];
    const BorderCandidate& before = all_[k - 1];
    const double piece = kLeastPieceMm * o_.px_per_mm, gap = line.offset_px - before.offset_px;
    if (before.offset_px - edge_.offset_px < piece || p_.innermost_px() - line.offset_px < piece)
      return false;
    if (gap > kMostGapMm * o_.px_per_mm || before.step * line.step > 0 || !could_be_cut(before)) return false;
    const double depth = std::min(std::abs(line.step), std::abs(before.step));
    for (std::size_t other = chosen_ + 1; other < all_.size(); ++other)
      if (other != k && other != k - 1 && std::abs(all_[other].step) > depth / 2) return false;
    return true;
  }

  // The two sides of one thin line.
  bool beside(std::size_t a, std::size_t b) const {
    constexpr double kThinMm = 0.6;
    return std::abs(all_[a].offset_px - all_[b].offset_px) < kThinMm * o_.px_per_mm &&
           all_[a].step * all_[b].step < 0;
  }

  // The light changes at the line and stays so: less of its step than this is no other tone.
  double least_told(const BorderCandidate& line) const { return 0.25 * std::abs(line.step); }

  const BorderProfiles& p_;
  const std::vector<BorderCandidate>& all_;
  std::size_t chosen_;
  const BorderCandidate& edge_;
  const BorderOptions& o_;
};

}  // namespace

bool is_sharp(const BorderCandidate& line, const BorderOptions& options) {
  const double rough = kRoughMm * options.px_per_mm;
  return line.blur_px <=
         std::sqrt(3.2 * options.target_blur_px * options.target_blur_px + rough * rough + 0.25);
}

double evenness_limit_px(const BorderCandidate& edge, const BorderOptions& options) {
  return std::max(1.5 * edge.uneven_px, 0.03 * options.px_per_mm);
}

std::vector<BorderCandidate> rivals_outside(const BorderProfiles& profiles,
                                            const std::vector<BorderCandidate>& all, std::size_t chosen,
                                            const BorderOptions& options) {
  const Stories stories(profiles, all, chosen, options);
  std::vector<BorderCandidate> rivals;
  for (std::size_t k = 0; k < chosen; ++k)
    if (stories.outside(k)) rivals.push_back(all[k]);
  return rivals;
}

std::vector<BorderCandidate> rivals_inside(const BorderProfiles& profiles,
                                           const std::vector<BorderCandidate>& all, std::size_t chosen,
                                           const BorderOptions& options) {
  const Stories stories(profiles, all, chosen, options);
  std::vector<BorderCandidate> rivals;
  for (std::size_t k = chosen + 1; k < all.size(); ++k)
    if (stories.inside(k)) rivals.push_back(all[k]);
  return rivals;
}

}  // namespace tapersight
