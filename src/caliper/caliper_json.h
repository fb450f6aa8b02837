// The judgement of a caliper as JSON: SI-like units in the names (mm; tapers in mm/mm), one object, UTF-8.
#pragma once
#include <string>

#include "caliper/gauge_study.h"
#include "caliper/judge.h"
#include "caliper/plan.h"

namespace tapersight {

std::string judgement_json(const CaliperJudgement& judgement);
std::string study_json(const GaugeStudy& study);
std::string plan_json(const Plan& plan);

const char* fault_name(
    CaliperFault fault);  // "zero-off", "scale-off", "size-off", "scattered", "difference-wrong"
const char* agreement_name(Agreement agreement);  // "not-compared", "agrees", "agrees-weakly", "disagrees"

}  // namespace tapersight
