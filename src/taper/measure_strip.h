// From traced edges to the strip's taper, with its uncertainty.
#pragma once
#include <string>
#include <vector>

#include "base/result.h"
#include "model/sheet_map.h"
#include "model/strip.h"
#include "numeric/student_t.h"

namespace tapersight {

struct EdgeResidual {
  double position_mm = 0;  // along the strip, growing towards the fence end
  double residual_mm = 0;  // outward of the fitted straight line
  bool used = false;
  Eigen::Vector2d picture_px = Eigen::Vector2d::Zero();
};

struct EdgeFit {
  int points_used = 0;
  int points_left_out = 0;    // chips, splinters, ragged ends, failed fits
  double level_mm = 0;        // across position at the middle of the frame, and
  double lean = 0;            //   across per along: the fitted line
  double roughness_mm = 0;    // rms of the used residuals about line and bow
  double correlation_mm = 0;  // their correlation length
  double bow_mm = 0;          // how far the middle stands out over the chord; negative: hollow
  double bow_u_mm = 0;        // standard uncertainty
  double bow_dof = 0;
  std::vector<EdgeResidual> residuals;
};

// One line of the uncertainty budget of the taper.
struct BudgetRow {
  std::string source;          // stable name
  double u = 0;                // standard uncertainty of the taper (dimensionless), sensitivity included
  double dof = 0;              // may be infinite
  std::string text;            // in words
  double u_alone = 0;          // the part of u that another picture of the same strip would not share
  bool of_instrument = false;  // it comes from the scanner, not from strip and sheet
};

struct StripMeasurement {
  Eigen::Vector2d centre_mm,
      along;  // frame: position along `along` (to the fence end), across as in StripOutline
  double far_mm = 0, fence_mm = 0;  // the strip's ends
  EdgeFit edges[2];
  double taper = 0;  // (width at fence end - width at far end) / distance
  double u_taper = 0;
  double dof = 0;
  std::vector<BudgetRow> budget;
  double fence_end_width_mm = 0, far_end_width_mm = 0;
  double u_width_mm = 0;        // standard uncertainty of each width, scale included
  double edge_correlation = 0;  // of the two edges' residuals (outward), -1..1
  double slow_share = 0;        // of what is slow in the width's lowest cosines, 0..1 (numeric/trend.h)
  double length_power = 1.5;    // the edges' uncertainty falls as (strip length)^-this
  double length_mm() const { return fence_mm - far_mm; }
  double u_of(const std::string& source) const;  // the budget's row of that name; 0 where there is none
  double mean_width_mm() const { return (fence_end_width_mm + far_end_width_mm) / 2; }
};

// The wood's figure along an edge moves the fitted edge by a small part of a pixel, slowly along the strip,
// where the residuals cannot tell it from a taper. As a change over the strip's length, standard uncertainty,
// in parts of what it is seen to move a single place by, both edges together. Found on the synthetic wood of
// src/synth: 396 of bench_scan's scans against the same without growth rings. Where the figure is seen to
// move a place by 0.03 px, their tapers differ by 0.8 of that from end to end beyond what the residuals tell,
// at 300 dpi and at 600; by less, or nothing, where it moves one less.
inline constexpr double kFigureShare = 0.65;

// Is the edge's bow more than its residuals can bring about (0.01 mm at least, confidence 99.7 %)?
bool is_bowed(const EdgeFit& edge);

struct StripFitOptions {
  double pixel_mm = 0;            // of the picture, on the sheet
  double figure_px = 0;           // what the wood's figure forges in a photo, from end to end
  bool uncalibrated = false;      // the map is the file's dpi, not a printed sheet
  bool along_sensor = false;      // a scan in which the strip lies across the carriage's way
  double end_margin_mm = 2;       // left out at each end in any case
  double reject_sigma = 4;        // residuals beyond this many robust standard deviations are left out
  double least_sigma_mm = 0.002;  //   which are taken to be at least this
  double spread_mm = 0.4;         // what is left out with each such residual on both sides
  double least_part_used = 0.6;   // of the length between the margins
  double most_bow_mm = 1.0;       // more is a broken strip or not a strip's edge
  double beside_mm = 0;  // standard uncertainty, over half the strip, of lines fitted beside the edges
  bool line_beside[2] = {false, false};  // a side has one, so that its bow may come from it
  // How the scale across is seen to change along the sheet, relative per mm, and its standard uncertainty.
  double cross_gradient_per_mm = 0, cross_gradient_u = 0;
  bool on_sheet_in_scan = false;  // a scan with a printed sheet, so that the two above are known
  double doubled_mm = 0;          // how far apart two lines may be that were traced as one edge
  double rival_u = 0;             // standard uncertainty of the taper: which of two lines is the edge
  double sheet_u = 0, sheet_dof = kInfiniteDof;  //   and what a sheet that is not flat forges
  double scale_u = 0.003;                        // relative standard uncertainty of lengths across the strip
  double ratio_u = 0.0005;                       //   and of the ratio of the scales across and along
};

// How much the scale along the sensor changes from place to place on an uncalibrated lens scanner: halves of
// an A4 bed were found to differ by 1.2 %, some 108 mm apart (a user's test).
inline constexpr double kSensorGradientPerMm = 1.1e-4;
// And how much the scale along the carriage, for a width read along it, and what is left of it across.
inline constexpr double kCarriageChange = 1e-3;
inline constexpr double kResidualChange = 2e-4;

// Scales across that change along the bed, or along the print, before a sheet is seen: relative standard
// deviation per mm, with the doubt of four degrees of freedom (assumed: half of what a user's lens scanner
// showed, 0.03 % over 125 mm).
inline constexpr double kUsualGradientPerMm = 1.2e-6;
inline constexpr double kUsualGradientDof = 4;

// "edge-not-straight": no one angle describes the cut.
Failure edge_not_straight();

// Straight line and bow through each edge (orthogonal regression: the frame is turned until the strip's
// middle line lies along it), the taper from the series of widths on common scan lines, so that what moves
// both edges alike (carriage jitter, wobble) cancels. Uncertainty by numeric/trend.h, and from the map's
// covariance. Failures: "edge-not-found" (it hardly shows), "edge-too-ragged", "edge-not-straight",
// "strip-too-short".
Result<StripMeasurement> measure_strip(const EdgeTrace& trace, const SheetMap& map,
                                       const StripOutline& outline, const StripFitOptions& options = {});

}  // namespace tapersight
