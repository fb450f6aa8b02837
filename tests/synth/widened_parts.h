// Draws that widened scans and widened photos share.
#pragma once
#include "base/rng.h"
#include "synth/widened_scene.h"

namespace tapersight {

double log_uniform(Rng& rng, double low, double high);
int sign_of(Rng& rng);  // +1 or -1

// Every effect has a stream of its own, named by `what`.
Rng stream(std::uint64_t seed, const char* what);

void widen_print(std::uint64_t seed, const WidenedOptions& options, SheetScene& sheet);
void widen_edges(std::uint64_t seed, bool rough, const WidenedOptions& options, StripScene& strip);
// Everything of the face but its tone and tint.
void widen_figure(std::uint64_t seed, bool rough, const WidenedOptions& options, WoodScene& wood);
void widen_psf(std::uint64_t seed, const WidenedOptions& options, PsfScene& psf);
void widen_tone(std::uint64_t seed, const WidenedOptions& options, EncodingScene& encoding);
EncodingScene::Chroma any_chroma(Rng& rng);

}  // namespace tapersight
