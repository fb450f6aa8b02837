// Draws that random scans and random photos share.
#pragma once
#include "base/rng.h"
#include "synth/photo_scene.h"

namespace tapersight {

void draw_print(Rng& rng, SheetScene& sheet);
void draw_edge(Rng& rng, bool rough, EdgeScene& edge);
// Everything of the wood but its tone.
void draw_grain(Rng& rng, bool rough, WoodScene& wood);

// Whether the blocks, with room to spare, and the whole strip are in the picture.
bool all_in_view(const PhotoScene& scene);

}  // namespace tapersight
