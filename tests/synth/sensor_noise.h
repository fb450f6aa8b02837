// Noise of real sensors, as darktable's file of profiles keeps it (Debian package darktable,
// /usr/share/darktable/noiseprofiles.json): for each camera and ISO the variance a x + b of the raw signal x,
// 0 black and 1 where it clips, for red, green and blue.
#pragma once
#include <string>
#include <vector>

#include "base/result.h"
#include "synth/widened_scene.h"

namespace tapersight {

inline constexpr char kNoisePackage[] = "darktable";
inline constexpr char kNoiseFile[] = "/usr/share/darktable/noiseprofiles.json";

struct IsoRange {
  int low = 50, high = 1600;  // a bench in a workshop: from a window's light to one lamp
};

// The green ones within the range, in the file's order; ready for WidenedOptions::noises. Fitted b may come
// out below 0, which a variance cannot be: taken as 0. Failure codes: noise-data-broken.
Result<std::vector<SceneNoise>> parse_noises(const std::string& json, const IsoRange& range = {});

// Failure codes: noise-data-missing, noise-data-broken.
Result<std::vector<SceneNoise>> read_noises(const std::string& path = kNoiseFile, const IsoRange& range = {});

}  // namespace tapersight
