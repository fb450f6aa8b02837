#include "report/measurement_report.h"

namespace tapersight {
namespace {

struct Conclusion {
  FenceError fence;
  std::optional<FenceMove> move;
};

Result<Conclusion> conclusion_of(const Taper& taper, const SledSetup& setup) {
  const Result<FenceError> fence = fence_error(taper, setup);
  if (!fence) return fence.failure();
  Conclusion conclusion{*fence, std::nullopt};
  if (!setup.pivot_distance_mm) return conclusion;
  const Result<FenceMove> move = correction_move(*fence, setup);
  if (!move) return move.failure();
  conclusion.move = *move;
  return conclusion;
}

}  // namespace

void conclude(MeasurementReport& report) {
  if (!report.measurement) return;
  const StripMeasurement& strip = report.measurement->strip;
  const auto conclusion = conclusion_of({strip.taper, strip.u_taper, strip.dof}, report.setup);
  if (!conclusion) {
    report.measurement = conclusion.failure();
    return;
  }
  report.fence = conclusion->fence;
  report.move = conclusion->move;
}

Result<WidthsReport> conclude(WidthsReport report) {
  const Result<Taper> taper = taper_from_widths(report.widths);
  if (!taper) return taper.failure();
  const auto conclusion = conclusion_of(*taper, report.setup);
  if (!conclusion) return conclusion.failure();
  report.taper = *taper;
  report.fence = conclusion->fence;
  report.move = conclusion->move;
  return report;
}

}  // namespace tapersight
