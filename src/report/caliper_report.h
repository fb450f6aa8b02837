// Readings of a caliper by themselves: what was judged, studied and planned, and its text.
#pragma once
#include <optional>
#include <string>

#include "base/units.h"
#include "caliper/gauge_study.h"
#include "caliper/judge.h"
#include "caliper/plan.h"
#include "caliper/readings_file.h"
#include "fence/tolerance.h"
#include "report/lines.h"

namespace tapersight {

struct CaliperReport {
  std::string program_version;
  Units units = Units::kInch;
  std::optional<CaliperJudgement> judgement;  // of readings at the two ends of a strip
  std::optional<GaugeStudy> study;
  std::string tolerance;       // as it was typed
  double strip_length_mm = 0;  // 0 = not known
  Plan plan;
};

// Judges and studies whatever `file` holds and plans for `tolerance` with the scatter found (the study's if
// there is one: it has more degrees of freedom). Failures: no-readings, and those of judge_caliper,
// gauge_study, plan_readings.
Result<CaliperReport> report_caliper(const CaliperFile& file, const Tolerance& tolerance, int turns);

std::string caliper_text(const CaliperReport& report, const Terminal& terminal = {});

// The part of a measurement's text about the caliper, with its title.
std::string caliper_section(const CaliperJudgement& judgement, Units units, const Terminal& terminal = {});

}  // namespace tapersight
