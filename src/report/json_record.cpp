#include "report/json.h"
#include "report/json_parts.h"

namespace tapersight {
namespace {

using namespace json_parts;

ordered_json entry_json(const MeasurementEntry& m) {
  return {{"kind", "measurement"},
          {"when", m.when},
          {"source", m.source},
          {"turns", m.turns},
          {"error", number(m.theta)},
          {"error_u", number(m.u)},
          {"dof", number(m.dof)},
          {"error_u_shared", number(m.u_shared)},
          {"note", m.note}};
}

ordered_json entry_json(const MoveEntry& m) {
  return {{"kind", "move"},
          {"when", m.when},
          {"by", m.by},
          {"move_mm", number(m.move_mm)},
          {"move_u_mm", number(m.u_mm)},
          {"pivot_distance_mm", number(m.pivot_distance_mm)},
          {"end", side_name(m.end)},
          {"toward", toward_name(m.toward)},
          {"note", m.note}};
}

ordered_json entry_json(const NoteEntry& n) {
  return {{"kind", "note"}, {"when", n.when}, {"note", n.note}};
}

}  // namespace

std::string record_json(const RecordReport& report) {
  ordered_json out = header("tapersight.sled.v1", "read", report.program_version);
  out["sled"] = report.sled;
  out["damaged_lines"] = report.damaged_lines;
  out["entries"] = ordered_json::array();
  for (const RecordEntry& entry : report.entries)
    out["entries"].push_back(std::visit([](const auto& held) { return entry_json(held); }, entry));
  out["record"] = analysis(report.analysis);
  out["fence"] = nullptr;  // the last state: the mean of what was measured since the last move
  if (!report.analysis.states.empty() && !report.analysis.moved_since)
    out["fence"] = fence(report.analysis.states.back().fence, report.setup);
  out["decision"] = decision(report.decision, report.tolerance, false);
  out["correction"] = move(report.move, report.setup);
  out["pivot_distance_doubt"] = report.ask_distance;
  out["adjustment"] = adjustment(report.move, report.adjustment, report.steps, report.units);
  return dumped(out);
}

}  // namespace tapersight
