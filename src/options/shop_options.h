// The part of a sled's options that says how it is judged and moved; and the options of a ring.
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "fence/ring.h"
#include "options/sled_options.h"

namespace tapersight {

// --tolerance, --adjust, --feelers, ...
const std::vector<NamedSledOption>& shop_options();

// Fills in sled.tolerance and sled.means from what was typed, else from the config file; `sled` holds the
// set-up and the units already. The failures are those that resolve() names.
std::optional<Failure> resolve_shop(const SledOptions& typed, const SledOptions& config, Units config_units,
                                    ResolvedSled& sled);

// A ring's closing gap in place of the test strip.
struct RingOptions {
  std::optional<std::string> pieces, mitred_ends, lean;
};

// Nothing when no ring was asked for. Failures: bad-ring, bad-lean, option-does-nothing (typed options of the
// test strip, or of a ring without --ring-pieces).
Result<std::optional<RingSetup>> resolve_ring(const RingOptions& options, const SledOptions& typed);

Failure does_nothing(const std::string& option, const std::string& where);

}  // namespace tapersight
