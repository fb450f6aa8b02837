#include "bench/ambiguous_scenes.h"

#include <algorithm>
#include <cmath>

#include "base/rng.h"
#include "bench/issue_scenes.h"
#include "synth/roughness.h"
#include "synth/strip_shape.h"

namespace tapersight::testing {
namespace {

constexpr double kThouPerLean = 7500;  // over 7.5 in

// A line along one side of a strip, told from its edge: `inward_mm` behind it at the middle.
struct SideLine {
  double v_mm = 0, lean = 0;
  double inward = 1;  // +1: the strip lies at larger v
};

class Maker {
 public:
  Maker(std::uint64_t seed, Ambiguity kind) : rng_(stream_seed(seed, "ambiguous " + ambiguity_name(kind))) {
    SceneOptions options;
    options.small = true;
    options.print_ratio_sd = 0.003;
    scene_ = issue_scene(seed, rng_.integer(0, 2) == 0 ? Edges::kRough : Edges::kSmooth, options);
    StripScene& strip = scene_.strips.front();
    strip.wall = {};
    strip.shadow = {};
    strip.wood.burns.clear();
    strip.wood.grain_contrast = rng_.integer(0, 1) == 0 ? rng_.uniform(0, 0.08) : rng_.uniform(0.15, 0.5);
    side_ = rng_.integer(0, 1) == 0 ? StripSide::kLeft : StripSide::kRight;
    strip.wood.tone = rng_.uniform(0.12, 0.6);
    const double light = rng_.uniform(0.75, 0.92), dark = rng_.uniform(0.02, 0.05);
    scene_.ground_tone = strip.wood.tone > 0.42 ? dark : rng_.integer(0, 1) == 0 ? light : dark;
    if (std::abs(scene_.ground_tone - strip.wood.tone) < 0.15) scene_.ground_tone = light;
  }

  ScanScene made(Ambiguity kind) {
    StripScene& strip = scene_.strips.front();
    switch (kind) {
      case Ambiguity::kTwoTogether:
        lay_two();
        break;
      case Ambiguity::kGlueLine:
        band(line(0.3, 5), rng_.uniform(0.08, 0.3), rng_.uniform(0.2, 0.6));
        break;
      case Ambiguity::kSapwood:
        from_edge(line(0.4, 5), tone_apart(0.55, 1.7));
        break;
      case Ambiguity::kRingLine:
        band(line(0.3, 1.6), rng_.uniform(0.1, 0.35), rng_.uniform(0.45, 0.8)).waver_um = 30;
        break;
      case Ambiguity::kPencilLine:
        band(line(0.5, 6), rng_.uniform(0.2, 0.5), rng_.uniform(0.3, 0.7));
        break;
      case Ambiguity::kTapeBeside:
        beside(line(-2, -0.1), rng_.uniform(0.25, 0.8), 0);
        break;
      case Ambiguity::kTapeOver:
        tape_over();
        break;
      case Ambiguity::kBurntEdge:
        scene_.ground_tone = rng_.uniform(0.02, 0.05);
        strip.wood.tone = std::max(strip.wood.tone, 0.25);
        from_edge(line(0.4, 3), (scene_.ground_tone + rng_.uniform(0, 0.03)) / strip.wood.tone);
        break;
      case Ambiguity::kChalk:
        scene_.ground_tone = rng_.uniform(0.75, 0.92);
        strip.wood.tone = std::min(strip.wood.tone, 0.4);
        from_edge(line(0.4, 3), 1).cover = scene_.ground_tone * rng_.uniform(0.93, 1);
        break;
      case Ambiguity::kHardShadow:
        scene_.ground_tone = rng_.uniform(0.75, 0.92);
        strip.wood.tone = std::min(strip.wood.tone, 0.45);
        beside(line(-3, -0.3), strip.wood.tone * rng_.uniform(0.85, 1.15), rng_.uniform(0, 0.06));
        break;
      case Ambiguity::kWornArris:
        from_edge(line(0.3, 0.9), tone_apart(0.4, 1.4));
        break;
      case Ambiguity::kSharpWall:
        lay_aslant();
        break;
    }
    return scene_;
  }

 private:
  double inward() const { return side_ == StripSide::kLeft ? 1 : -1; }

  // Of the light, and not nearly all of it.
  double tone_apart(double low, double high) {
    double factor = 1;
    while (std::abs(factor - 1) < 0.12) factor = rng_.uniform(low, high);
    return factor;
  }

  SideLine line(double low_mm, double high_mm) {
    const StripScene& strip = scene_.strips.front();
    const double edge = straight_edge(strip, side_, 0);
    const double edge_lean = straight_edge(strip, side_, 1) - edge;
    const double way = rng_.integer(0, 1) == 0 ? 1 : -1;
    double lean = rng_.uniform(3, 40) / kThouPerLean, off = rng_.uniform(low_mm, high_mm);
    // It stays on its own side of the edge from end to end, or the scene would be another.
    const double half = strip.length_mm / 2;
    const double nearest = std::min(std::abs(low_mm), std::abs(high_mm)) / 2;
    lean = std::min(lean, std::max(0.0, std::abs(off) - nearest) / half);
    return {edge + inward() * off, edge_lean + way * lean, inward()};
  }

