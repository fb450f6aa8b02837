// The place of an edge on a few neighbouring scan lines. Only for this folder.
#pragma once
#include <algorithm>
#include <optional>

#include "edges/line_beside.h"
#include "edges/place_fit.h"
#include "edges/scan_lines.h"
#include "imaging/blurred_step.h"

namespace tapersight {

struct GroupFit {
  double shift_px = 0;  // of the edge from the path, inward
  double sigma_px = 0;
  double contrast = 0;
  double ground = 0;  // light
  double noise = 0;   // of the residuals half way up the step, light
};

struct Group {
  const ScanLines* lines;
  const SidePath* path;
  int first, count;  // scan lines
  // The windows move by whole pixels, so that the place of a weak edge, with a shadow or rings in the
  // covariance, may go to and fro where one of them jumps. It is then known no better than that.
  bool patient = false;
};

// How the edge of one side looks, the same on all its scan lines.
struct EdgeShape {
  BlurredStep step;
  LineBeside beside;
  BlurredStep beside_step;

  // The light at x px inward of the edge, which lies `shift` px inward of the path: 0 on the ground, 1 on the
  // face.
  double value(double x, double shift) const {
    if (beside.part == 0) return step.value(x);
    return (1 - beside.part) * step.value(x) +
           beside.part * beside_step.value(x + std::max(0.0, shift + beside.gap_px));
  }
};

// Least squares with the estimator's weights: place and levels, all else given. `start`: where the window
// lies at first, px inward from the path. Nothing: the fit does not settle, or leaves its window or the
// picture.
std::optional<GroupFit> fit_group(const Group& group, const EdgeShape& shape, const PlaceEstimator& estimator,
                                  double start);

// The edge's blur, px: the median over up to 120 groups of `per_group` lines spread along it, in each of
// which it is fitted with place and levels. `blur`: where to start; what is returned when most fits fail.
double learn_blur(const ScanLines& lines, const SidePath& path, double blur, int per_group,
                  const FoundLineBeside& beside);

}  // namespace tapersight
