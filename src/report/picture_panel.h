// The picture with what was found in it, and the strip cut out of it and laid straight.
#pragma once
#include <Eigen/Core>

#include "assess/measurement_report.h"
#include "report/canvas.h"
#include "report/residual_plot.h"

namespace tapersight {

// The picture made small enough for a screen.
struct ReducedPicture {
  cv::Mat grey;
  double scale = 1;  // reduced pixels per picture pixel, <= 1
  // From the pixel frame (imaging/picture.h: a pixel's centre is whole) to canvas px from the panel's corner.
  PointPx at(const Eigen::Vector2d& picture_px) const {
    return {(picture_px.x() + 0.5) * scale, (picture_px.y() + 0.5) * scale};
  }
};

ReducedPicture reduce_picture(const cv::Mat& grey, int long_side_px);

// The reduced picture at (x, y) with the sheet's points, the channel, the edge points, the fitted lines and
// both ends named. `report` must hold a measurement.
void draw_picture_panel(Canvas& canvas, const ReducedPicture& picture, int x, int y,
                        const MeasurementReport& report);

// What is done so that the eye sees a taper of a thousandth.
struct Enlarged {
  double across = 1;  // all that lies across the strip
  double lean = 1;    // and how much the edges lean, besides
};

// The strip alone: its far end left, its fence end right, the left edge
// (sheet upright, fence end down) below. To one scale in both directions unless `enlarged` says otherwise;
// the picture is stretched together with the lines.
void draw_strip_panel(Canvas& canvas, const ReducedPicture& picture, const RectPx& area,
                      const AlongAxis& axis, const PictureMeasurement& measurement,
                      const Enlarged& enlarged = {});

}  // namespace tapersight
