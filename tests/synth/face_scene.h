// A photograph laid on a strip's face.
#pragma once
#include <memory>

namespace tapersight {

class FacePhoto;

// How a photograph lies on a strip: the strip's middle is at (x, y), and its way to the fence end points down
// in the photograph, turned by `turn_deg` (clockwise in the photograph).
struct FaceScene {
  std::shared_ptr<const FacePhoto> photo;  // null: the wood is drawn (WoodScene)
  double x_mm = 0, y_mm = 0;
  double turn_deg = 0;
};

}  // namespace tapersight
