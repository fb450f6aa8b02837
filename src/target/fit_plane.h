// From found saddle points to the map from the picture to the sheet.
#pragma once
#include <vector>

#include "base/result.h"
#include "model/correspondence.h"
#include "model/plane_map.h"

namespace tapersight {

// How the scale across the channel changes along it: what print and scanner together do beyond a separable
// map.
struct CrossGradient {
  double per_mm =
      0;         // relative change of the picture's scale across over the map's, per mm towards the fence end
  double u = 0;  // standard uncertainty
};

struct PlaneFit {
  PlaneMap map;
  CrossGradient cross_gradient;
  // Printed y between which the map is trusted: of the rows that both blocks show, and three rows beyond.
  double seen_low_mm = 0, seen_high_mm = 0;
  bool seen_whole = false;  // from end to end of the channel
  int points_used = 0;
  int points_rejected = 0;
  double residual_rms_px = 0;  // of the used points, one axis
  double left_out_rms_px = 0;  // the same, predicted from the other rows
  double px_per_mm_x = 0;      // picture pixels per sheet millimetre at the middle, along the sheet's x
  double px_per_mm_y = 0;      //   and y
};

struct PlaneFitOptions {
  int folds = 6;            // parts that are left out in turn when the models are compared
  double reject_sigma = 4;  // points further off than this many robust standard deviations are dropped
  double worth = 0.03;      // a stiffer model is kept unless a looser one predicts better by this part
};

// Ordinary least squares for each model of the ladder (affine, then separable with growing orders), whole
// rows and whole columns of fiducials left out in turn; the stiffest model that predicts what was left out
// about as well as the best one is taken. Across the channel, where no fiducials are, the model is never
// looser than a cubic. Failures: "target-covered" (too few rows that both blocks show), "sheet-distorted"
// (too many saddles that no model explains).
Result<PlaneFit> fit_plane(const std::vector<Correspondence>& points, const PlaneFitOptions& options = {});

}  // namespace tapersight
