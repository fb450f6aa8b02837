#include "overlay/overlay.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/text.h"
#include "fence/describe.h"
#include "overlay/cairo_canvas.h"
#include "report/overlay_style.h"
#include "report/picture_panel.h"
#include "report/residual_plot.h"
#include "report/words.h"

namespace tapersight {
namespace {

namespace style = overlay_style;

constexpr int kMarginPx = 28;
constexpr int kHeaderPx = 150;
constexpr int kColumnPx = 1240;      // width of the plots' column beside an upright picture
constexpr double kScaleRoomPx = 96;  // left of a plot: numbers and the axis' name
constexpr double kCaptionPx = 34;
constexpr double kAxisPx = 66;
constexpr double kLegendPx = 44;
constexpr double kFactLinePx = 27;

void draw_header(Canvas& canvas, const MeasurementReport& report) {
  const PictureMeasurement& m = *report.measurement;
  const double k = t_factor(kCoverage, m.strip.dof);
  const std::string taper = "Taper " + taper_text(m.strip.taper, k * m.strip.u_taper, report.units);
  canvas.text({kMarginPx, 62}, typeset(taper), {38, style::kInk, TextAlign::kLeft, true});
  canvas.text({kMarginPx, 100}, typeset(describe_error(*report.fence, report.setup, report.units).front()),
              {22, style::kInk});
  std::string origin = report.picture.file + ", " + std::to_string(report.picture.width_px) + " \u00d7 " +
                       std::to_string(report.picture.height_px) + " px";
  if (m.layout != nullptr)
    origin += ", sheet " + m.layout->id + ": " + std::to_string(m.points_used) + " points, " +
              fixed(m.residual_rms_px, 3) + " px rms";
  canvas.text({kMarginPx, 130}, origin + ", tapersight " + report.program_version, {17, style::kQuiet});
}

void draw_legend(Canvas& canvas, double x, double y) {
  const TextStyle text{16, style::kInk};
  const auto entry = [&](const std::string& words) {
    canvas.text({x + 34, y + 6}, words, text);
    x += 34 + canvas.text_width(words, text) + 26;
  };
  canvas.dot({x + 8, y}, 4, style::kEdge[0]);
  canvas.dot({x + 22, y}, 4, style::kEdge[1]);
  entry("edge points used");
  canvas.cross({x + 16, y}, 5, style::kLeftOut, 2);
  entry("left out (chips, splinters, ends)");
  canvas.line({{x, y - 3}, {x + 28, y - 3}}, style::kEdge[0], 2.2);
  canvas.line({{x, y + 3}, {x + 28, y + 3}}, style::kEdge[1], 2.2);
  entry("fitted straight lines");
  canvas.line({{x, y}, {x + 28, y}}, style::kInk, 2.2, true);
  entry("bow");
  canvas.ring({x + 16, y}, 5, style::kSheet, 2);
  entry("points of the sheet");
}

std::string edge_facts(const EdgeFit& edge, Units units) {
  const std::string roughness = fixed(edge.roughness_mm / fine_unit_mm(units), fine_decimals(units)) + " " +
                                std::string(fine_unit_name(units));
  const double bow_U_mm = t_factor(kCoverage, edge.bow_dof) * edge.bow_u_mm;
  return typeset("roughness " + roughness + " rms, bow " +
                 fine_length_with_uncertainty(edge.bow_mm, bow_U_mm, units) + ", " +
                 std::to_string(edge.points_used) + " points used, " + std::to_string(edge.points_left_out) +
                 " left out");
}

std::vector<std::string> facts(const MeasurementReport& report) {
  const StripMeasurement& s = report.measurement->strip;
  const double k = t_factor(kCoverage, s.dof);
  std::vector<std::string> lines;
  lines.push_back("Strip " + length_text(s.length_mm(), report.units) + " long, " +
                  length_with_uncertainty(s.fence_end_width_mm, k * s.u_width_mm, report.units) +
                  " wide at the fence end, " +
                  length_with_uncertainty(s.far_end_width_mm, k * s.u_width_mm, report.units) +
                  " at the far end.");
  lines.push_back("Intervals: " + coverage_text(k) + ". Left and right: the sheet upright, fence end down.");
  for (const Warning& warning : report.measurement->warnings) lines.push_back("Note: " + warning.text);
  return lines;
}

// Writes the facts one below the other, wrapped to `width`. Returns the height taken.
double draw_facts(Canvas* canvas, const Canvas& ruler, const MeasurementReport& report, double x, double y,
                  double width) {
  const TextStyle text{18, style::kInk};
  double down = 0;
  for (const std::string& fact : facts(report)) {
    std::string line;
    const std::string words = typeset(fact);
    for (std::size_t at = 0; at < words.size();) {
      const std::size_t end = std::min(words.find(' ', at), words.size());
      const std::string longer = line + (line.empty() ? "" : " ") + words.substr(at, end - at);
      if (!line.empty() && ruler.text_width(longer, text) > width) {
        if (canvas != nullptr) canvas->text({x, y + down}, line, text);
        down += kFactLinePx;
        line = words.substr(at, end - at);
      } else {
        line = longer;
      }
      at = end + 1;
    }
    if (canvas != nullptr) canvas->text({x, y + down}, line, text);
    down += kFactLinePx;
  }
  return down;
}

struct ColumnPlan {
  double plot_px = 0;   // height of each residual plot
  double strip_px = 0;  // height of the straightened strip
  double facts_px = 0;
  double height() const {
    return 2 * kCaptionPx + 2 * plot_px + strip_px + 2 * 10 + kAxisPx + 2 * kLegendPx + facts_px;
  }
};

AlongAxis along_axis(const StripMeasurement& strip, double x, double width) {
  const double margin = 0.02 * strip.length_mm();
  return {strip.far_mm - margin, strip.fence_mm + margin, x + kScaleRoomPx, x + width};
}

ColumnPlan plan_column(const MeasurementReport& report, const Canvas& ruler, double width, double room_px) {
  const StripMeasurement& strip = report.measurement->strip;
  const AlongAxis axis = along_axis(strip, 0, width);
  const double px_per_mm = (axis.right_px - axis.left_px) / (axis.high_mm - axis.low_mm);
  ColumnPlan plan;
  const double shown_mm = std::max(strip.fence_end_width_mm, strip.far_end_width_mm) + 6;
  plan.strip_px = std::floor(std::min(320.0, shown_mm * px_per_mm));
  plan.facts_px = draw_facts(nullptr, ruler, report, 0, 0, width);
  plan.plot_px = std::floor(std::clamp((room_px - plan.height()) / 2, 250.0, 600.0));
  return plan;
}

// From top to bottom: the right edge's residuals, the strip, the left edge's, each beside its own edge.
void draw_column(Canvas& canvas, const ReducedPicture& picture, const MeasurementReport& report,
                 const ColumnPlan& plan, double x, double y, double width) {
  const StripMeasurement& strip = report.measurement->strip;
  const AlongAxis axis = along_axis(strip, x, width);
  const double plot_width = axis.right_px - axis.left_px;
  const double range_mm = residual_range_mm(strip);
  const double magnified = plan.plot_px / (2 * range_mm) * (axis.high_mm - axis.low_mm) / plot_width;
  const auto caption = [&](int side) {
    y += kCaptionPx;
    const std::string name = std::string(side == 0 ? "Left" : "Right") + " edge, enlarged " +
                             fixed(magnified, 0) + " times across";
    canvas.text({axis.left_px, y - 11}, name, {18, style::kEdge[side], TextAlign::kLeft, true});
    canvas.text({axis.right_px, y - 11}, edge_facts(strip.edges[side], report.units),
                {16, style::kQuiet, TextAlign::kRight});
  };
  caption(1);
  draw_residuals(canvas, {axis.left_px, y, plot_width, plan.plot_px}, axis, strip.edges[1], 1, range_mm,
                 report.units);
  y += plan.plot_px + 10;
  draw_strip_panel(canvas, picture, {axis.left_px, y, plot_width, plan.strip_px}, axis, *report.measurement);
  canvas.text({axis.left_px - 10, y + plan.strip_px / 2 + 6}, "far end",
              {16, style::kQuiet, TextAlign::kRight});
  y += plan.strip_px + 10;
  draw_residuals(canvas, {axis.left_px, y, plot_width, plan.plot_px}, axis, strip.edges[0], 0, range_mm,
                 report.units);
  y += plan.plot_px;
  draw_along_axis(canvas, axis, y, strip.far_mm, report.units);
  canvas.text({axis.right_px, y + 50}, "FENCE END", {17, style::kFence, TextAlign::kRight, true});
  y += kAxisPx - kCaptionPx + 28;
  caption(0);
  draw_legend(canvas, axis.left_px, y + 16);
  draw_facts(&canvas, canvas, report, axis.left_px, y + 2 * kLegendPx, plot_width);
}

}  // namespace

Result<std::string> draw_overlay(const cv::Mat& grey, const MeasurementReport& report) {
  const ReducedPicture picture = reduce_picture(grey, kOverlayPicturePx);
  const CairoCanvas ruler(1, 1, style::kGround);
  const bool upright = picture.grey.rows >= picture.grey.cols;
  const int column_width = upright ? kColumnPx : std::max(kColumnPx, picture.grey.cols);
  const ColumnPlan plan = plan_column(report, ruler, column_width, upright ? picture.grey.rows : 1100);
  const int column_height = static_cast<int>(std::ceil(plan.height()));
  const int width = upright ? picture.grey.cols + column_width + 3 * kMarginPx : column_width + 2 * kMarginPx;
  const int height =
      kHeaderPx + kMarginPx +
      (upright ? std::max(picture.grey.rows, column_height) : picture.grey.rows + kMarginPx + column_height);
  CairoCanvas canvas(width, height, style::kGround);
  draw_header(canvas, report);
  draw_picture_panel(canvas, picture, kMarginPx, kHeaderPx, report);
  if (upright)
    draw_column(canvas, picture, report, plan, picture.grey.cols + 2 * kMarginPx, kHeaderPx - 10,
                column_width);
  else
    draw_column(canvas, picture, report, plan, kMarginPx, kHeaderPx + picture.grey.rows + kMarginPx,
                column_width);
  return canvas.png();
}

}  // namespace tapersight
