// Lines along a strip's side, followed from segment to segment: proposals, no decisions. Only for this
// folder.
#pragma once
#include <cstddef>
#include <vector>

namespace tapersight {

// A segment's mean light across the side, by whole px inward from `-outward_px`, and its smoothed derivative.
struct SegmentProfile {
  std::vector<double> light, slope;
};

// Where a line of light crosses a segment.
struct LinePlace {
  double offset_px = 0;  // inward of the side's path
  double slope = 0;      // light per px, at its steepest; with its sign
};

// One line, by segment; a segment that does not show it holds an offset between its neighbours' and slope 0.
struct LineChain {
  std::vector<LinePlace> at;
  bool shows(std::size_t segment) const { return at[segment].slope != 0; }
  double consistent() const;  // part of the segments that show it
  double shared_slope(
      double part) const;        // the slope that this part of the segments reaches, with its sign; 0: none
  double unevenness_px() const;  // rms of the places about the mean of their neighbours, as white noise
};

// Every run of steepest places of one sign that goes on from segment to segment and is seen in `least_seen`
// of them; from outside to inside. It may bow and waver: nothing is asked but that it goes on where it was
// going, to `most_step_px` a segment. Places less steep than `least_slope` are not looked at.
std::vector<LineChain> line_chains(const std::vector<SegmentProfile>& segments, int outward_px,
                                   double least_slope, double most_step_px, double least_seen);

}  // namespace tapersight
