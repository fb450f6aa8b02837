#include "synth/sensor_noise.h"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "base/files.h"

namespace tapersight {
namespace {

constexpr int kGreen = 1;

}  // namespace

Result<std::vector<SceneNoise>> parse_noises(const std::string& json, const IsoRange& range) {
  try {
    std::vector<SceneNoise> noises;
    const nlohmann::json file = nlohmann::json::parse(json);
    for (const auto& maker : file.at("noiseprofiles"))
      for (const auto& model : maker.at("models"))
        for (const auto& profile : model.at("profiles")) {
          const double iso = profile.at("iso");
          if (iso < range.low || iso > range.high) continue;
          noises.push_back(
              {profile.at("a").at(kGreen), std::max(0.0, profile.at("b").at(kGreen).get<double>())});
        }
    return noises;
  } catch (const nlohmann::json::exception& error) {
    return Failure{"noise-data-broken", std::string("The noise profiles cannot be read: ") + error.what(),
                   std::string("Install the Debian package ") + kNoisePackage + " anew."};
  }
}

Result<std::vector<SceneNoise>> read_noises(const std::string& path, const IsoRange& range) {
  const auto text = read_file(path);
  if (!text)
    return Failure{"noise-data-missing", "There are no measured sensors in " + path + ".",
                   std::string("Install the Debian package ") + kNoisePackage + "."};
  return parse_noises(*text, range);
}

}  // namespace tapersight
