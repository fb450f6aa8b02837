// A photograph of wood as the face of a strip, at a stated true scale.
#pragma once
#include <opencv2/core.hpp>

#include "synth/face_scene.h"
#include "synth/light_image.h"

namespace tapersight {

struct WoodScene;

// Frame of the photograph: mm from its top left corner, x right, y down. Outside, it goes on as its own
// mirror image, so there is no seam; a symmetry is what gives it away.
class FacePhoto {
 public:
  // `code_bgr`: CV_8UC3, code values of sRGB (IEC 61966-2-1), taken as they are for reflectances
  FacePhoto(const cv::Mat& code_bgr, double mm_per_px);

  // Mean light over a square of `footprint_mm` around (x, y). One channel: its luminance.
  Tone at(double x_mm, double y_mm, double footprint_mm, int channels) const;
  // Light as if it had been exposed so that its mean luminance is this.
  void set_mean(double luminance_mean);
  Tone mean() const { return mean_; }  // B, G, R, of the whole photograph
  double width_mm() const { return width_mm_; }
  double height_mm() const { return height_mm_; }

 private:
  cv::Vec3f sample(double x_mm, double y_mm) const;

  cv::Mat light_;  // CV_32FC3, linear, finer than the photograph so that its pixels do not show
  double step_mm_, width_mm_, height_mm_;
  Tone mean_;
};

// Light at (v, u) of the strip frame. `face` holds a photograph.
Tone face_light(const FaceScene& face, double v_mm, double u_mm, double footprint_mm, int channels);

// BT.709 luminance of linear light.
double luminance(const Tone& bgr);

// The wood's tone and tint as the photograph's mean, so that walls, ends and whoever asks for the contrast
// have the face's.
void take_tone(const FacePhoto& photo, WoodScene& wood);

}  // namespace tapersight
