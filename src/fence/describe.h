// The result in shop words, one sentence a string.
#pragma once
#include <string>
#include <vector>

#include "base/units.h"
#include "fence/fence_error.h"

namespace tapersight {

// "95 %, k = 2.10": what stands behind an expanded uncertainty.
std::string coverage_text(double coverage_factor);

// How far and which way the fence is out: over the user's cut; then per inch or mm/m, and in degrees.
std::vector<std::string> describe_error(const FenceError& error, const SledSetup& setup, Units units);

// "Move the right end of the fence 4.6 thou (0.0046 in) away from you", without a full stop.
std::string move_phrase(const FenceMove& move, Units units);

// The move at the adjusting place: how far, which end, which way, about which pivot; or why it would be a
// guess.
std::vector<std::string> describe_move(const FenceMove& move, const SledSetup& setup, Units units);

// Shown wherever somebody is told to adjust or to cut.
const std::vector<std::string>& adjusting_cautions();
const std::vector<std::string>& cutting_cautions();

}  // namespace tapersight
