#include "assess/assess.h"

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include "base/content_hash.h"

namespace tapersight {
namespace {

std::optional<Failure> check_region(const std::optional<cv::Rect>& region, const cv::Size& size) {
  if (!region || (*region & cv::Rect({0, 0}, size)) == *region) return std::nullopt;
  return Failure{"bad-region", "The region reaches beyond the picture.",
                 "The picture is " + std::to_string(size.width) + " x " + std::to_string(size.height) +
                     " pixels; keep X + W and Y + H within that."};
}

Result<PictureMeasurement> measured(const Picture& picture, const MeasurementReport& report) {
  PictureOptions options = report.options;
  options.by_camera = picture.by_camera;
  options.deadline = Deadline::in(report.reading.limits.most_seconds);
  return measure_picture(picture.grey, picture.dpi_u, picture.dpi_v, options);
}

// Of all its pixels: a copy of a picture has the same.
std::string fingerprint(const cv::Mat& grey) {
  const cv::Mat whole = grey.isContinuous() ? grey : grey.clone();
  return content_hash({whole.ptr<char>(), whole.total()});
}

// Measures the further pictures and combines them with the report's own. Returns what kept a file from being
// read; a picture that cannot be measured turns the whole measurement into that failure, and is `shown`.
std::optional<Failure> combine_further(MeasurementReport& report, Picture& shown, const PictureReader& read) {
  if (report.further.empty()) return std::nullopt;
  std::vector<ShownTaper> tapers;
  std::vector<std::string> seen{fingerprint(shown.grey)};
  if (report.measurement) tapers.push_back(shown_taper(report.measurement->strip, false));
  for (std::size_t i = 0; i < report.further.size(); ++i) {
    const FurtherPicture& another = report.further[i];
    if (!report.measurement) return std::nullopt;
    auto picture = read(i + 1);
    if (!picture) return picture.failure();
    std::string pixels = fingerprint(picture->grey);
    if (std::find(seen.begin(), seen.end(), pixels) != seen.end())
      return Failure{"picture-twice", "\"" + another.file + "\" is a copy of another of the pictures.",
                     "Take each picture anew: the same picture again adds nothing."};
    seen.push_back(std::move(pixels));
    const auto another_strip = measured(*picture, report);
    const auto trouble = another_strip ? check_same_strip(*report.measurement, *another_strip, report.units)
                                       : std::optional(another_strip.failure());
    if (trouble) {
      report.measurement = Failure{trouble->code, another.file + ": " + trouble->text, trouble->remedy};
      shown = std::move(*picture);
    } else {
      tapers.push_back(shown_taper(another_strip->strip, another.reversed));
    }
  }
  combine_into(report, tapers);
  return std::nullopt;
}

void conclude_all(MeasurementReport& report) {
  if (const auto ends = check_ends(report)) report.measurement = *ends;
  conclude(report);
  if (report.measurement && report.fence_end_assumed)
    report.measurement->warnings.push_back(
        {"fence-end-assumed",
         "The end near the bottom of the picture is taken as the fence end. If it is not, say so with "
         "--fence-end-at, or the error comes out the wrong way round."});
}

}  // namespace

Result<Assessed> assess(MeasurementReport asked, const PictureReader& read,
                        const std::optional<CaliperFile>& readings) {
  auto picture = read(0);
  if (!picture) return picture.failure();
  MeasurementReport report = std::move(asked);
  report.picture.width_px = picture->grey.cols;
  report.picture.height_px = picture->grey.rows;
  report.picture.dpi_u = picture->dpi_u;
  report.picture.dpi_v = picture->dpi_v;
  if (const auto failure = check_region(report.options.region_px, picture->grey.size())) return *failure;
  report.measurement = measured(*picture, report);
  if (report.measurement) report.cut_corner = find_cut_corner(picture->grey, *report.measurement);
  if (const auto trouble = combine_further(report, *picture, read)) return *trouble;
  conclude_all(report);
  if (const auto failure = judge_caliper_into(report, readings)) return *failure;
  return Assessed{std::move(report), std::move(*picture)};
}

Result<CaliperJudgement> judge_beside(const CaliperFile& file, const PictureStrip& strip) {
  CaliperFile placed = file;
  if (!placed.strip_length_mm) placed.strip_length_mm = strip.length_mm;
  const auto apart = place_readings(placed, kDefaultReadingsAtMm);
  if (!apart) return apart.failure();
  const double readings_at_mm = placed.readings_at_mm.value_or(kDefaultReadingsAtMm);
  return judge_caliper(placed.readings, placed.spec, at_the_calipers_places(strip, readings_at_mm));
}

std::optional<Failure> judge_caliper_into(MeasurementReport& report,
                                          const std::optional<CaliperFile>& readings) {
  if (!report.measurement || !readings) return std::nullopt;
  const StripMeasurement& m = report.measurement->strip;
  auto judged = judge_beside(*readings, {m.taper, m.u_taper, m.dof, m.fence_end_width_mm, m.far_end_width_mm,
                                         m.u_width_mm, m.length_mm()});
  if (!judged) return judged.failure();
  report.caliper = std::move(*judged);
  return std::nullopt;
}

}  // namespace tapersight
