// The whole way through real pictures, on a few sleds: from the hidden error to a squared fence.
#include "bench/shop.h"

#include <gtest/gtest.h>

#include <cmath>

namespace tapersight::shop {
namespace {

constexpr std::uint64_t kSleds = 20;

// Seeded: the same sleds every time. 98 % of twenty leaves no sled out; two adjustments at most.
TEST(Shop, SquaresItsSledsThroughRealPicturesAndNeverSaysSquareFalsely) {
  std::vector<SledStory> stories;
  for (std::uint64_t bench = 1; bench <= kSleds; ++bench) stories.push_back(square_one_sled(bench));
  const ShopTable table = summary(stories);
  std::string told;
  for (const SledStory& story : stories) told += story_line(story);
  SCOPED_TRACE(told + table_text(table));
  EXPECT_GE(table.squared, table.sleds * 0.98);
  EXPECT_EQ(table.false_squares, 0);
  EXPECT_EQ(table.by_moves[3], 0);
  EXPECT_GT(table.said_square, table.sleds / 2);  // it does dare to say so
  EXPECT_LT(table.refused, table.pictures / 10);  // a smooth cut is measurable
}

// The test has teeth: with distances typed up to 80 % wrong most fences stay out after one move.
TEST(Shop, AWrongDistanceShowsAfterOneMove) {
  ShopOptions options;
  options.distance_off = 0.8;
  options.most_moves = 1;
  int squared = 0, false_squares = 0;
  for (std::uint64_t bench = 1; bench <= 4; ++bench) {
    const SledStory story = square_one_sled(bench, options);
    squared += std::fabs(story.error_after) <= options.tolerance.angle ? 1 : 0;
    false_squares += story.false_squares;
  }
  EXPECT_LT(squared, 3);
  EXPECT_EQ(false_squares, 0);
}

}  // namespace
}  // namespace tapersight::shop
