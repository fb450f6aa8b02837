// One picture, measured: the only code that knows the order of the stages.
#pragma once
#include <opencv2/core.hpp>
#include <optional>
#include <string>
#include <vector>

#include "base/deadline.h"
#include "base/result.h"
#include "model/sheet_map.h"
#include "model/strip.h"
#include "taper/measure_strip.h"
#include "target/find_sheet.h"
#include "target/fit_plane.h"

namespace tapersight {

struct Warning {
  std::string code;  // stable, lower-case-with-hyphens
  std::string text;  // one sentence in shop words, with what to do
};

enum class PictureKind { kScan, kPhoto };

constexpr const char* picture_kind_name(PictureKind kind) {
  return kind == PictureKind::kPhoto ? "photo" : "scan";
}

enum class PictureSide { kBottom, kTop, kLeft, kRight };

constexpr const char* picture_side_name(PictureSide side) {
  constexpr const char* kNames[] = {"bottom", "top", "left", "right"};
  return kNames[static_cast<int>(side)];
}

struct PictureOptions {
  std::optional<PictureKind> kind;     // unset: recognised
  bool by_camera = false;              // the file says so: a photo, if `kind` does not contradict
  std::optional<double> thickness_mm;  // only for photos: of the strip, for its widths
  std::string take;  // of a scan: letters of the lines that are the edges, where "edge-unclear" named them
  bool without_target = false;                   // measure by the file's dpi, the strip anywhere on the glass
  PictureSide fence_end = PictureSide::kBottom;  // only without target: where the strip's fence end lies
  std::optional<cv::Rect> region_px;             // only without target: look for the strip in here
  std::optional<double> scan_dpi;                // only without target: instead of what the file states
  std::optional<double> bar_x_mm, bar_y_mm;      // the printed check bars as measured with a rule
  Deadline deadline = Deadline::never();         // asked before each step of the search and each strip
};

struct PictureMeasurement {
  PictureKind kind = PictureKind::kScan;
  const SheetLayout* layout = nullptr;  // null without target
  std::string model;                    // of the calibration
  int points_used = 0;
  int points_printed = 0;
  double residual_rms_px = 0;
  double px_per_mm_x = 0, px_per_mm_y = 0;
  double blur_px = 0;  // of the sheet's own edges
  std::vector<Correspondence> saddles;
  SheetMap map;                                // picture to true millimetres (bars applied)
  std::vector<CameraView> views_without_part;  // of a photo: CameraFit::without_part
  StripOutline outline;
  EdgeTrace trace;
  StripMeasurement strip;
  std::vector<Warning> warnings;
};

// `dpi_u`, `dpi_v`: as the file states them, if it does. Failures: those of the stages, "took-too-long".
Result<PictureMeasurement> measure_picture(const cv::Mat& grey, std::optional<double> dpi_u,
                                           std::optional<double> dpi_v, const PictureOptions& options = {});

}  // namespace tapersight
