#include "pipeline/judge_frame.h"

#include "pipeline/photo.h"

namespace tapersight {

Result<double> judge_frame(const cv::Mat& grey, const Deadline& deadline) {
  if (auto failure = check_picture_size(grey)) return *failure;
  const auto sheet = find_sheet(grey, deadline);
  if (!sheet) return sheet.failure();
  if (auto failure = too_small(*sheet)) return *failure;
  const CameraFit camera = fit_camera(sheet->saddles, grey.cols, grey.rows);
  if (auto trouble = photo_trouble(grey, *sheet, camera)) return *trouble;
  return sheet->px_per_mm / sheet->blur_px;
}

}  // namespace tapersight
