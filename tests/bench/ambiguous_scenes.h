// Scans in which another line along the strip could be taken for its edge: what a person may well lay on the
// glass, and what must be measured rightly or refused, never measured wrongly without a word.
#pragma once
#include <cstdint>
#include <string>

#include "synth/scan_scene.h"

namespace tapersight::testing {

enum class Ambiguity {
  kTwoTogether,  // two strips side by side, 0.2 to 1.5 mm apart, about as long as each other
  kGlueLine,     // a dark line in the face, 0.3 to 5 mm behind the edge
  kSapwood,      // the wood is of another tone up to 5 mm behind the edge
  kRingLine,     // a growth ring's line 0.3 to 1.6 mm behind the edge, wavering by 0.03 mm
  kPencilLine,   // drawn 0.5 to 6 mm behind the edge
  kTapeBeside,   // on the ground, its border by the strip's edge
  kTapeOver,     // over the edge: only the tape's own border shows there
  kBurntEdge,    // burnt to nearly the tone of a black ground
  kChalk,        // the edge chalked to nearly the tone of a white ground
  kHardShadow,   // about as dark as the wood, and sharp
  kWornArris,    // 0.3 to 0.9 mm wide, in another light than the face
  kSharpWall,    // the side wall of a strip that lies aslant under a lens, as sharp as the face
};
inline constexpr Ambiguity kAmbiguities[] = {
    Ambiguity::kTwoTogether, Ambiguity::kGlueLine,   Ambiguity::kSapwood,   Ambiguity::kRingLine,
    Ambiguity::kPencilLine,  Ambiguity::kTapeBeside, Ambiguity::kTapeOver,  Ambiguity::kBurntEdge,
    Ambiguity::kChalk,       Ambiguity::kHardShadow, Ambiguity::kWornArris, Ambiguity::kSharpWall};
std::string ambiguity_name(Ambiguity kind);

// 300 dpi, cut to the sheet's blocks and channel. Slopes, tones, widths, figure and ground are drawn, the
// side and the way that the other line leans too: by 3 to 40 thou over 7.5 in.
ScanScene ambiguous_scene(std::uint64_t seed, Ambiguity kind);

}  // namespace tapersight::testing
