#include "report/json.h"

#include <cmath>
#include <nlohmann/json.hpp>

#include "caliper/caliper_json.h"

namespace tapersight {
namespace {

using nlohmann::ordered_json;

ordered_json number(double value) {
  return std::isfinite(value) ? ordered_json(value) : ordered_json(nullptr);
}

ordered_json number(const std::optional<double>& value) {
  return value ? number(*value) : ordered_json(nullptr);
}

std::string_view side_of_picture(PictureSide side) {
  switch (side) {
    case PictureSide::kTop:
      return "top";
    case PictureSide::kLeft:
      return "left";
    case PictureSide::kRight:
      return "right";
    case PictureSide::kBottom:
      break;
  }
  return "bottom";
}

ordered_json setup_json(const SledSetup& setup, Units units) {
  ordered_json out;
  out["units"] = units_name(units);
  out["turns"] = setup.turns;
  out["fence"] = fence_side_name(setup.fence);
  out["strip_falls"] = side_name(setup.strip_falls);
  out["pivot"] = side_name(setup.pivot);
  out["pivot_distance_mm"] = number(setup.pivot_distance_mm);
  out["cut_length_mm"] = number(setup.cut_length_mm);
  return out;
}

ordered_json options_json(const MeasurementReport& report) {
  ordered_json out = setup_json(report.setup, report.units);
  const PictureOptions& options = report.options;
  out["without_target"] = options.without_target;
  if (options.without_target) {
    out["fence_end_at"] = side_of_picture(options.fence_end);
    out["region_px"] = nullptr;
    if (const auto& r = options.region_px) out["region_px"] = {r->x, r->y, r->width, r->height};
  } else {
    out["bar_x_mm"] = number(options.bar_x_mm);
    out["bar_y_mm"] = number(options.bar_y_mm);
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

ordered_json calibration_json(const PictureMeasurement& m) {
  ordered_json out;
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

ordered_json fence_json(const FenceError& fence, const SledSetup& setup) {
  ordered_json out;
  out["turns"] = fence.turns;
  out["error"] = number(fence.theta);
  out["error_u"] = number(fence.u);
  out["error_U"] = number(fence.U);
  out["dof"] = number(fence.dof);
  out["coverage"] = kCoverage;
  out["coverage_factor"] = number(fence.coverage_factor);
  out["sense"] = sense_name(fence.sense());
  out["sense_known"] = fence.sense_is_known();
  out["over_cut"] = {{"cut_length_mm", number(setup.cut_length_mm)},
                     {"error_mm", number(fence.theta * setup.cut_length_mm)},
                     {"error_U_mm", number(fence.U * setup.cut_length_mm)}};
  out["error_mm_per_m"] = number(fence.theta * 1000);
  out["error_U_mm_per_m"] = number(fence.U * 1000);
  out["error_deg"] = number(fence.theta * kDegreesPerRadian);
  out["error_U_deg"] = number(fence.U * kDegreesPerRadian);
  return out;
}

ordered_json move_json(const std::optional<FenceMove>& move, const SledSetup& setup) {
  if (!move) return nullptr;
  ordered_json out;
  out["move_mm"] = number(move->move_mm);
  out["move_u_mm"] = number(move->u_mm);
  out["move_U_mm"] = number(move->U_mm);
  out["coverage_factor"] = number(move->coverage_factor);
  out["end"] = side_name(move->end);
  out["toward"] = toward_name(move->toward);
  out["direction_known"] = move->direction_is_known;
  out["pivot"] = side_name(setup.pivot);
  out["pivot_distance_mm"] = number(setup.pivot_distance_mm);
  return out;
}

ordered_json header_json(const char* schema, const char* status, const std::string& version) {
  ordered_json out;
  out["schema"] = schema;
  out["status"] = status;
  out["program"] = {{"name", "tapersight"}, {"version", version}};
  return out;
}

// A file's name need not be UTF-8: what is not is replaced, so that the JSON stays readable.
std::string dumped(const ordered_json& json) {
  return json.dump(1, ' ', false, ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace

std::string measurement_json(const MeasurementReport& report) {
  const bool measured = report.measurement.ok() && report.fence;
  ordered_json out =
      header_json("tapersight.measurement.v1", measured ? "measured" : "rejected", report.program_version);
  if (!report.measurement.ok()) {
    const Failure& why = report.measurement.failure();
    out["reason"] = {{"code", why.code}, {"text", why.text}, {"remedy", why.remedy}};
  }
  out["picture"] = picture_json(report.picture);
  out["options"] = options_json(report);
  if (!measured) return dumped(out);
  const PictureMeasurement& m = *report.measurement;
  out["calibration"] = calibration_json(m);
  out["strip"] = strip_json(m.strip);
  out["fence"] = fence_json(*report.fence, report.setup);
  out["correction"] = move_json(report.move, report.setup);
  if (report.caliper) out["caliper"] = ordered_json::parse(judgement_json(*report.caliper));
  out["warnings"] = ordered_json::array();
  for (const Warning& warning : m.warnings)
    out["warnings"].push_back({{"code", warning.code}, {"text", warning.text}});
  return dumped(out);
}

std::string caliper_json(const CaliperReport& report) {
  ordered_json out = header_json("tapersight.caliper.v1", "judged", report.program_version);
  const auto parsed = [](const std::string& text) { return ordered_json::parse(text); };
  if (report.judgement) out["caliper"] = parsed(judgement_json(*report.judgement));
  if (report.study) out["study"] = parsed(study_json(*report.study));
  out["plan"] = parsed(plan_json(report.plan));
  out["plan"]["tolerance"] = report.tolerance;
  return dumped(out);
}

std::string correction_json(const WidthsReport& report) {
  ordered_json out = header_json("tapersight.correction.v1", "measured", report.program_version);
  const TwoWidths& widths = report.widths;
  out["options"] = setup_json(report.setup, report.units);
  out["strip"] = {{"fence_end_width_mm", number(widths.fence_end_mm)},
                  {"far_end_width_mm", number(widths.far_end_mm)},
                  {"apart_mm", number(widths.apart_mm)},
                  {"fence_end_width_u_mm", number(widths.fence_end_u_mm)},
                  {"far_end_width_u_mm", number(widths.far_end_u_mm)},
                  {"taper", number(report.taper.value)},
                  {"taper_u", number(report.taper.u)},
                  {"taper_dof", number(report.taper.dof)}};
  out["fence"] = fence_json(report.fence, report.setup);
  out["correction"] = move_json(report.move, report.setup);
  return dumped(out);
}

}  // namespace tapersight
