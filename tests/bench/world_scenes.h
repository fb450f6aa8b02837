// Scenes of bench_world's generated worlds, and what makes a picture that must be refused of them.
#pragma once
#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "synth/face_photo.h"
#include "synth/photo_scene.h"
#include "synth/scan_scene.h"

namespace tapersight::testing {

using Faces = std::vector<std::shared_ptr<const FacePhoto>>;

// issue_scene and random_photo_scene with photographs of real wood as the strip's face, along the grain or,
// one in ten, at any angle to it. A lid that hides the wood is changed for the other one; half of the photos
// of wood that is not dark have the channel printed black.
ScanScene textured_scan_scene(std::uint64_t seed, SceneProfile profile, const Faces& faces);
PhotoScene textured_photo_scene(std::uint64_t seed, SceneProfile profile, const Faces& faces);

enum class Spoil {
  kTwoStrips,  // side by side, 2 to 12 mm apart
  kBroken,     // in two, the ground in the gap
  kNoStrip,
};
inline constexpr Spoil kSpoils[] = {Spoil::kTwoStrips, Spoil::kBroken, Spoil::kNoStrip};
std::string spoil_name(Spoil spoil);

void spoil(Spoil how, ScanScene& scene);
void spoil(Spoil how, PhotoScene& scene);

// |face - ground|, of the light of a white that reflects all; the ground in no shadow.
double contrast_of(const ScanScene& scene);
double contrast_of(const PhotoScene& scene);

}  // namespace tapersight::testing
