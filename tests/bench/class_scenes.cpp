#include "bench/class_scenes.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "base/rng.h"
#include "synth/render_scan.h"
#include "synth/roughness.h"

namespace tapersight::testing {
namespace {

constexpr double kTagRoomMm = 24;

enum class Fault { kNone, kNoTag, kTurnedTag, kTwoTags, kSameTag };

Fault draw_fault(Rng& rng) {
  const double u = rng.uniform();
  if (u < 0.05) return Fault::kNoTag;
  if (u < 0.09) return Fault::kTurnedTag;
  if (u < 0.12) return Fault::kTwoTags;
  if (u < 0.15) return Fault::kSameTag;
  return Fault::kNone;
}

// The look of a strip of another scene, fitted to this scene's lid and place.
StripScene draw_strip(Rng& rng, Edges edges, const ScanScene& scene, double middle_mm, double room_mm) {
  StripScene strip = issue_scene(rng.next(), edges, {true, false, 0}).strips.front();
  const bool dark_lid = scene.ground_tone < 0.5;
  const double tone = dark_lid ? rng.uniform(0.25, 0.65) : rng.uniform(0.12, 0.45);
  strip.wall.tone *= tone / strip.wood.tone;
  strip.wood.tone = tone;
  if (std::abs(scene.ground_tone * (1 - strip.shadow.depth) - tone) < 0.15) strip.shadow = {};
  strip.width_mm = rng.uniform(9, std::min(18.0, room_mm - 9));
  strip.length_mm = rng.uniform(150, 206);
  strip.angle_deg = 180 * rng.integer(0, 1) + rng.uniform(-0.8, 0.8);
  strip.offset_x_mm = middle_mm + rng.uniform(-1, 1);
  const double spare = 254 - strip.length_mm - 2 * kTagRoomMm;
  strip.offset_y_mm = rng.uniform(-0.5, 0.5) * spare;
  return strip;
}

int fresh_bench(Rng& rng, std::set<int>& used) {
  int bench = rng.integer(1, 599);
  while (!used.insert(bench).second) bench = rng.integer(1, 599);
  return bench;
}

void add_tags(Rng& rng, Fault fault, std::set<int>& used, ClassScene& out) {
  const StripScene& strip = out.scene.strips.back();
  const auto tag = [&](int bench, double turn) {
    return tag_at_fence_end(strip, bench, rng.uniform(0, 4), rng.uniform(-3, 3), turn + rng.uniform(-10, 10));
  };
  const int bench = fresh_bench(rng, used);
  out.benches.emplace_back();
  if (fault == Fault::kNoTag) return;
  out.scene.tags.push_back(tag(bench, fault == Fault::kTurnedTag ? 180 : 0));
  if (fault == Fault::kTurnedTag) out.loose_tags.push_back(bench);
  if (fault == Fault::kNone) out.benches.back() = bench;
  if (fault == Fault::kTwoTags) {
    StripScene other_way = strip;
    other_way.angle_deg += 180;
    out.scene.tags.push_back(tag_at_fence_end(other_way, fresh_bench(rng, used), 1));
  }
  if (fault == Fault::kSameTag && out.scene.tags.size() > 1) {
    const int other = rng.integer(0, static_cast<int>(out.scene.tags.size()) - 2);
    const int same = out.scene.tags[static_cast<std::size_t>(other)].bench;
    out.scene.tags.back().bench = same;
    for (auto& b : out.benches)
      if (b == same) b.reset();
  } else if (fault == Fault::kSameTag) {
    out.benches.back() = bench;
  }
}

struct Seen {
  const StripOnSheet* strip;
  std::size_t truth;  // the strip of the scene that it is
};

std::size_t nearest(const ScanTruth& truth, const StripOnSheet& strip, double* distance_mm) {
  std::size_t best = 0;
  *distance_mm = 1e9;
  for (std::size_t i = 0; i < truth.strips.size(); ++i) {
    const Eigen::Vector2d middle =
        truth.glass_from_sheet.inverse() * (truth.strips[i].glass_from_strip * Eigen::Vector2d(0, 0));
    const double d = (middle - strip.centre_mm).norm();
    if (d >= *distance_mm) continue;
    *distance_mm = d;
    best = i;
  }
  return best;
}

bool fence_end_right(const PictureMeasurement& m, const StripTruth& truth) {
  const Eigen::Vector2d way =
      m.map.picture_from_sheet(m.outline.point(10, 0)) - m.map.picture_from_sheet(m.outline.point(-10, 0));
  return way.dot(truth.left_px.fence_end - truth.left_px.far_end) > 0;
}

Trial trial_of(const PictureMeasurement& m, const StripScene& scene, const StripTruth& truth) {
  Trial trial;
  trial.error = m.strip.taper - truth.taper;
  trial.u = m.strip.u_taper;
  trial.dof = m.strip.dof;
  trial.best_variance = best_taper_variance(scene);
  return trial;
}

}  // namespace

ClassScene class_scene(std::uint64_t seed, Edges edges) {
  ClassScene out;
  Rng rng(stream_seed(seed, "class scene"));
  out.scene = issue_scene(seed, edges, {true, false, 0});
  out.scene.channel = Channel::kWide;
  out.scene.window_sheet_mm = fiducial_bounds(layout_of(out.scene));
  out.scene.strips.clear();
  std::set<int> used;
  const int count = rng.integer(1, 6);
  const double room = 134.0 / std::max(count, 3);
  for (int i = 0; i < count; ++i) {
    out.scene.strips.push_back(
        draw_strip(rng, edges, out.scene, (i - (count - 1) / 2.0) * room, std::min(room, 40.0)));
    add_tags(rng, draw_fault(rng), used, out);
  }
  // A tag alone, where there is room for one.
  if (count <= 2 && rng.uniform() < 0.3) {
    TagScene alone;
    alone.bench = fresh_bench(rng, used);
    alone.offset_x_mm = 60;
    alone.offset_y_mm = rng.uniform(-100, 100);
    alone.angle_deg = rng.uniform(0, 360);
    out.scene.tags.push_back(alone);
    out.loose_tags.push_back(alone.bench);
  }
  return out;
}

Trial run_alone(const ClassScene& made, std::size_t strip) {
  ScanScene scene = made.scene;
  scene.tags = {tag_at_fence_end(scene.strips[strip], 1)};
  // Far off the glass rather than away: a strip's random edges go by its place in the list.
  for (std::size_t i = 0; i < scene.strips.size(); ++i)
    if (i != strip) scene.strips[i].offset_x_mm += 5000;
  const RenderedScan scan = render_scan(scene);
  const double dpi = scene.dpi;
  const auto measured = measure_picture(scan.image, dpi, dpi);
  if (measured) return trial_of(*measured, scene.strips[strip], scan.truth.strips[strip]);
  Trial refused;
  refused.refused = measured.failure().code;
  return refused;
}

ClassTrial run_class_trial(const ClassScene& made) {
  const RenderedScan scan = render_scan(made.scene);
  const double dpi = made.scene.dpi;
  ClassTrial out;
  out.strips = static_cast<int>(made.scene.strips.size());
  const auto measured = measure_strips(scan.image, dpi, dpi);
  if (!measured) {
    out.reported = out.strips;
    out.reasons.push_back(measured.failure().code);
    return out;
  }
  std::vector<bool> told(made.scene.strips.size(), false);
  const bool one_untagged = made.scene.tags.empty() && out.strips == 1;
  for (const StripOnSheet& strip : measured->strips) {
    double distance = 0;
    const std::size_t i = nearest(scan.truth, strip, &distance);
    if (distance > 10 || told[i]) {  // something else, or one strip told twice
      if (strip.measured) ++out.mixed_up;
      continue;
    }
    told[i] = true;
    if (!strip.measured) {
      ++out.reported;
      out.reasons.push_back(strip.measured.failure().code);
    } else if (one_untagged && !strip.bench) {
      ++out.reported;  // measured, but under no number
    } else if (strip.bench && strip.bench == made.benches[i] &&
               fence_end_right(*strip.measured, scan.truth.strips[i])) {
      ++out.attributed;
      out.trial_strips.push_back(i);
      out.trials.push_back(trial_of(*strip.measured, made.scene.strips[i], scan.truth.strips[i]));
    } else {
      ++out.mixed_up;
    }
  }
  out.lost = static_cast<int>(std::count(told.begin(), told.end(), false));
  for (const int bench : made.loose_tags)
    out.loose_tags_told += std::any_of(measured->tags.begin(), measured->tags.end(),
                                       [&](const TagProblem& t) { return t.bench == bench; });
  return out;
}

}  // namespace tapersight::testing
