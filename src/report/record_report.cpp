#include "report/record_report.h"

#include <cmath>

#include "fence/steps.h"

namespace tapersight {

Result<RecordReport> conclude(RecordReport report) {
  report.analysis = analyse_record(report.entries, report.tolerance);
  const RecordAnalysis& analysis = report.analysis;
  if (analysis.states.empty() || analysis.moved_since) return report;
  const State& state = analysis.states.back();
  const FenceError& now = state.fence;
  if (report.tolerance) {
    PresentMeasurement present;  // the record does not keep the strip's length
    present.strips = state.strips;
    present.u_shared = state.u_shared;
    present.shared = "the sheet and the scanner";
    present.u_own = std::sqrt(std::fmax(0, now.u * now.u - state.u_shared * state.u_shared) * state.strips);
    present.dof_own = now.dof;
    report.decision = decide(now, *report.tolerance, present);
  }
  if (analysis.due != Due::kMove || !report.setup.pivot_distance_mm) return report;
  const double typed_mm = *report.setup.pivot_distance_mm;
  if (const NextDistance next = next_distance(analysis.response, typed_mm); next.ask) {
    report.ask_distance = ask_for_distance(next, typed_mm, report.units);
    return report;
  }
  const auto move = next_move(now, report.setup, analysis.response);
  if (!move) return move.failure();
  report.move = *move;
  const auto adjustment = plan_adjustment(*move, report.means, report.units);
  if (!adjustment) return adjustment.failure();
  StepsInput input;
  input.setup = report.setup;
  input.setup.turns = now.turns;
  input.error = now;
  input.move = *move;
  input.by = report.means.by;
  input.by_lines = describe_adjustment(*adjustment, report.units);
  if (report.decision) input.verdict = report.decision->verdict;
  input.see_to_first = see_to_first(analysis);
  input.can_be_made = adjustment->made_mm() > 0;
  input.units = report.units;
  report.steps = adjustment_steps(input);
  if (is_to_be_moved(input)) report.adjustment = *adjustment;
  return report;
}

}  // namespace tapersight
