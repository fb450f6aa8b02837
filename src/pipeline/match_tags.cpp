#include "pipeline/match_tags.h"

#include <algorithm>
#include <cmath>
#include <string>

namespace tapersight {
namespace {

constexpr double kLeastBeyondMm = 2, kMostBeyondMm = 20;  // touching: 8.7 mm less what was hidden with it
constexpr double kMostAsideMm =
    6;  // half a narrow strip's width: two strips that touch are not taken for one
constexpr double kLeastPointing = 0.766;  // cosine of 40 degrees
constexpr double kNearMm = 25, kNearAsideMm = 8;

struct Seat {
  bool near = false, good = false;
};

// How the tag lies to one end of a strip.
Seat seat_of(const TagPlace& tag, const PlacedPiece& strip, bool fence_end) {
  const Eigen::Vector2d outward = fence_end ? strip.along : Eigen::Vector2d(-strip.along);
  const Eigen::Vector2d from_end = tag.centre_mm - strip.end_mm(fence_end);
  const double beyond = from_end.dot(outward);
  const double aside = std::abs(from_end.dot(strip.across()));
  Seat seat;
  seat.near = beyond > -kNearMm / 2 && beyond < kNearMm && aside < strip.width_mm / 2 + kNearAsideMm;
  seat.good = seat.near && beyond >= kLeastBeyondMm && beyond <= kMostBeyondMm && aside <= kMostAsideMm &&
              tag.pointer.dot(-outward) >= kLeastPointing;
  return seat;
}

std::string named(const TagPlace& tag) {
  return "tag " + std::to_string(tag.bench);
}

Failure twice(const TagPlace& tag) {
  return {"same-tag-twice", "There are two tags with the number " + std::to_string(tag.bench) + ".",
          "Keep the one that is right, and take the picture again."};
}

Failure misplaced(const TagPlace& tag) {
  return {"tag-misplaced", "It is not clear which strip " + named(tag) + " belongs to.",
          "Lay it at the fence end, in the middle of the strip's width, its pointer touching the strip, and "
          "take the picture again."};
}

// Do two pieces lie end to end, as the parts of a broken strip do?
bool end_to_end(const PlacedPiece& a, const PlacedPiece& b) {
  const Eigen::Vector2d between = b.centre_mm - a.centre_mm;
  const double gap = std::abs(between.dot(a.along)) - (a.length_mm + b.length_mm) / 2;
  const double aside = std::abs(between.dot(a.across()));
  return gap > -0.1 * std::min(a.length_mm, b.length_mm) && gap < 15 && aside < (a.width_mm + b.width_mm) / 4;
}

void find_seats(const std::vector<PlacedPiece>& strips, const std::vector<TagPlace>& tags, TagMatch& match,
                std::vector<std::vector<std::size_t>>& tags_of) {
  for (std::size_t t = 0; t < tags.size(); ++t) {
    int near = 0, good = 0;
    std::size_t which = 0;
    bool fence_end = true;
    for (std::size_t s = 0; s < strips.size(); ++s)
      for (const bool end : {true, false}) {
        const Seat seat = seat_of(tags[t], strips[s], end);
        near += seat.near;
        if (!seat.good) continue;
        ++good;
        which = s;
        fence_end = end;
      }
    if (near == 0)
      match.of_tag[t] =
          Failure{"tag-without-strip", "There is no strip at " + named(tags[t]) + ".",
                  "Lay the strip with its fence end against the pointer, or take the tag away."};
    else if (good != 1)
      match.of_tag[t] = misplaced(tags[t]);
    if (good != 1) continue;
    tags_of[which].push_back(t);
    match.strips[which].tag = t;
    match.strips[which].at_fence_direction = fence_end;
  }
}

}  // namespace

TagMatch match_tags(const std::vector<PlacedPiece>& strips, const std::vector<TagPlace>& tags) {
  TagMatch match;
  match.strips.resize(strips.size());
  match.of_tag.resize(tags.size());
  std::vector<std::vector<std::size_t>> tags_of(strips.size());
  find_seats(strips, tags, match, tags_of);
  for (std::size_t t = 0; t < tags.size(); ++t)
    if (std::count_if(tags.begin(), tags.end(),
                      [&](const TagPlace& other) { return other.bench == tags[t].bench; }) > 1)
      match.of_tag[t] = twice(tags[t]);
  for (std::size_t s = 0; s < strips.size(); ++s) {
    TaggedStrip& strip = match.strips[s];
    if (tags_of[s].size() > 1) {
      strip.problem =
          Failure{"two-tags",
                  "Two tags point at one strip: " + named(tags[tags_of[s][0]]) + " and " +
                      named(tags[tags_of[s][1]]) + ".",
                  "Keep the tag at the fence end; strips that touch each other have to lie apart."};
      strip.tag.reset();
    } else if (!strip.tag) {
      strip.problem =
          Failure{"strip-without-tag", "A strip has no tag at its fence end.",
                  "Lay the bench's tag there, its pointer touching the strip, and take the picture again."};
    } else if (match.of_tag[*strip.tag]) {
      strip.problem = match.of_tag[*strip.tag];
    }
    for (std::size_t other = 0; other < strips.size(); ++other) {
      if (other == s || !end_to_end(strips[s], strips[other])) continue;
      strip.problem = Failure{"strip-broken", "Two pieces lie end to end, like a broken strip.",
                              "Cut a new strip if it broke; lay two short strips side by side."};
    }
  }
  return match;
}

}  // namespace tapersight
