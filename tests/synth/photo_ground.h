// Draws what lies flat in a photo: the bench, the printed sheet, the shadows on them.
#pragma once
#include <opencv2/core.hpp>

#include "synth/photo_scene.h"
#include "synth/photo_truth.h"

namespace tapersight {

void paint_bench_and_sheet(const PhotoScene& scene, const PhotoTruth& truth, cv::Mat& light);

// Shadows of the strips on the plane that they lie on.
void shade_ground(const PhotoScene& scene, const PhotoTruth& truth, cv::Mat& light);

// Light that the smooth sheet mirrors.
void add_sheet_glare(const PhotoScene& scene, const PhotoTruth& truth, cv::Mat& light);

// The added light of one glare at a place of the bench frame, 0 where there is none.
double glare_at(const GlareScene& glare, const Eigen::Vector2d& bench_mm);

}  // namespace tapersight
