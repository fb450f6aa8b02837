#include "report/json_parts.h"

#include <cmath>

#include "report/answer.h"

namespace tapersight::json_parts {

ordered_json number(double value) {
  return std::isfinite(value) ? ordered_json(value) : ordered_json(nullptr);
}

ordered_json number(const std::optional<double>& value) {
  return value ? number(*value) : ordered_json(nullptr);
}

ordered_json setup(const SledSetup& sled, Units units) {
  ordered_json out;
  out["units"] = units_name(units);
  out["turns"] = sled.turns;
  out["fence"] = fence_side_name(sled.fence);
  out["strip_falls"] = side_name(sled.strip_falls);
  out["pivot"] = side_name(sled.pivot);
  out["pivot_distance_mm"] = number(sled.pivot_distance_mm);
  out["cut_length_mm"] = number(sled.cut_length_mm);
  return out;
}

ordered_json fence(const FenceError& error, const SledSetup& sled) {
  ordered_json out;
  out["turns"] = error.turns;
  out["error"] = number(error.theta);
  out["error_u"] = number(error.u);
  out["error_U"] = number(error.U);
  out["dof"] = number(error.dof);
  out["coverage"] = kCoverage;
  out["coverage_factor"] = number(error.coverage_factor);
  out["sense"] = sense_name(error.sense());
  out["sense_known"] = error.sense_is_known();
  out["over_cut"] = {{"cut_length_mm", number(sled.cut_length_mm)},
                     {"error_mm", number(error.theta * sled.cut_length_mm)},
                     {"error_U_mm", number(error.U * sled.cut_length_mm)}};
  out["error_mm_per_m"] = number(error.theta * 1000);
  out["error_U_mm_per_m"] = number(error.U * 1000);
  out["error_deg"] = number(error.theta * kDegreesPerRadian);
  out["error_U_deg"] = number(error.U * kDegreesPerRadian);
  return out;
}

ordered_json cutting(const FenceError& of_strip, double u_shared, const CutScatter& scatter, int strips) {
  ordered_json out;
  out["this_strip"] = {{"error", number(of_strip.theta)},
                       {"error_u", number(of_strip.u)},
                       {"error_u_shared", number(u_shared)},
                       {"error_U", number(of_strip.U)},
                       {"dof", number(of_strip.dof)}};
  out["cutting_scatter"] = {{"u", number(scatter.sigma)},
                            {"dof", number(scatter.dof)},
                            {"from", scatter.strips > 0 ? "record" : "common practice"},
                            {"record_strips", scatter.strips}};
  out["strips"] = strips;
  return out;
}

ordered_json move(const std::optional<FenceMove>& made, const SledSetup& sled) {
  if (!made) return nullptr;
  ordered_json out;
  out["move_mm"] = number(made->move_mm);
  out["move_u_mm"] = number(made->u_mm);
  out["move_U_mm"] = number(made->U_mm);
  out["coverage_factor"] = number(made->coverage_factor);
  out["end"] = side_name(made->end);
  out["toward"] = toward_name(made->toward);
  out["direction_known"] = made->direction_is_known;
  out["pivot"] = side_name(sled.pivot);
  out["pivot_distance_mm"] = number(sled.pivot_distance_mm);
  return out;
}

ordered_json header(const char* schema, const char* status, const std::string& version) {
  ordered_json out;
  out["schema"] = schema;
  out["status"] = status;
  out["program"] = {{"name", "tapersight"}, {"version", version}};
  return out;
}

std::string dumped(const ordered_json& json) {
  return json.dump(1, ' ', false, ordered_json::error_handler_t::replace) + "\n";
}

ordered_json ring_setup(const std::optional<RingSetup>& ring) {
  if (!ring) return nullptr;
  ordered_json out;
  out["pieces"] = ring->pieces;
  out["mitred_ends"] = ring->mitred_ends;
  out["lean"] = mitre_lean_name(ring->lean);
  out["nominal_mitre"] = number(nominal_mitre(*ring));
  return out;
}

ordered_json ring(const std::optional<RingError>& error) {
  if (!error) return nullptr;
  ordered_json out;
  out["cuts"] = error->cuts;
  out["mitre_short"] = number(error->per_cut);
  out["mitre_short_U"] = number(error->fence.U);
  return out;
}

ordered_json decision(const std::optional<SquarenessDecision>& decided,
                      const std::optional<Tolerance>& tolerance, bool of_a_ring) {
  if (!decided) return nullptr;
  ordered_json out;
  std::string verdict(verdict_name(decided->verdict));
  if (of_a_ring && decided->verdict != Verdict::kCannotBeTold)
    verdict = decided->verdict == Verdict::kSquare ? "true" : "not true";
  out["verdict"] = verdict;
  out["tolerance"] = number(decided->tolerance);
  out["tolerance_typed"] = tolerance ? tolerance->text : std::string();
  out["tolerance_usual"] = tolerance && tolerance->usual;
  out["would_settle"] = nullptr;
  if (const auto& settled = decided->settled) {
    out["would_settle"] = {{"needed_U", number(settled->needed_U)},
                           {"can_be_settled", settled->can_be_settled}};
    if (settled->can_be_settled) {
      out["would_settle"]["strip_length_mm"] = number(settled->strip_length_mm);
      out["would_settle"]["more_strips"] = settled->more_strips;
      out["would_settle"]["chance"] = kPlannedChance;
    }
  }
  return out;
}

namespace {

ordered_json stack(const FeelerStack& stack) {
  ordered_json out;
  out["spacers_mm"] = stack.spacers_mm;
  out["leaves_mm"] = stack.leaves_mm;
  out["total_mm"] = number(stack.total_mm);
  out["error_mm"] = number(stack.error_mm);
  return out;
}

ordered_json plan(const StackPlan& made) {
  ordered_json out = stack(made.plan.best);
  out["set"] = made.set;
  out["closeness_mm"] = number(made.plan.closeness_mm);
  out["within_closeness"] = made.plan.within_closeness;
  out["alternatives"] = ordered_json::array();
  for (const FeelerStack& other : made.plan.alternatives) out["alternatives"].push_back(stack(other));
  return out;
}

ordered_json plan(const ScrewPlan& made) {
  ordered_json out;
  out["thread"] = made.thread.text;
  out["pitch_mm"] = number(made.thread.pitch_mm);
  out["turns"] = number(made.turns.turns);
  out["turns_U"] = number(made.turns.U_turns);
  out["whole_turns"] = made.turns.whole_turns;
  out["degrees"] = made.turns.degrees;
  return out;
}

ordered_json plan(const ShimPlan& made) {
  ordered_json out;
  out["layers"] = ordered_json::array();
  for (const ShimLayer& layer : made.layers)
    out["layers"].push_back({{"name", layer.kind.name},
                             {"thickness_mm", number(layer.kind.thickness_mm)},
                             {"sheets", layer.sheets}});
  out["total_mm"] = number(made.total_mm);
  out["error_mm"] = number(made.error_mm);
  out["within_closeness"] = made.within_closeness;
  return out;
}

ordered_json plan(const IndicatorPlan& made) {
  ordered_json out;
  out["graduation_mm"] = number(made.indicator.graduation_mm);
  out["revolution_mm"] = number(made.indicator.revolution_mm);
  out["reading_mm"] = number(made.reading.reading_mm);
  out["error_mm"] = number(made.reading.error_mm);
  out["revolutions"] = made.reading.revolutions;
  out["divisions"] = made.reading.divisions;
  return out;
}

const char* due_name(Due due) {
  return due == Due::kMeasure ? "measure" : due == Due::kMove ? "move" : "nothing";
}

}  // namespace

ordered_json adjustment(const std::optional<FenceMove>& wanted, const std::optional<Adjustment>& made,
                        const std::vector<std::string>& steps, Units units) {
  if (!wanted) return nullptr;
  ordered_json out;
  out["advised"] = made.has_value();
  if (made) {
    out["by"] = adjust_by_name(made->by());
    out["means"] = means_phrase(*made, units);
    out["wanted_mm"] = number(wanted->move_mm);
    out["made_mm"] = number(made->made_mm());
    out[std::string(adjust_by_name(made->by()))] =
        std::visit([](const auto& p) { return plan(p); }, made->plan);
  }
  out["steps"] = steps;
  return out;
}

ordered_json analysis(const RecordAnalysis& found) {
  ordered_json out;
  const Response& response = found.response;
  ordered_json distance = nullptr, distance_u = nullptr;
  if (response.turn_per_mm) {
    distance = number(1 / *response.turn_per_mm);
    distance_u = number(response.u_turn_per_mm / (*response.turn_per_mm * *response.turn_per_mm));
  }
  out["response"] = {{"distance_mm", distance},
                     {"distance_u_mm", distance_u},
                     {"moves_used", response.moves_used},
                     {"moves_agree", response.moves_agree}};
  out["last_move"] = nullptr;
  if (!found.steps.empty()) {
    const Step& step = found.steps.back();
    out["last_move"] = {{"verdict", move_verdict_name(step.verdict)},
                        {"intended", number(step.intended)},
                        {"observed", number(step.observed)},
                        {"observed_U", number(step.U_observed)}};
  }
  out["moved_since_measured"] = found.moved_since;
  out["stop_here"] = found.stop_here;
  out["due"] = due_name(found.due);
  return out;
}

}  // namespace tapersight::json_parts
