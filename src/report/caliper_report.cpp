#include "report/caliper_report.h"

#include "caliper/describe.h"
#include "report/lines.h"

namespace tapersight {
namespace {

bool has_strip_readings(const CaliperFile& file) {
  return !file.readings.fence_end_mm.empty() || !file.readings.far_end_mm.empty();
}

Result<Plan> plan_for(const CaliperReport& report, const CaliperFile& file, const Tolerance& tolerance,
                      int turns) {
  PlanRequest request;
  request.tolerance = tolerance.angle;
  request.turns = turns;
  request.limit_of_error_mm = file.spec.limit_of_error_mm;
  request.from_end_mm = file.readings_at_mm.value_or(kDefaultReadingsAtMm);
  if (report.judgement) {
    request.scatter_mm = report.judgement->taper.repeatability.s_mm;
    request.resolution_mm = report.judgement->spec.resolution_mm;
  }
  if (report.study) request.scatter_mm = report.study->s_repeatability_mm;
  if (file.spec.resolution_mm > 0) request.resolution_mm = file.spec.resolution_mm;
  return plan_readings(request, report.strip_length_mm);
}

// A title, wrapped sentences, the table as it stands, advice.
std::string section(const std::string& title, const CaliperWords& words, const Terminal& terminal) {
  std::string out = title + "\n";
  for (const std::string& sentence : words.sentences) put(out, "  ", sentence, terminal);
  put_table(out, words.table);
  if (!words.advice.empty()) out += "\n";
  for (const std::string& sentence : words.advice) put(out, "  ", sentence, terminal);
  return out;
}

}  // namespace

Result<CaliperReport> report_caliper(const CaliperFile& file, const Tolerance& tolerance, int turns) {
  if (!has_strip_readings(file) && file.study.empty())
    return Failure{
        "no-readings", "There are no readings of a strip and no gauge study to judge.",
        "Give readings at both ends, --fence-end-readings and --far-end-readings, or a file that has them."};
  CaliperReport report;
  report.tolerance = tolerance.text;
  report.strip_length_mm = file.strip_length_mm.value_or(0);
  if (has_strip_readings(file)) {
    auto judged = judge_caliper(file.readings, file.spec, std::nullopt);
    if (!judged) return judged.failure();
    report.judgement = std::move(*judged);
  }
  if (!file.study.empty()) {
    GaugeStudyOptions options;
    options.floor_sd_mm = file.spec.resolution_mm / 2;
    auto study = gauge_study(file.study, options);
    if (!study) return study.failure();
    report.study = std::move(*study);
  }
  auto plan = plan_for(report, file, tolerance, turns);
  if (!plan) return plan.failure();
  report.plan = std::move(*plan);
  return report;
}

std::string caliper_text(const CaliperReport& report, const Terminal& terminal) {
  std::string out;
  const auto add = [&out](const std::string& part) { out += (out.empty() ? "" : "\n") + part; };
  if (report.judgement)
    add(section("The caliper", describe_judgement(*report.judgement, report.units), terminal));
  if (report.study) add(section("The gauge study", describe_study(*report.study, report.units), terminal));
  add(section("How many readings, how long a strip",
              describe_plan(report.plan, report.tolerance, report.strip_length_mm, report.units), terminal));
  return out;
}

std::string caliper_section(const CaliperJudgement& judgement, Units units, const Terminal& terminal) {
  return section("The caliper", describe_judgement(judgement, units), terminal);
}

}  // namespace tapersight
