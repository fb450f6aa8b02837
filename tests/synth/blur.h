// The optics' blur, in light, with edge-spread functions of several shapes.
#pragma once
#include <opencv2/core.hpp>

#include "synth/scan_scene.h"

namespace tapersight {

// Blurs with standard deviation `sd_px` along x and along y; `light` is CV_32FC1 or CV_32FC3.
void blur(const PsfScene& psf, double sd_px, cv::Mat& light);

// The kernel of a box, a disc or a tent whose weights have this standard deviation along x; sum 1.
cv::Mat psf_kernel(Psf shape, double sd_px);

}  // namespace tapersight
