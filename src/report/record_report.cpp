#include "report/record_report.h"

#include "fence/steps.h"

namespace tapersight {

Result<RecordReport> conclude(RecordReport report) {
  report.analysis = analyse_record(report.entries, report.tolerance);
  const RecordAnalysis& analysis = report.analysis;
  if (analysis.states.empty() || analysis.moved_since) return report;
  const FenceError& now = analysis.states.back();
  if (report.tolerance) {
    PresentMeasurement present;  // the record does not keep the strip's length
    report.decision = decide(now, *report.tolerance, present);
  }
  if (analysis.due != Due::kMove || !report.setup.pivot_distance_mm) return report;
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
