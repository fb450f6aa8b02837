#include "report/read_result.h"

#include <nlohmann/json.hpp>

#include "record/whole_number.h"

namespace tapersight {
namespace {

using nlohmann::json;

Failure not_a_result() {
  return {"not-a-result", "The file does not hold a result of this program.",
          "Give what measure --json or correct --json wrote."};
}

// Reads with `read`; what is missing or of the wrong kind is not a result.
template <typename Entry, typename Read>
Result<Entry> from_result(const std::string& text, Read read) {
  const json result = json::parse(text, nullptr, false);
  if (result.is_discarded() || !result.is_object()) return not_a_result();
  try {  // nlohmann's only way to say that a field is missing or of the wrong kind
    const auto schema = result.at("schema").get<std::string>();
    if (schema != "tapersight.measurement.v1" && schema != "tapersight.correction.v1") return not_a_result();
    if (result.at("status").get<std::string>() != "measured")
      return Failure{"result-rejected", "The result says that the picture could not be measured.",
                     "Measure another picture; the record keeps only what was measured."};
    return read(result);
  } catch (const json::exception&) {
    return not_a_result();
  }
}

std::string source_of(const json& result) {
  if (result.contains("picture")) return result.at("picture").at("file").get<std::string>();
  return std::string(result.contains("gap") ? kClosingGap : kTwoWidths);
}

Result<MoveEntry> told_move(const json& result, const std::string& when, double u_mm) {
  const json& told = result.at("correction");
  const json& adjustment = result.at("adjustment");
  if (told.is_null() || !adjustment.at("advised").get<bool>())
    return Failure{"no-move-told", "The result does not say to move the fence.",
                   "If you moved it anyway, type the move: --move, --toward, --pivot-distance."};
  MoveEntry move;
  move.when = when;
  move.by = adjustment.at("by").get<std::string>();
  move.move_mm = adjustment.at("made_mm").get<double>();
  move.u_mm = u_mm;
  move.pivot_distance_mm = told.at("pivot_distance_mm").get<double>();
  const auto end = parse_side(told.at("end").get<std::string>());
  if (!end) return not_a_result();
  move.end = *end;
  move.toward = told.at("toward").get<std::string>() == toward_name(Toward::kOperator)
                    ? Toward::kOperator
                    : Toward::kAwayFromOperator;
  return move;
}

}  // namespace

Result<MeasurementEntry> measurement_from_result(const std::string& text, const std::string& when) {
  return from_result<MeasurementEntry>(text, [&](const json& result) -> Result<MeasurementEntry> {
    const json& fence = result.at("fence");
    MeasurementEntry entry;
    entry.when = when;
    entry.source = source_of(result);
    entry.turns = whole_number(fence.at("turns"));
    // Results of older versions know of the strip alone.
    const json& strip = fence.contains("this_strip") ? fence.at("this_strip") : fence;
    entry.theta = strip.at("error").get<double>();
    entry.u = strip.at("error_u").get<double>();
    if (!strip.at("dof").is_null()) entry.dof = strip.at("dof").get<double>();
    entry.u_shared = strip.contains("error_u_shared") ? strip.at("error_u_shared").get<double>() : entry.u;
    return entry;
  });
}

Result<MoveEntry> move_from_result(const std::string& text, const std::string& when, double u_mm) {
  return from_result<MoveEntry>(text, [&](const json& result) { return told_move(result, when, u_mm); });
}

}  // namespace tapersight
