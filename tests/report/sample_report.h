// A made-up measurement with round numbers: 10 px a millimetre, the A4 sheet at the picture's corner, a strip
// from 20 to 220 mm down the page, 20 mm wide at its middle, 0.2 mm wider at the fence end.
#pragma once
#include <cmath>

#include "assess/measurement_report.h"

namespace tapersight::testing {

inline constexpr double kPxPerMm = 10;

inline EdgeFit sample_edge(int side) {
  EdgeFit edge;
  edge.level_mm = side == 0 ? -10 : 10;
  edge.lean = side == 0 ? -0.0005 : 0.0005;
  edge.points_used = 398;
  edge.points_left_out = 3;
  edge.roughness_mm = 0.0127;  // half a thou
  edge.correlation_mm = 0.8;
  edge.bow_mm = 0.0054;  // less than counts as a bow
  edge.bow_u_mm = 0.005;
  edge.bow_dof = 30;
  for (int i = 0; i <= 400; ++i) {
    EdgeResidual r;
    r.position_mm = -100 + 0.5 * i;
    r.used = i < 100 || i > 102;
    r.residual_mm = r.used ? 0.01 * std::sin(i * 0.3) : -0.2;
    r.picture_px = {(105 + edge.level_mm + edge.lean * r.position_mm) * kPxPerMm - 0.5,
                    (120 + r.position_mm) * kPxPerMm - 0.5};
    edge.residuals.push_back(r);
  }
  return edge;
}

inline PictureMeasurement sample_measurement() {
  PictureMeasurement m;
  m.layout = &sheet_layout(Paper::kA4);
  m.model = "affine";
  m.points_used = 190;
  m.points_printed = 192;
  m.residual_rms_px = 0.03;
  m.px_per_mm_x = m.px_per_mm_y = kPxPerMm;
  m.blur_px = 0.8;
  for (const Saddle& saddle : m.layout->saddles)
    m.saddles.push_back({kPxPerMm * saddle.at_mm - Eigen::Vector2d(0.5, 0.5), saddle.at_mm, saddle.block,
                         saddle.row, saddle.column, 0.8});
  PlaneMap map;
  map.centre_px = {1049.5, 1484.5};
  map.scale_px = {1050, 1485};
  map.coefficients.resize(3, 2);
  map.coefficients << 105, 148.5, 105, 0, 0, 148.5;
  m.map = map;
  m.outline.centre_mm = {105, 120};
  m.outline.along = {0, 1};
  m.strip.centre_mm = m.outline.centre_mm;
  m.strip.along = m.outline.along;
  m.strip.far_mm = -100;
  m.strip.fence_mm = 100;
  for (int side = 0; side < 2; ++side) m.strip.edges[side] = sample_edge(side);
  m.strip.taper = 0.001;
  m.strip.u_taper = 0.0001;
  m.strip.dof = 10;
  m.strip.fence_end_width_mm = 20.1;
  m.strip.far_end_width_mm = 19.9;
  m.strip.u_width_mm = 0.05;
  m.strip.edge_correlation = 0.25;
  m.strip.budget = {{"edges", 0.0001, 10, "roughness"}, {"calibration", 1e-6, kInfiniteDof, "sheet"}};
  m.warnings = {{"strip-along-sensor", "The strip lay across the scanner's way."}};
  return m;
}

inline MeasurementReport sample_report() {
  MeasurementReport report;
  report.program_version = "9.8.7";
  report.picture = {"bench-07.jpg", 2100, 2970, 300.0, 300.0};
  report.setup.pivot_distance_mm = 1000;
  report.setup.cut_length_mm = 500;
  report.units = Units::kMillimetre;
  report.measurement = sample_measurement();
  conclude(report);
  return report;
}

// A page with the strip on it and nothing else.
inline cv::Mat sample_picture() {
  cv::Mat grey(2970, 2100, CV_8UC1, cv::Scalar(230));
  grey(cv::Rect(950, 200, 200, 2000)).setTo(120);
  return grey;
}

}  // namespace tapersight::testing
