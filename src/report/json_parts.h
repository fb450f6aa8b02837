// Pieces that several kinds of JSON share; only for the JSON writers of this folder.
#pragma once
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "assess/measurement_report.h"

namespace tapersight::json_parts {

using nlohmann::ordered_json;

ordered_json number(double value);  // null when it is not finite
ordered_json number(const std::optional<double>& value);

ordered_json header(const char* schema, const char* status, const std::string& version);
ordered_json setup(const SledSetup& setup, Units units);
ordered_json fence(const FenceError& fence, const SledSetup& setup);
// What this strip shows by itself, the scatter of the cutting, and of how many strips the fence's error is.
ordered_json cutting(const FenceError& of_strip, double u_shared, const CutScatter& scatter, int strips);
ordered_json move(const std::optional<FenceMove>& move, const SledSetup& setup);
ordered_json ring_setup(const std::optional<RingSetup>& ring);
ordered_json ring(const std::optional<RingError>& ring);
ordered_json decision(const std::optional<SquarenessDecision>& decision,
                      const std::optional<Tolerance>& tolerance, bool of_a_ring);
// Null without a pivot distance; "advised" false, with the steps, when the fence is to be left alone.
ordered_json adjustment(const std::optional<FenceMove>& move, const std::optional<Adjustment>& adjustment,
                        const std::vector<std::string>& steps, Units units);
ordered_json analysis(const RecordAnalysis& analysis);

// A file's name need not be UTF-8: what is not is replaced, so that the JSON stays readable.
std::string dumped(const ordered_json& json);

}  // namespace tapersight::json_parts
