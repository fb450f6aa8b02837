#include "report/json.h"

#include "caliper/caliper_json.h"
#include "report/json_parts.h"

namespace tapersight {
namespace {

using namespace json_parts;

ordered_json options_json(const MeasurementReport& report) {
  ordered_json out = setup(report.setup, report.units);
  const PictureOptions& options = report.options;
  out["ring"] = ring_setup(report.wishes.ring);
  out["page"] = nullptr;
  if (report.reading.page) out["page"] = *report.reading.page;
  out["kind"] = nullptr;
  if (options.kind) out["kind"] = picture_kind_name(*options.kind);
  if (!options.take.empty()) out["take"] = options.take;
  out["without_target"] = options.without_target;
  if (options.without_target) {
    out["fence_end_at"] = picture_side_name(options.fence_end);
    out["region_px"] = nullptr;
    if (const auto& r = options.region_px) out["region_px"] = {r->x, r->y, r->width, r->height};
  } else {
    out["bar_x_mm"] = number(options.bar_x_mm);
    out["bar_y_mm"] = number(options.bar_y_mm);
    out["thickness_mm"] = number(options.thickness_mm);
  }
  return out;
}

ordered_json picture_json(const PictureFacts& picture) {
  ordered_json out;
  out["file"] = picture.file;
  out["width_px"] = picture.width_px;
  out["height_px"] = picture.height_px;
  out["dpi_x"] = number(picture.dpi_u);
  out["dpi_y"] = number(picture.dpi_v);
  return out;
}

ordered_json further_json(const std::vector<FurtherPicture>& further) {
  ordered_json out = ordered_json::array();
  for (const FurtherPicture& another : further)
    out.push_back({{"file", another.file}, {"reversed", another.reversed}});
  return out;
}

ordered_json combined_json(const CombinedTaper& c) {
  ordered_json out;
  out["pictures"] = c.pictures;
  out["reversed"] = c.reversed;
  out["birge_ratio"] = number(c.birge);
  out["consistent"] = c.consistent;
  out["instrument_taper"] = c.reversal ? number(c.instrument) : ordered_json(nullptr);
  out["instrument_taper_u"] = c.reversal ? number(c.u_instrument) : ordered_json(nullptr);
  out["each"] = ordered_json::array();
  for (const ShownTaper& one : c.each)
    out["each"].push_back(
        {{"reversed", one.reversed}, {"taper", number(one.taper)}, {"taper_u", number(one.u)}});
  return out;
}

ordered_json calibration_json(const PictureMeasurement& m) {
  ordered_json out;
  out["kind"] = picture_kind_name(m.kind);
  out["model"] = m.model;
  out["sheet"] = m.layout != nullptr ? ordered_json(m.layout->id) : ordered_json(nullptr);
  out["points_used"] = m.points_used;
  out["points_printed"] = m.points_printed;
  out["residual_rms_px"] = number(m.residual_rms_px);
  out["px_per_mm_x"] = number(m.px_per_mm_x);
  out["px_per_mm_y"] = number(m.px_per_mm_y);
  out["blur_px"] = number(m.blur_px);
  return out;
}

ordered_json edge_json(const EdgeFit& edge) {
  ordered_json out;
  out["points_used"] = edge.points_used;
  out["points_left_out"] = edge.points_left_out;
  out["roughness_mm"] = number(edge.roughness_mm);
  out["correlation_mm"] = number(edge.correlation_mm);
  out["bow_mm"] = number(edge.bow_mm);
  out["bow_u_mm"] = number(edge.bow_u_mm);
  out["bow_dof"] = number(edge.bow_dof);
  return out;
}

ordered_json strip_json(const StripMeasurement& strip) {
  ordered_json out;
  out["length_mm"] = number(strip.length_mm());
  out["fence_end_width_mm"] = number(strip.fence_end_width_mm);
  out["far_end_width_mm"] = number(strip.far_end_width_mm);
  out["width_u_mm"] = number(strip.u_width_mm);
  out["taper"] = number(strip.taper);
  out["taper_u"] = number(strip.u_taper);
  out["taper_dof"] = number(strip.dof);
  out["edge_correlation"] = number(strip.edge_correlation);
  out["edges"] = ordered_json::array({edge_json(strip.edges[0]), edge_json(strip.edges[1])});
  out["budget"] = ordered_json::array();
  for (const BudgetRow& row : strip.budget)
    out["budget"].push_back(
        {{"source", row.source}, {"u", number(row.u)}, {"dof", number(row.dof)}, {"text", row.text}});
  return out;
}

// For a MeasurementReport and a WidthsReport alike.
template <typename Report>
void put_advice(ordered_json& out, const Report& report) {
  const ShopAdvice& advice = report.advice;
  out["ring"] = ring(advice.ring);
  out["decision"] = decision(advice.decision, report.wishes.tolerance, advice.ring.has_value());
  out["adjustment"] = adjustment(report.move, advice.adjustment, advice.steps, report.units);
  out["bowed"] = advice.bowed;
  out["pivot_distance_doubt"] = advice.ask_distance;
  out["record"] = nullptr;
  if (!advice.record) return;
  out["record"] = {{"sled", report.wishes.record->sled},
                   {"when", advice.record->entry.when},
                   {"recorded_already", advice.record->recorded_already}};
  out["record"].update(analysis(advice.record->analysis));
}

}  // namespace

std::string measurement_json(const MeasurementReport& report) {
  const bool measured = report.measurement.ok() && report.fence;
  ordered_json out =
      header("tapersight.measurement.v1", measured ? "measured" : "rejected", report.program_version);
  if (!report.measurement.ok()) {
    const Failure& why = report.measurement.failure();
    out["reason"] = {{"code", why.code}, {"text", why.text}, {"remedy", why.remedy}};
    for (const PictureMark& mark : why.marks)
      out["reason"]["lines_px"].push_back(
          {{"letter", mark.label}, {"from", {mark.from_u, mark.from_v}}, {"to", {mark.to_u, mark.to_v}}});
  }
  out["picture"] = picture_json(report.picture);
  if (!report.further.empty()) out["further_pictures"] = further_json(report.further);
  out["options"] = options_json(report);
  if (!measured) return dumped(out);
  const PictureMeasurement& m = *report.measurement;
  out["calibration"] = calibration_json(m);
  if (report.combined) out["combined"] = combined_json(*report.combined);
  out["strip"] = strip_json(m.strip);
  out["fence"] = fence(*report.fence, report.setup);
  out["fence"].update(
      cutting(*report.of_strip, report.u_shared, report.advice.scatter, report.advice.strips));
  out["correction"] = move(report.move, report.setup);
  put_advice(out, report);
  if (report.caliper) out["caliper"] = ordered_json::parse(judgement_json(*report.caliper));
  out["warnings"] = ordered_json::array();
  for (const Warning& warning : m.warnings)
    out["warnings"].push_back({{"code", warning.code}, {"text", warning.text}});
  return dumped(out);
}

std::string caliper_json(const CaliperReport& report) {
  ordered_json out = header("tapersight.caliper.v1", "judged", report.program_version);
  const auto parsed = [](const std::string& text) { return ordered_json::parse(text); };
  if (report.judgement) out["caliper"] = parsed(judgement_json(*report.judgement));
  if (report.study) out["study"] = parsed(study_json(*report.study));
  out["plan"] = parsed(plan_json(report.plan));
  out["plan"]["tolerance"] = report.tolerance;
  return dumped(out);
}

std::string correction_json(const WidthsReport& report) {
  ordered_json out = header("tapersight.correction.v1", "measured", report.program_version);
  const TwoWidths& widths = report.widths;
  out["options"] = setup(report.setup, report.units);
  out["options"]["ring"] = ring_setup(report.wishes.ring);
  if (const auto& gap = report.gap)
    out["gap"] = {{"outside_mm", number(gap->outside_mm)},   {"inside_mm", number(gap->inside_mm)},
                  {"apart_mm", number(gap->apart_mm)},       {"outside_u_mm", number(gap->outside_u_mm)},
                  {"inside_u_mm", number(gap->inside_u_mm)}, {"taper", number(report.taper.value)},
                  {"taper_u", number(report.taper.u)},       {"taper_dof", number(report.taper.dof)}};
  else
    out["strip"] = {{"fence_end_width_mm", number(widths.fence_end_mm)},
                    {"far_end_width_mm", number(widths.far_end_mm)},
                    {"apart_mm", number(widths.apart_mm)},
                    {"fence_end_width_u_mm", number(widths.fence_end_u_mm)},
                    {"far_end_width_u_mm", number(widths.far_end_u_mm)},
                    {"taper", number(report.taper.value)},
                    {"taper_u", number(report.taper.u)},
                    {"taper_dof", number(report.taper.dof)}};
  out["fence"] = fence(report.fence, report.setup);
  out["fence"].update(cutting(report.of_strip, 0, report.advice.scatter, report.advice.strips));
  out["correction"] = move(report.move, report.setup);
  put_advice(out, report);
  return dumped(out);
}

}  // namespace tapersight
