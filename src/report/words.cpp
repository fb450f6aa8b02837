#include "report/words.h"

#include <cmath>

#include "base/text.h"
#include "report/answer.h"

namespace tapersight {
namespace {

std::string roughness_text(double mm, Units units) {
  return fixed(mm / fine_unit_mm(units), units == Units::kInch ? 2 : 4) + " " +
         std::string(fine_unit_name(units));
}

std::string sled_words(const SledSetup& setup) {
  return std::to_string(setup.turns) + " turns (" + std::to_string(setup.turns + 1) +
         " cuts), the fence on " + (setup.fence == FenceSide::kNear ? "your" : "the far") +
         " side of the board, the strip falls to the " + std::string(side_name(setup.strip_falls)) +
         " of the blade.";
}

std::string ring_words(const RingSetup& ring) {
  return "a ring of " + std::to_string(ring.pieces) + " pieces, " +
         (ring.mitred_ends == 2 ? "both ends" : "one end") +
         " of each cut on this fence. The fence stands turned " +
         (ring.lean == MitreLean::kClockwise ? "clockwise" : "counter-clockwise") +
         " from square, seen from above. The outside of the gap, or of the strip fitted into it, counts as "
         "its fence "
         "end.";
}

// A taper as the person reads it over the strip.
std::string taper_over(double taper, double U, double length_mm, Units units) {
  return fine_length_with_uncertainty(taper * length_mm, U * length_mm, units) + " over the strip";
}

std::vector<std::string> combined_words(const CombinedTaper& c, double length_mm, Units units) {
  std::vector<std::string> lines{"Pictures: " + std::to_string(c.pictures) + " of the same strip, " +
                                 std::to_string(c.reversed) +
                                 " of them turned end for end. What follows is of the first."};
  if (c.birge > 0)
    lines.push_back("They scatter " + fixed(c.birge, 2) + " times as much as their noise makes them.");
  if (c.reversal)
    lines.push_back("Turning the strip shows the camera's or scanner's own error: " +
                    taper_over(c.instrument, 2 * c.u_instrument, length_mm, units) + ". It is taken out.");
  return lines;
}

}  // namespace

std::string dpi_text(const PictureFacts& picture) {
  if (!picture.dpi_u || !picture.dpi_v) return "no dpi stated in the file";
  if (std::abs(*picture.dpi_u - *picture.dpi_v) < 0.05) return fixed(*picture.dpi_u, 0) + " dpi";
  return fixed(*picture.dpi_u, 1) + " x " + fixed(*picture.dpi_v, 1) + " dpi";
}

std::vector<std::string> measured_things(const MeasurementReport& report) {
  const PictureMeasurement& m = *report.measurement;
  const PictureFacts& picture = report.picture;
  std::vector<std::string> lines;
  lines.push_back("Picture: " + picture.file + ", " + std::to_string(picture.width_px) + " x " +
                  std::to_string(picture.height_px) + " px, " +
                  (m.kind == PictureKind::kPhoto ? "a photo" : dpi_text(picture)) + ".");
  if (m.layout != nullptr)
    lines.push_back("Sheet: " + m.layout->id + ", " + std::to_string(m.points_used) + " of " +
                    std::to_string(m.points_printed) + " points used, " + fixed(m.residual_rms_px, 3) +
                    " px rms off (model " + m.model + ").");
  else
    lines.push_back("Sheet: none; sizes by the file's dpi (model " + m.model + ").");
  if (report.combined) {
    for (std::string& line : combined_words(*report.combined, m.strip.length_mm(), report.units))
      lines.push_back(std::move(line));
    lines.push_back(each_words(report, report.combined->each));
  }
  const StripMeasurement& s = m.strip;
  lines.push_back("Strip: " + length_text(s.length_mm(), report.units) + " long. Edge roughness " +
                  roughness_text(s.edges[0].roughness_mm, report.units) + " and " +
                  roughness_text(s.edges[1].roughness_mm, report.units) + " rms (" +
                  std::to_string(s.edges[0].points_used) + " and " + std::to_string(s.edges[1].points_used) +
                  " points used, " + std::to_string(s.edges[0].points_left_out) + " and " +
                  std::to_string(s.edges[1].points_left_out) + " left out).");
  lines.push_back("Fence end: " + fence_end_words(report) + ".");
  return lines;
}

std::string setup_words(const SledSetup& setup, const std::optional<RingSetup>& ring) {
  return ring ? ring_words(*ring) : sled_words(setup);
}

double longest_strip_mm(MeasuredFrom from) {
  return from == MeasuredFrom::kPicture ? sheet_layout(Paper::kA4).channel.height - 4 : 600;
}

std::vector<std::string> record_words(const RecordAdvice& record, Units units) {
  std::vector<std::string> lines = describe_analysis(record.analysis, units);
  if (record.recorded_already)
    lines.emplace_back("This result is in the record already. It was not added again.");
  return lines;
}

std::vector<std::string> cutting_words(const FenceError& of_strip, const ShopAdvice& advice,
                                       const SledSetup& setup, Units units) {
  const double cut_mm = setup.cut_length_mm;
  const std::string over = " over a cut of " + plain_length_text(cut_mm, units);
  std::vector<std::string> lines{
      "This " + std::string(advice.ring ? "ring" : "strip") + " alone shows " +
      fine_length_with_uncertainty(std::abs(of_strip.theta) * cut_mm, of_strip.U * cut_mm, units) + over +
      "."};
  const double scatter_mm = advice.scatter.sigma * cut_mm;
  lines.push_back("Cut anew with the same fence, the next one differs by about " +
                  fine_length_text(scatter_mm, 2 * scatter_mm, units) + over + " (standard deviation, " +
                  scatter_source(advice.scatter) + "). The figures for the fence allow for that.");
  if (advice.strips > 1)
    lines.push_back("The fence's error is the mean of " + std::to_string(advice.strips) +
                    " strips, cut since the last move.");
  return lines;
}

std::string typeset(std::string text) {
  for (auto at = text.find("+/-"); at != std::string::npos; at = text.find("+/-", at + 2))
    text.replace(at, 3, "\u00b1");
  return text;
}

}  // namespace tapersight
