#include "caliper/caliper_json.h"

#include <cmath>
#include <nlohmann/json.hpp>

namespace tapersight {
namespace {

using Json = nlohmann::ordered_json;

// JSON has no infinity: infinite degrees of freedom are null.
Json finite(double value) {
  return std::isfinite(value) ? Json(value) : Json(nullptr);
}

Json uncertainty(double u, double dof) {
  return {{"u", u}, {"dof", finite(dof)}};
}

Json width_json(const WidthEstimate& width) {
  return {{"mean_mm", width.mean_mm},
          {"u_mm", width.u_mm},
          {"dof", finite(width.dof)},
          {"readings", width.readings}};
}

Json check_json(const NullCheck& check, const char* unit) {
  if (!check.tested) return nullptr;
  return {{"value", check.value}, {"U", check.U}, {"unit", unit}, {"found", check.found}};
}

Json suspects_json(const std::vector<SuspectReading>& suspects) {
  Json list = Json::array();
  for (const SuspectReading& suspect : suspects) {
    Json item = {{"place", place_name(suspect.place)},
                 {"reading", suspect.number},
                 {"value_mm", suspect.value_mm},
                 {"others_mm", suspect.others_mm},
                 {"p", suspect.p},
                 {"likely_cause", suspect.cause}};
    item["meant_mm"] = suspect.meant_mm ? Json(*suspect.meant_mm) : Json(nullptr);
    list.push_back(item);
  }
  return list;
}

Json taper_json(const CaliperTaper& taper) {
  const Repeatability& repeat = taper.repeatability;
  return {{"taper", taper.taper},
          {"uncertainty", uncertainty(taper.u_taper.u, taper.u_taper.dof)},
          {"U", taper.U_taper},
          {"coverage_factor", taper.coverage_factor},
          {"difference_mm", taper.difference_mm},
          {"U_difference_mm", taper.U_difference_mm},
          {"u_scatter_mm", taper.u_scatter_mm},
          {"u_resolution_mm", taper.u_resolution_mm},
          {"u_limit_of_error_mm", taper.u_limit_mm},
          {"fence_end", width_json(taper.fence_end)},
          {"far_end", width_json(taper.far_end)},
          {"repeatability",
           {{"s_mm", repeat.s_mm},
            {"dof", repeat.dof},
            {"low_mm", repeat.interval_mm.low},
            {"high_mm", repeat.interval_mm.high},
            {"ends_scatter_alike", taper.ends_scatter_alike}}}};
}

Json anova_json(const AnovaRow& row) {
  return {{"sum_of_squares_mm2", row.sum_of_squares},
          {"dof", row.dof},
          {"mean_square_mm2", row.mean_square},
          {"F", row.f},
          {"p", row.p}};
}

}  // namespace

const char* fault_name(CaliperFault fault) {
  switch (fault) {
    case CaliperFault::kZeroOff:
      return "zero-off";
    case CaliperFault::kScaleOff:
      return "scale-off";
    case CaliperFault::kSizeOff:
      return "size-off";
    case CaliperFault::kScattered:
      return "scattered";
    case CaliperFault::kDifferenceWrong:
      break;
  }
  return "difference-wrong";
}

const char* agreement_name(Agreement agreement) {
  switch (agreement) {
    case Agreement::kAgrees:
      return "agrees";
    case Agreement::kAgreesWeakly:
      return "agrees-weakly";
    case Agreement::kDisagrees:
      return "disagrees";
    case Agreement::kNotCompared:
      break;
  }
  return "not-compared";
}

std::string judgement_json(const CaliperJudgement& j) {
  Json json;
  json["faults"] = Json::array();
  for (const CaliperFault fault : j.faults) json["faults"].push_back(fault_name(fault));
  json["agreement"] = agreement_name(j.agreement);
  json["normalised_error"] = j.normalised_error ? Json(*j.normalised_error) : Json(nullptr);
  json["coverage"] = kCaliperCoverage;
  json["distance_mm"] = j.screening.kept.distance_mm;
  json["caliper"] = taper_json(j.taper);
  json["spec"] = {{"kind", caliper_kind_name(j.spec.kind)},
                  {"resolution_mm", j.spec.resolution_mm},
                  {"limit_of_error_mm", j.spec.limit_of_error_mm}};
  json["picture"] = nullptr;
  if (j.picture)
    json["picture"] = {{"taper", j.picture->taper},
                       {"uncertainty", uncertainty(j.picture->u_taper, j.picture->dof)},
                       {"U", j.U_picture}};
  json["combined"] = nullptr;
  if (j.best)
    json["combined"] = {{"taper", j.best->taper},
                        {"uncertainty", uncertainty(j.best->u.u, j.best->u.dof)},
                        {"U", j.best->U},
                        {"picture_weight", j.best->picture_weight}};
  json["zero"] = check_json(j.zero_mm, "mm");
  json["scale"] = check_json(j.scale, "mm/mm");
  json["block"] = check_json(j.block_mm, "mm");
  json["size"] = check_json(j.size_mm, "mm");
  json["zero_corrected"] = j.zero_corrected;
  json["scale_corrected"] = j.scale_corrected;
  json["scatter_limit_mm"] = j.scatter_limit_mm;
  json["left_out"] = suspects_json(j.screening.suspects);
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::string study_json(const GaugeStudy& study) {
  Json json = {{"places", study.places},
               {"people", study.people},
               {"repeats", study.repeats},
               {"anova",
                {{"places", anova_json(study.place)},
                 {"people", anova_json(study.person)},
                 {"interaction", anova_json(study.interaction)},
                 {"repeatability", anova_json(study.repeatability)},
                 {"total", anova_json(study.total)}}},
               {"interaction_pooled", study.interaction_pooled},
               {"variance_mm2",
                {{"repeatability", study.var_repeatability},
                 {"people", study.var_person},
                 {"interaction", study.var_interaction},
                 {"places", study.var_place}}},
               {"repeatability_mm", study.s_repeatability_mm},
               {"repeatability_dof", study.repeatability_dof},
               {"repeatability_low_mm", study.repeatability_interval_mm.low},
               {"repeatability_high_mm", study.repeatability_interval_mm.high},
               {"reproducibility_mm", study.s_reproducibility_mm}};
  json["suspects"] = Json::array();
  for (const StudySuspect& suspect : study.suspects)
    json["suspects"].push_back({{"place", suspect.place},
                                {"person", suspect.person},
                                {"reading", suspect.number},
                                {"value_mm", suspect.value_mm},
                                {"others_mm", suspect.others_mm}});
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::string plan_json(const Plan& plan) {
  const auto row_json = [](const PlanRow& row) {
    return Json{{"readings", row.readings}, {"strip_length_mm", row.strip_length_mm}};
  };
  Json json = {{"advised", row_json(plan.advised)}, {"limit_share", plan.limit_share}};
  json["for_strip"] = plan.for_strip ? row_json(*plan.for_strip) : Json(nullptr);
  json["rows"] = Json::array();
  for (const PlanRow& row : plan.rows) json["rows"].push_back(row_json(row));
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace tapersight
