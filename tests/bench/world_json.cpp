#include <cmath>
#include <nlohmann/json.hpp>

#include "bench/world_report.h"

namespace tapersight::testing {
namespace {

using nlohmann::json;

constexpr const char* kSchema = "tapersight-world-bench-1";

json json_of(const WorldOutcome& outcome) {
  if (!outcome.measured()) return {{"refused", outcome.refused}};
  json dof = nullptr;  // infinite
  if (std::isfinite(outcome.dof)) dof = outcome.dof;
  return {{"taper", outcome.taper}, {"u", outcome.u}, {"dof", dof}, {"warnings", outcome.warnings}};
}

json json_of(const WorldTrial& trial) {
  json contrast = nullptr;
  if (trial.contrast) contrast = *trial.contrast;
  return {{"name", trial.name},           {"good", trial.good},
          {"refusal", trial.refusal},     {"rough", trial.rough},
          {"taper", trial.taper},         {"taper_as_drawn", trial.taper_as_drawn},
          {"contrast", contrast},         {"plain", json_of(trial.plain)},
          {"bars", json_of(trial.typed)}, {"turned", json_of(trial.turned)}};
}

WorldOutcome outcome_of(const json& from) {
  WorldOutcome outcome;
  if (from.contains("refused")) {
    outcome.refused = from.at("refused").get<std::string>();
    return outcome;
  }
  outcome.taper = from.at("taper").get<double>();
  outcome.u = from.at("u").get<double>();
  if (!from.at("dof").is_null()) outcome.dof = from.at("dof").get<double>();
  outcome.warnings = from.at("warnings").get<std::vector<std::string>>();
  return outcome;
}

WorldTrial trial_of(const json& from) {
  WorldTrial trial;
  trial.name = from.at("name").get<std::string>();
  trial.good = from.at("good").get<bool>();
  trial.refusal = from.at("refusal").get<std::string>();
  trial.rough = from.at("rough").get<bool>();
  trial.taper = from.at("taper").get<double>();
  trial.taper_as_drawn = from.at("taper_as_drawn").get<double>();
  if (!from.at("contrast").is_null()) trial.contrast = from.at("contrast").get<double>();
  trial.plain = outcome_of(from.at("plain"));
  trial.typed = outcome_of(from.at("bars"));
  trial.turned = outcome_of(from.at("turned"));
  return trial;
}

}  // namespace

std::string world_json(const WorldRun& run) {
  json worlds = json::array();
  for (const WorldTrials& world : run.worlds) {
    json pictures = json::array();
    for (const WorldTrial& trial : world.trials) pictures.push_back(json_of(trial));
    worlds.push_back({{"world", world.world}, {"pictures", pictures}});
  }
  const json whole = {{"schema", kSchema}, {"seed", run.seed}, {"count", run.count}, {"worlds", worlds}};
  return whole.dump(1) + "\n";
}

Result<WorldRun> read_world_json(const std::string& text) {
  try {
    const json whole = json::parse(text);
    if (whole.at("schema") != kSchema) throw std::runtime_error("another schema");
    WorldRun run;
    run.seed = whole.at("seed").get<std::uint64_t>();
    run.count = whole.at("count").get<int>();
    for (const json& world : whole.at("worlds")) {
      WorldTrials trials;
      trials.world = world.at("world").get<std::string>();
      for (const json& picture : world.at("pictures")) trials.trials.push_back(trial_of(picture));
      run.worlds.push_back(std::move(trials));
    }
    return run;
  } catch (const std::exception& defect) {
    return Failure{"not-a-world-bench",
                   std::string("This is no result of bench_world (") + defect.what() + ").",
                   "Give files that bench_world --json has written."};
  }
}

}  // namespace tapersight::testing
