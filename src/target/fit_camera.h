// From found saddle points to a camera's view of the sheet.
#pragma once
#include <vector>

#include "model/camera_view.h"
#include "model/correspondence.h"

namespace tapersight {

struct CameraFit {
  CameraView view;
  int points_used = 0;
  int points_rejected = 0;
  int parameters = 8;
  double residual_rms_mm = 0;  // of the used points, one axis
  double left_out_rms_mm = 0;  // the same, predicted from the other rows or columns
  bool good = false;           // false: too few points or no convergence
  // The same model from all but one stretch of one board each, eight in all. A sheet that is not flat, or not
  // printed evenly, errs smoothly: what that does to anything read off the view is how much it changes among
  // these (delete-a-group jackknife), where the residuals' rms says nothing of it. Waves longer than the
  // sheet show in neither.
  std::vector<CameraView> without_part;
};

// Levenberg-Marquardt with analytic derivatives and Huber's loss: homography alone, with k1, with k1 and
// principal point, with k1 and k2, with all. The stiffest that predicts left-out rows and columns of
// fiducials about as well as the best one is taken. `width_px`, `height_px`: of the picture; the principal
// point starts at its middle.
CameraFit fit_camera(const std::vector<Correspondence>& points, int width_px, int height_px);

}  // namespace tapersight
