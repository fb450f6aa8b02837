// The sentences carry the numbers of the result, in the units asked for, and never tell a guess as a fact.
#include "fence/describe.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tapersight {
namespace {

using ::testing::Contains;
using ::testing::HasSubstr;
using ::testing::Not;

SledSetup bench_sled() {
  SledSetup setup;
  setup.pivot_distance_mm = 45 * kMmPerInch;
  return setup;
}

const Taper kWorked{0.065 / 7.5, 0.0001, kInfiniteDof};

TEST(Describe, ErrorInInches) {
  const auto lines = describe_error(*fence_error(kWorked, bench_sled()), bench_sled(), Units::kInch);
  EXPECT_EQ(
      lines.at(0),
      "The fence is turned counter-clockwise, seen from above, by 26.00 +/- 0.59 thou over a cut of 12 in.");
  EXPECT_EQ(
      lines.at(1),
      "That is 0.002167 +/- 0.000049 in per inch, 2.167 +/- 0.049 mm/m, 0.1241 +/- 0.0028 deg (95 %, k = "
      "1.96).");
  EXPECT_EQ(lines.size(), 2u);
}

TEST(Describe, ErrorInMillimetres) {
  SledSetup setup = bench_sled();
  setup.cut_length_mm = 300;
  const auto lines = describe_error(*fence_error({-0.002, 0.0001, 10}, setup), setup, Units::kMillimetre);
  EXPECT_EQ(lines.at(0),
            "The fence is turned clockwise, seen from above, by 0.150 +/- 0.017 mm over a cut of 300 mm.");
  EXPECT_EQ(lines.at(1), "That is 0.500 +/- 0.056 mm/m, 0.0286 +/- 0.0032 deg (95 %, k = 2.23).");
}

TEST(Describe, MoveSaysWhichEndAndWhichWay) {
  const SledSetup setup = bench_sled();
  const auto lines =
      describe_move(*correction_move(*fence_error(kWorked, setup), setup), setup, Units::kInch);
  ASSERT_EQ(lines.size(), 2u);
  EXPECT_EQ(lines[0], "Move the right end of the fence 97.5 +/- 2.2 thou toward you.");
  EXPECT_EQ(lines[1], "The pivot is at its left end, 45 in away.");
  EXPECT_EQ(move_phrase(*correction_move(*fence_error(kWorked, setup), setup), Units::kInch),
            "Move the right end of the fence 97.5 thou (0.0975 in) toward you");
  SledSetup other = setup;
  other.pivot = Side::kRight;
  EXPECT_THAT(
      describe_move(*correction_move(*fence_error(kWorked, other), other), other, Units::kMillimetre)[0],
      HasSubstr("Move the left end of the fence 2.476 +/- 0.056 mm away from you"));
}

TEST(Describe, AGuessIsCalledAGuess) {
  const SledSetup setup = bench_sled();
  const FenceError unsure = *fence_error({0.0001, 0.0001, kInfiniteDof}, setup);
  EXPECT_THAT(describe_error(unsure, setup, Units::kInch), Contains(HasSubstr("is a guess")));
  EXPECT_THAT(describe_move(*correction_move(unsure, setup), setup, Units::kInch),
              Contains(HasSubstr("Leave the fence alone")));
  const FenceError sure = *fence_error(kWorked, setup);
  EXPECT_THAT(describe_error(sure, setup, Units::kInch), Not(Contains(HasSubstr("is a guess"))));
}

TEST(Describe, ZeroErrorCallsForNoMove) {
  const SledSetup setup = bench_sled();
  const FenceError none = *fence_error({0, 0.0001, kInfiniteDof}, setup);
  EXPECT_THAT(describe_error(none, setup, Units::kInch)[0], HasSubstr("shows no error"));
  EXPECT_THAT(describe_move(*correction_move(none, setup), setup, Units::kInch)[0],
              HasSubstr("No move is called for"));
}

TEST(Describe, CautionsNameThePlugTheHandsAndTheManual) {
  EXPECT_THAT(adjusting_cautions(), Contains(HasSubstr("Unplug the saw")));
  EXPECT_THAT(cutting_cautions(), Contains(HasSubstr("Keep your hands out of the blade's path")));
  EXPECT_THAT(cutting_cautions(), Contains(HasSubstr("hold-down")));
  for (const auto& cautions : {adjusting_cautions(), cutting_cautions()})
    EXPECT_THAT(cautions, Contains(HasSubstr("Your saw's manual and your shop's rules come first")));
}

}  // namespace
}  // namespace tapersight
