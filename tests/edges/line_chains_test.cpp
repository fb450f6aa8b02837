// Lines followed from segment to segment on slopes made by hand: no picture, no optics.
#include "edges/line_chains.h"

#include <gmock/gmock.h>

#include <cmath>
#include <functional>

#include "base/rng.h"

namespace tapersight {
namespace {

constexpr int kSegments = 32, kOutward = 20, kSize = 120;

struct Drawn {
  std::function<double(int)> offset_px;  // by segment
  double slope = 0.1;
  std::function<bool(int)> shown = [](int) { return true; };
};

// A line's slope falls off to both sides as a parabola: its top is where it was drawn, exactly.
std::vector<SegmentProfile> drawn(const std::vector<Drawn>& lines, double noise = 0) {
  Rng rng(404);
  std::vector<SegmentProfile> segments(kSegments);
  for (int s = 0; s < kSegments; ++s) {
    auto& slope = segments[static_cast<std::size_t>(s)].slope;
    for (int i = 0; i < kSize; ++i) {
      double sum = noise * rng.normal();
      for (const Drawn& line : lines) {
        const double x = i - kOutward - line.offset_px(s);
        if (line.shown(s)) sum += line.slope * std::max(0.0, 1 - x * x / 9);
      }
      slope.push_back(sum);
    }
  }
  return segments;
}

std::vector<LineChain> chains_of(const std::vector<Drawn>& lines, double noise = 0) {
  return line_chains(drawn(lines, noise), kOutward, 0.01, 1.5, 0.7);
}

TEST(LineChains, FollowsStraightBowedAndWaveringLinesToTheirPlaces) {
  const std::vector<std::function<double(int)>> ways = {
      [](int s) { return 3 + 0.2 * s; },
      [](int s) { return 30 + 4 * std::pow((s - 15.5) / 15.5, 2); },
      [](int s) { return 60 + 1.5 * std::sin(2 * M_PI * s / 8); },
  };
  const auto chains = chains_of({{ways[0]}, {ways[1], -0.05}, {ways[2], 0.08}});
  ASSERT_EQ(chains.size(), 3U);
  for (std::size_t k = 0; k < 3; ++k) {
    EXPECT_EQ(chains[k].consistent(), 1);
    for (int s = 0; s < kSegments; ++s)
      EXPECT_NEAR(chains[k].at[static_cast<std::size_t>(s)].offset_px, ways[k](s), 0.05) << k << ", " << s;
  }
  EXPECT_GT(chains[0].shared_slope(2.0 / 3), 0.09);
  EXPECT_LT(chains[1].shared_slope(2.0 / 3), -0.04);
}

// Behind a dark streak the edge is lost for longer than a line is looked for, and goes on beyond.
TEST(LineChains, ALineThatIsHiddenForAWhileIsOneLine) {
  const auto chains =
      chains_of({{[](int s) { return 10 + 0.3 * s; }, 0.1, [](int s) { return s < 12 || s > 20; }}});
  ASSERT_EQ(chains.size(), 1U);
  EXPECT_NEAR(chains[0].consistent(), 23.0 / 32, 1e-9);
  // Between, it is taken to be straight.
  EXPECT_NEAR(chains[0].at[16].offset_px, 10 + 0.3 * 16, 0.05);
}

TEST(LineChains, HalfALineIsNoLine) {
  EXPECT_TRUE(chains_of({{[](int) { return 10.0; }, 0.1, [](int s) { return s < 18; }}}).empty());
}

TEST(LineChains, TwoLinesThatCrossWithOtherSignsAreTwo) {
  const auto chains =
      chains_of({{[](int s) { return 10 + 0.5 * s; }}, {[](int s) { return 40 - 0.6 * s; }, -0.1}});
  ASSERT_EQ(chains.size(), 2U);
  EXPECT_LT(chains[0].shared_slope(2.0 / 3) * chains[1].shared_slope(2.0 / 3), 0);
}

TEST(LineChains, UnevennessIsThatOfThePlacesAndNotOfTheBow) {
  Rng rng(77);
  std::vector<double> jitter(kSegments);
  for (double& j : jitter) j = 0.2 * rng.normal();
  const auto chains = chains_of({{[&](int s) {
    return 10 + 5 * std::pow((s - 15.5) / 15.5, 2) + jitter[static_cast<std::size_t>(s)];
  }}});
  ASSERT_EQ(chains.size(), 1U);
  // 30 second differences tell a standard deviation to some 15 %.
  EXPECT_NEAR(chains[0].unevenness_px(), 0.2, 0.08);
}

// White noise has steep places everywhere; what meets there by chance is uneven.
TEST(LineChains, WhatNoiseMakesIsUneven) {
  for (const LineChain& chain : chains_of({}, 0.02)) EXPECT_GT(chain.unevenness_px(), 0.3);
}

}  // namespace
}  // namespace tapersight
