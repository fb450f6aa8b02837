#include "report/text.h"

#include <cmath>
#include <vector>

#include "base/text.h"
#include "fence/describe.h"
#include "report/caliper_report.h"
#include "report/lines.h"

namespace tapersight {
namespace {

std::string dpi_text(const PictureFacts& picture) {
  if (!picture.dpi_u || !picture.dpi_v) return "no dpi stated in the file";
  if (std::abs(*picture.dpi_u - *picture.dpi_v) < 0.05) return fixed(*picture.dpi_u, 0) + " dpi";
  return fixed(*picture.dpi_u, 1) + " x " + fixed(*picture.dpi_v, 1) + " dpi";
}

std::string roughness_text(double mm, Units units) {
  return units == Units::kInch ? fixed(mm / kMmPerThou, 2) + " thou" : fixed(mm * 1000, 0) + " um";
}

std::vector<std::string> measured_things(const MeasurementReport& report) {
  const PictureMeasurement& m = *report.measurement;
  const PictureFacts& picture = report.picture;
  std::vector<std::string> lines;
  lines.push_back("Picture: " + picture.file + ", " + std::to_string(picture.width_px) + " x " +
                  std::to_string(picture.height_px) + " px, " + dpi_text(picture) + ".");
  if (m.layout != nullptr)
    lines.push_back("Sheet: " + m.layout->id + ", " + std::to_string(m.points_used) + " of " +
                    std::to_string(m.points_printed) + " points used, " + fixed(m.residual_rms_px, 3) +
                    " px rms off (model " + m.model + ").");
  else
    lines.push_back("Sheet: none; sizes by the file's dpi (model " + m.model + ").");
  const StripMeasurement& s = m.strip;
  lines.push_back("Strip: " + length_text(s.length_mm(), report.units) +
                  " long; its edges leave the straight line by " +
                  roughness_text(s.edges[0].roughness_mm, report.units) + " and " +
                  roughness_text(s.edges[1].roughness_mm, report.units) + " rms (" +
                  std::to_string(s.edges[0].points_used) + " and " + std::to_string(s.edges[1].points_used) +
                  " points used, " + std::to_string(s.edges[0].points_left_out) + " and " +
                  std::to_string(s.edges[1].points_left_out) + " left out).");
  return lines;
}

std::vector<std::string> strip_widths(const MeasurementReport& report) {
  const StripMeasurement& s = report.measurement->strip;
  const double k = t_factor(kCoverage, s.dof);
  const double U_mm = k * s.u_width_mm;
  return {
      "Taper: " + taper_text(s.taper, k * s.u_taper, report.units) + " (" + coverage_text(k) + "), " +
          (s.taper >= 0 ? "wider at the fence end." : "narrower at the fence end."),
      "Width at the fence end: " + length_with_uncertainty(s.fence_end_width_mm, U_mm, report.units) + ".",
      "Width at the far end: " + length_with_uncertainty(s.far_end_width_mm, U_mm, report.units) +
          " (the two widths share most of this uncertainty; the taper does not suffer from it)."};
}

std::vector<std::string> move_words(const std::optional<FenceMove>& move, const SledSetup& setup,
                                    Units units) {
  if (move) return describe_move(*move, setup, units);
  return {"Give --pivot left|right and --pivot-distance to be told the move at the adjusting screw."};
}

std::vector<std::string> setup_words(const SledSetup& setup) {
  return {"Set-up: " + std::to_string(setup.turns) + " turns (" + std::to_string(setup.turns + 1) +
          " cuts), the fence on the " +
          (setup.fence == FenceSide::kNear ? std::string("operator's") : std::string("far")) +
          " side, the strip falls to the " + std::string(side_name(setup.strip_falls)) + " of the blade."};
}

std::vector<std::string> warning_texts(const std::vector<Warning>& warnings) {
  std::vector<std::string> texts;
  texts.reserve(warnings.size());
  for (const Warning& warning : warnings) texts.push_back(warning.text);
  return texts;
}

void append(std::vector<std::string>& all, const std::vector<std::string>& more) {
  all.insert(all.end(), more.begin(), more.end());
}

}  // namespace

std::string taper_text(double taper, double U, Units units) {
  return units == Units::kInch ? per_inch_with_uncertainty(taper, U) : mm_per_m_with_uncertainty(taper, U);
}

std::string measurement_text(const MeasurementReport& report) {
  std::string out = "Measured\n";
  std::vector<std::string> measured = measured_things(report);
  append(measured, setup_words(report.setup));
  for (const std::string& line : measured) put(out, "  ", line);
  put_all(out, "The fence's error", describe_error(*report.fence, report.setup, report.units));
  put_all(out, "The move", move_words(report.move, report.setup, report.units));
  put_all(out, "The strip", strip_widths(report));
  if (report.caliper) out += "\n" + caliper_section(*report.caliper, report.units);
  put_all(out, "Mind", warning_texts(report.measurement->warnings));
  put_all(out, "Before you touch the fence", adjusting_cautions());
  return out;
}

std::string correction_text(const WidthsReport& report) {
  const TwoWidths& w = report.widths;
  std::string out = "From two widths\n";
  std::vector<std::string> typed{
      "Fence end " + plain_length_text(w.fence_end_mm, report.units) + ", far end " +
      plain_length_text(w.far_end_mm, report.units) + ", " + plain_length_text(w.apart_mm, report.units) +
      " apart; each reading taken as good to " + plain_length_text(w.fence_end_u_mm, report.units) +
      " (standard uncertainty of one caliper reading on sawn wood)."};
  append(typed, setup_words(report.setup));
  for (const std::string& line : typed) put(out, "  ", line);
  put_all(out, "The fence's error", describe_error(report.fence, report.setup, report.units));
  put_all(out, "The move", move_words(report.move, report.setup, report.units));
  put_all(out, "Before you touch the fence", adjusting_cautions());
  return out;
}

std::string failure_text(const Failure& failure) {
  std::string out;
  put(out, "tapersight: ", failure.text);
  put(out, "            ", failure.remedy);
  return out;
}

}  // namespace tapersight
