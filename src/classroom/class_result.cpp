#include "classroom/class_result.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <nlohmann/json.hpp>
#include <set>
#include <tuple>

#include "base/csv.h"
#include "base/text.h"
#include "record/whole_number.h"
#include "report/json.h"

namespace tapersight {
namespace {

using nlohmann::ordered_json;

constexpr const char* kSchema = "tapersight.class.v1";

ordered_json name_of(NamedBy by) {
  if (by == NamedBy::kNothing) return nullptr;
  return by == NamedBy::kTag ? "tag" : "file-name";
}

std::string one_line(const ordered_json& json) {
  return json.dump(-1, ' ', false, ordered_json::error_handler_t::replace);
}

// Discarded when it is no JSON, or nested deeper than any result: the library writes with a call a level.
ordered_json parse_flat(const std::string& text) {
  constexpr int kDeepest = 64;
  bool deep = false;
  const auto keep = [&deep](int depth, ordered_json::parse_event_t /*event*/, const ordered_json& /*value*/) {
    deep = deep || depth > kDeepest;
    return !deep;
  };
  ordered_json json = ordered_json::parse(text, keep, false);
  return deep ? ordered_json(ordered_json::value_t::discarded) : json;
}

std::string text_or_empty(const ordered_json& json) {
  return json.is_string() ? json.get<std::string>() : std::string();
}

std::optional<double> number_of(const ordered_json& json, const char* key) {
  if (!json.is_object() || !json.contains(key) || !json.at(key).is_number()) return std::nullopt;
  return json.at(key).get<double>();
}

std::optional<CaliperFinding> read_caliper_finding(const ordered_json& measurement) {
  if (!measurement.contains("caliper") || !measurement.at("caliper").is_object()) return std::nullopt;
  const ordered_json& judged = measurement.at("caliper");
  CaliperFinding finding;
  finding.disagrees = judged.at("agreement") == "disagrees";
  const ordered_json& caliper = judged.at("caliper");
  const ordered_json& picture = judged.at("picture");
  finding.taper_difference = caliper.at("taper").get<double>() - picture.at("taper").get<double>();
  finding.u_taper_difference = std::hypot(caliper.at("uncertainty").at("u").get<double>(),
                                          picture.at("uncertainty").at("u").get<double>());
  if (judged.at("size").is_object()) {
    finding.size_mm = number_of(judged.at("size"), "value");
    finding.U_size_mm = number_of(judged.at("size"), "U");
  }
  return finding;
}

void read_decision(const ordered_json& decision, ClassResult& result) {
  if (!decision.is_object()) return;
  result.verdict = decision.at("verdict").get<std::string>();
  result.tolerance = decision.at("tolerance_typed").get<std::string>();
  result.tolerance_rad = number_of(decision, "tolerance");
  result.settled_by_length_mm = number_of(decision.at("would_settle"), "strip_length_mm");
}

// Of the options; what is missing stays as it usually is.
SledSetup read_setup(const ordered_json& options) {
  SledSetup setup;
  const auto text = [&](const char* key) {
    return options.contains(key) ? text_or_empty(options.at(key)) : std::string();
  };
  if (const auto side = parse_fence_side(text("fence"))) setup.fence = *side;
  if (const auto side = parse_side(text("strip_falls"))) setup.strip_falls = *side;
  if (const auto side = parse_side(text("pivot"))) setup.pivot = *side;
  setup.pivot_distance_mm = number_of(options, "pivot_distance_mm");
  if (number_of(options, "turns") == 2.0) setup.turns = 2;
  return setup;
}

void read_measurement(const ordered_json& m, ClassResult& result) {
  result.measured = true;
  result.setup = read_setup(m.at("options"));
  result.units = m.at("options").at("units") == "mm" ? Units::kMillimetre : Units::kInch;
  const ordered_json& fence = m.at("fence");
  result.error = fence.at("error").get<double>();
  result.error_U = fence.at("error_U").get<double>();
  result.sense_known = fence.at("sense_known").get<bool>();
  result.sense = fence.at("sense").get<std::string>();
  read_decision(m.at("decision"), result);
  const ordered_json& move = m.at("correction");
  result.move_mm = number_of(move, "move_mm");
  result.move_U_mm = number_of(move, "move_U_mm");
  if (result.move_mm) {
    result.move_end = move.at("end").get<std::string>();
    result.move_toward = move.at("toward").get<std::string>();
  }
  if (const auto& adjustment = m.at("adjustment"); adjustment.is_object() && adjustment.contains("means"))
    result.means = text_or_empty(adjustment.at("means"));
  result.cut_length_mm = number_of(fence.at("over_cut"), "cut_length_mm").value_or(result.cut_length_mm);
  const ordered_json& strip = m.at("strip");
  result.taper = strip.at("taper").get<double>();
  result.taper_u = strip.at("taper_u").get<double>();
  result.length_mm = strip.at("length_mm").get<double>();
  result.fence_end_width_mm = strip.at("fence_end_width_mm").get<double>();
  result.far_end_width_mm = strip.at("far_end_width_mm").get<double>();
  for (std::size_t k = 0; k < 2; ++k) result.bow_mm[k] = strip.at("edges").at(k).at("bow_mm").get<double>();
  for (const ordered_json& warning : m.at("warnings"))
    result.warnings.push_back(warning.at("code").get<std::string>());
  result.bowed = m.at("bowed").get<bool>();
  result.caliper = read_caliper_finding(m);
}

std::string maybe(const std::optional<double>& value, int decimals) {
  return value ? fixed(*value, decimals) : std::string();
}

std::string joined(const std::vector<std::string>& words) {
  std::string all;
  for (const std::string& word : words) all += (all.empty() ? "" : " ") + word;
  return all;
}

constexpr std::size_t kMeasuredColumns = 17;  // from error_mm_per_m to warnings

std::vector<std::string> csv_row(const AbsentBench& a) {
  std::vector<std::string> row = {"",        std::to_string(a.bench),
                                  a.student, "",
                                  "",        "",
                                  "absent",  todo_name(Todo::kMeasureAgain),
                                  "absent",  std::string(kAbsentText) + " " + kAbsentRemedy};
  row.resize(row.size() + kMeasuredColumns + 1);
  return row;
}

std::vector<std::string> csv_row(const ClassResult& r) {
  std::vector<std::string> row = {not_a_formula(r.group),
                                  r.bench ? std::to_string(*r.bench) : "",
                                  not_a_formula(r.student),
                                  not_a_formula(r.picture),
                                  std::to_string(r.strip),
                                  r.named_by,
                                  r.measured ? "measured" : "reported",
                                  todo_name(r.todo())};
  row.push_back(r.twice ? "bench-twice" : r.reason ? r.reason->code : "");
  row.push_back(r.twice    ? "This bench is there twice: take away one of its strips or pictures."
                : r.reason ? r.reason->text + " " + r.reason->remedy
                           : "");
  if (!r.measured) {
    row.resize(row.size() + kMeasuredColumns);
    row.push_back(r.overlay);
    return row;
  }
  for (const std::string& field :
       {fixed(1000 * r.error, 5), fixed(1000 * r.error_U, 5), r.sense_known ? r.sense : "not known",
        r.verdict, r.tolerance, maybe(r.move_mm, 4), maybe(r.move_U_mm, 4), r.move_end, r.move_toward,
        fixed(r.taper, 8), fixed(r.taper_u, 8), fixed(r.length_mm, 2), fixed(r.fence_end_width_mm, 4),
        fixed(r.far_end_width_mm, 4), fixed(r.bow_mm[0], 4), fixed(r.bow_mm[1], 4), joined(r.warnings)})
    row.push_back(field);
  row.push_back(r.overlay);
  return row;
}

}  // namespace

const char* todo_name(Todo todo) {
  switch (todo) {
    case Todo::kAdjust:
      return "adjust";
    case Todo::kLeaveAlone:
      return "leave alone";
    case Todo::kMeasureAgain:
      return "measure again";
    case Todo::kReported:
      break;
  }
  return "reported";
}

Todo ClassResult::todo() const {
  if (twice || !bench) return Todo::kReported;
  if (!measured) return Todo::kMeasureAgain;
  if (bowed) return Todo::kMeasureAgain;
  if (verdict == "square") return Todo::kLeaveAlone;
  if (verdict == "not square") return Todo::kAdjust;
  if (verdict == "cannot be told") return Todo::kMeasureAgain;
  return sense_known ? Todo::kAdjust : Todo::kLeaveAlone;
}

std::string result_json(const ResultLine& line) {
  ordered_json out;
  out["schema"] = kSchema;
  out["class"] = line.group;
  out["picture"] = line.picture;
  out["strip"] = line.strip;
  out["bench"] = line.bench ? ordered_json(*line.bench) : ordered_json(nullptr);
  out["student"] = line.student;
  out["named_by"] = name_of(line.named_by);
  out["status"] = line.report != nullptr ? "measured" : "reported";
  out["reason"] = nullptr;
  if (line.reason)
    out["reason"] = {
        {"code", line.reason->code}, {"text", line.reason->text}, {"remedy", line.reason->remedy}};
  out["overlay"] = line.overlay.empty() ? ordered_json(nullptr) : ordered_json(line.overlay);
  out["thumbnail"] = line.thumbnail.empty() ? ordered_json(nullptr) : ordered_json(line.thumbnail);
  out["measurement"] = nullptr;
  if (line.report != nullptr) out["measurement"] = ordered_json::parse(measurement_json(*line.report));
  out["bench_twice"] = false;
  return one_line(out);
}

Result<ClassResult> read_result_line(const std::string& text) {
  const Failure bad{"not-a-class-result", "This is not a line of a batch's results.",
                    "Give results.jsonl files as 'tapersight batch' writes them."};
  const ordered_json json = parse_flat(text);
  if (json.is_discarded() || !json.is_object()) return bad;
  try {  // nlohmann's only way to say that a field is missing or of the wrong kind
    if (json.at("schema") != kSchema) return bad;
    ClassResult result;
    result.json = one_line(json);
    result.group = json.at("class").get<std::string>();
    result.picture = json.at("picture").get<std::string>();
    result.strip = whole_number(json.at("strip"));
    if (!json.at("bench").is_null()) result.bench = whole_number(json.at("bench"));
    result.student = text_or_empty(json.at("student"));
    result.named_by = text_or_empty(json.at("named_by"));
    result.overlay = text_or_empty(json.at("overlay"));
    result.thumbnail = text_or_empty(json.at("thumbnail"));
    const ordered_json& reason = json.at("reason");
    if (!reason.is_null())
      result.reason = Failure{reason.at("code").get<std::string>(), reason.at("text").get<std::string>(),
                              reason.at("remedy").get<std::string>()};
    if (json.at("status") == "measured") read_measurement(json.at("measurement"), result);
    return result;
  } catch (const ordered_json::exception&) {
    return bad;
  }
}

void put_in_order(std::vector<ClassResult>& results) {
  const auto key = [](const ClassResult& r) { return std::tie(r.group, r.picture, r.strip, r.json); };
  std::sort(results.begin(), results.end(),
            [&](const ClassResult& a, const ClassResult& b) { return key(a) < key(b); });
  results.erase(std::unique(results.begin(), results.end(),
                            [&](const ClassResult& a, const ClassResult& b) { return key(a) == key(b); }),
                results.end());
  // Strips of one bench; what is said of tags or whole pictures does not count beside them.
  std::map<std::pair<std::string, int>, int> strips;
  for (const ClassResult& r : results)
    if (r.bench && r.strip > 0) ++strips[{r.group, *r.bench}];
  for (ClassResult& r : results) {
    const bool twice = r.bench && r.strip > 0 && strips[{r.group, *r.bench}] > 1;
    if (twice != r.twice || r.json.find("\"bench_twice\":true") != std::string::npos) {
      ordered_json json = ordered_json::parse(r.json);
      json["bench_twice"] = twice;
      r.json = one_line(json);
    }
    r.twice = twice;
  }
}

std::string results_jsonl(const std::vector<ClassResult>& results) {
  std::string out;
  for (const ClassResult& r : results) out += r.json + "\n";
  return out;
}

std::vector<AbsentBench> absent_benches(const std::vector<ClassResult>& results,
                                        const std::map<int, std::string>& roster) {
  std::set<int> seen;
  for (const ClassResult& r : results)
    if (r.bench) seen.insert(*r.bench);
  std::vector<AbsentBench> absent;
  for (const auto& [bench, student] : roster)
    if (seen.count(bench) == 0) absent.push_back({bench, student});
  return absent;
}

std::string results_csv(const std::vector<ClassResult>& results, const std::vector<AbsentBench>& absent) {
  std::string out = csv_line({"class",
                              "bench",
                              "student",
                              "picture",
                              "strip",
                              "named_by",
                              "status",
                              "to_do",
                              "reason",
                              "reason_text",
                              "error_mm_per_m",
                              "error_U_mm_per_m",
                              "sense",
                              "verdict",
                              "tolerance",
                              "move_mm",
                              "move_U_mm",
                              "move_end",
                              "move_toward",
                              "taper",
                              "taper_u",
                              "length_mm",
                              "fence_end_width_mm",
                              "far_end_width_mm",
                              "bow_left_mm",
                              "bow_right_mm",
                              "warnings",
                              "overlay"});
  for (const ClassResult& r : results) out += csv_line(csv_row(r));
  for (const AbsentBench& a : absent) out += csv_line(csv_row(a));
  return out;
}

}  // namespace tapersight