  BandScene& band(const SideLine& at, double width_mm, double factor) {
    BandScene b;
    b.low_mm = at.v_mm - width_mm / 2;
    b.high_mm = at.v_mm + width_mm / 2;
    b.low_lean = b.high_lean = at.lean;
    b.factor = factor;
    return add(b);
  }

  // From outside the edge to the line, on the face.
  BandScene& from_edge(const SideLine& at, double factor) {
    BandScene b;
    b.low_mm = at.inward > 0 ? at.v_mm - 20 : at.v_mm;
    b.high_mm = at.inward > 0 ? at.v_mm : at.v_mm + 20;
    b.low_lean = b.high_lean = at.lean;
    b.factor = factor;
    return add(b);
  }

  // From the line to the strip and under it, on the ground.
  void beside(const SideLine& at, double tone, double soft_mm) {
    BandScene b;
    b.low_mm = at.inward > 0 ? at.v_mm : at.v_mm - 8;
    b.high_mm = at.inward > 0 ? at.v_mm + 8 : at.v_mm;
    b.low_lean = b.high_lean = at.lean;
    b.on_face = false;
    b.on_ground = true;
    b.cover = tone;
    b.soft_mm = soft_mm;
    add(b);
  }

  void tape_over() {
    const SideLine outer = line(-6, -3), inner = line(0.5, 4);
    BandScene b;
    const SideLine& low = inward() > 0 ? outer : inner;
    const SideLine& high = inward() > 0 ? inner : outer;
    b.low_mm = low.v_mm;
    b.low_lean = low.lean;
    b.high_mm = high.v_mm;
    b.high_lean = high.lean;
    b.on_ground = true;
    b.cover = rng_.uniform(0.3, 0.8);
    b.past_mm = rng_.uniform(0, 3);
    add(b);
  }

  BandScene& add(const BandScene& b) {
    scene_.strips.front().bands.push_back(b);
    return scene_.strips.front().bands.back();
  }

  void lay_two() {
    StripScene first = scene_.strips.front();
    first.width_mm = rng_.uniform(8, 20);
    first.angle_deg = rng_.uniform(-0.6, 0.6);
    first.offset_y_mm = 0;
    StripScene second = first;
    second.width_mm = rng_.uniform(8, 20);
    second.length_mm -= rng_.uniform(0, 10);
    second.taper = rng_.uniform(-0.005, 0.005);
    const double gap_mm = rng_.uniform(0.2, 1.5);
    first.offset_x_mm = -(first.width_mm + gap_mm) / 2;
    second.offset_x_mm = (second.width_mm + gap_mm) / 2;
    // The sides by the gap run along each other.
    second.angle_deg += (first.taper + second.taper) / 2 * 180 / 3.14159265358979;
    scene_.strips = {first, second};
  }

  void lay_aslant() {
    StripScene& strip = scene_.strips.front();
    strip.angle_deg = (rng_.integer(0, 1) == 0 ? 1 : -1) * rng_.uniform(0.4, 2);
    strip.wall.mode = WallScene::Mode::kLens;
    strip.wall.thickness_mm = rng_.uniform(6, 20);
    strip.wall.lens_distance_mm = rng_.uniform(200, 400);
    strip.wall.tone = strip.wood.tone * tone_apart(0.3, 1.3);
    strip.wall.far_arris_blur_mm = 0;
  }

  Rng rng_;
  ScanScene scene_;
  StripSide side_ = StripSide::kLeft;
};

}  // namespace

std::string ambiguity_name(Ambiguity kind) {
  switch (kind) {
    case Ambiguity::kTwoTogether:
      return "two-together";
    case Ambiguity::kGlueLine:
      return "glue-line";
    case Ambiguity::kSapwood:
      return "sapwood";
    case Ambiguity::kRingLine:
      return "ring-line";
    case Ambiguity::kPencilLine:
      return "pencil-line";
    case Ambiguity::kTapeBeside:
      return "tape-beside";
    case Ambiguity::kTapeOver:
      return "tape-over";
    case Ambiguity::kBurntEdge:
      return "burnt-edge";
    case Ambiguity::kChalk:
      return "chalk";
    case Ambiguity::kHardShadow:
      return "hard-shadow";
    case Ambiguity::kWornArris:
      return "worn-arris";
    case Ambiguity::kSharpWall:
      return "sharp-wall";
  }
  return "";
}

ScanScene ambiguous_scene(std::uint64_t seed, Ambiguity kind) {
  return Maker(seed, kind).made(kind);
}

}  // namespace tapersight::testing
