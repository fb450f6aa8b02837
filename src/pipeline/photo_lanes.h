// Several strips in a photo: their tags tell where each lies. Only for this folder.
#pragma once
#include <vector>

#include "edges/find_strip.h"
#include "pipeline/match_tags.h"

namespace tapersight {

// A part of the channel from one of its ends to the other, in which one strip is looked for.
struct PhotoLane {
  StripSearch search;
  std::vector<std::size_t> tags;  // that lie in it, of those given
};

// The channel divided half-way between tags that lie side by side, from left to right. Together the lanes are
// the whole channel, so that a strip without a tag lies in the lane of its neighbour and is seen there. A
// lane's fence direction is the end at which its tag lies.
std::vector<PhotoLane> lanes_of(const StripSearch& channel, const std::vector<TagPlace>& tags);

// The strip in a lane as match_tags knows one.
PlacedPiece piece_of(const StripOutline& outline);

// What the lane says of itself where it holds more than one strip.
Failure several_in_lane(const PhotoLane& lane, const std::vector<TagPlace>& tags);

}  // namespace tapersight
