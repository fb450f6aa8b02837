// Whose strip, by the tags' places alone: plain cases are decided, all others are told.
#include "pipeline/match_tags.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

namespace tapersight {
namespace {

PlacedPiece strip(double x, double y, double length = 180, double width = 14) {
  PlacedPiece piece;
  piece.centre_mm = {x, y};
  piece.along = {0, 1};
  piece.length_mm = length;
  piece.width_mm = width;
  piece.strip_like = true;
  return piece;
}

// Beyond the lower end (or the upper) of `at`, touching it.
TagPlace tag(int bench, const PlacedPiece& at, bool lower = true, double beyond = 8.7, double aside = 0,
             double turn_deg = 0) {
  const double way = lower ? 1 : -1;
  const double turn = turn_deg * std::acos(-1) / 180;
  TagPlace place;
  place.bench = bench;
  place.centre_mm = at.end_mm(lower) + Eigen::Vector2d(aside, way * beyond);
  place.pointer = Eigen::Vector2d(std::sin(turn), -way * std::cos(turn));
  return place;
}

std::string code(const std::optional<Failure>& failure) {
  return failure ? failure->code : "fine";
}

TEST(MatchTags, EitherEndIsTheFenceEnd) {
  const std::vector<PlacedPiece> strips = {strip(20, 120), strip(45, 125), strip(70, 118)};
  const TagMatch match =
      match_tags(strips, {tag(5, strips[2]), tag(9, strips[0], false), tag(2, strips[1], true, 14, 4, 25)});
  EXPECT_EQ(match.strips[0].tag, 1U);
  EXPECT_FALSE(match.strips[0].at_fence_direction);
  EXPECT_EQ(match.strips[1].tag, 2U);
  EXPECT_TRUE(match.strips[1].at_fence_direction);
  EXPECT_EQ(match.strips[2].tag, 0U);
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_EQ(code(match.strips[i].problem), "fine");
    EXPECT_EQ(code(match.of_tag[i]), "fine");
  }
}

TEST(MatchTags, WhatIsNotPlainIsTold) {
  const std::vector<PlacedPiece> one = {strip(20, 120)};
  struct Case {
    std::vector<TagPlace> tags;
    const char* strip_says;
    const char* tag_says;
  };
  TagPlace far_off = tag(3, one[0]);
  far_off.centre_mm = {90, 120};
  const Case cases[] = {
      {{far_off}, "strip-without-tag", "tag-without-strip"},
      {{tag(3, one[0], true, 8.7, 0, 180)}, "strip-without-tag", "tag-misplaced"},
      {{tag(3, one[0], true, 8.7, 0, 60)}, "strip-without-tag", "tag-misplaced"},
      {{tag(3, one[0], true, 8.7, 9)}, "strip-without-tag", "tag-misplaced"},
      {{tag(3, one[0], true, -5)}, "strip-without-tag", "tag-misplaced"},
      {{tag(3, one[0], true, 22)}, "strip-without-tag", "tag-misplaced"},
      {{tag(3, one[0]), tag(4, one[0], false)}, "two-tags", "fine"},
      {{tag(3, one[0]), far_off}, "same-tag-twice", "same-tag-twice"},
  };
  for (const Case& c : cases) {
    const TagMatch match = match_tags(one, c.tags);
    EXPECT_EQ(code(match.strips[0].problem), c.strip_says);
    EXPECT_EQ(code(match.of_tag[0]), c.tag_says) << c.strip_says;
  }
}

TEST(MatchTags, TwoStripsThatTouchAreNotOne) {
  // 32 mm wide together, the one tag where the left one has it.
  const PlacedPiece both = strip(20, 120, 180, 32);
  EXPECT_EQ(code(match_tags({both}, {tag(3, both, true, 8.7, -8)}).strips[0].problem), "strip-without-tag");
  EXPECT_EQ(
      code(match_tags({both}, {tag(3, both, true, 8.7, -8), tag(4, both, true, 8.7, 8)}).strips[0].problem),
      "strip-without-tag");
}

TEST(MatchTags, PiecesEndToEnd) {
  // A tag between two strips belongs to the one that it points at.
  const std::vector<PlacedPiece> apart = {strip(20, 60, 90), strip(20, 180, 90)};
  const TagMatch match = match_tags(apart, {tag(3, apart[0])});
  EXPECT_EQ(match.strips[0].tag, 0U);
  EXPECT_EQ(code(match.strips[0].problem), "fine");
  EXPECT_EQ(code(match.strips[1].problem), "strip-without-tag");
  // Nothing between them: broken, whatever the tag says.
  const std::vector<PlacedPiece> broken = {strip(20, 60, 90), strip(21, 154, 90)};
  for (const TaggedStrip& part : match_tags(broken, {tag(3, broken[1])}).strips)
    EXPECT_EQ(code(part.problem), "strip-broken");
}

}  // namespace
}  // namespace tapersight
