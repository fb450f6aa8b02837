// A sled's config file, and the same words as if they were typed.
#include <cmath>
#include <fstream>

#include "fuzz/fuzz_target.h"
#include "options/shop_options.h"
#include "options/sled_options.h"
#include "report/text.h"
#include "support/temp_dir.h"

using namespace tapersight;
using namespace tapersight::testing;

namespace {

void require_sled(const Result<ResolvedSled>& sled) {
  if (!accepted(sled)) return;
  const SledSetup& setup = sled->setup;
  require(setup.turns >= 1 && setup.cut_length_mm > 0, "an impossible set-up");
  require(!setup.pivot_distance_mm || *setup.pivot_distance_mm > 0, "an impossible pivot distance");
  require(!sled->tolerance || sled->tolerance->angle > 0, "a tolerance of no size");
  require(!guide_text(setup, sled->units).empty(), "a guide without words");
}

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  static const TempDir dir;
  SledOptions options;
  options.config = dir.file("sled.toml");
  const std::string text = text_of(data, size);
  std::ofstream(options.config, std::ios::binary) << text;
  require_sled(resolve(options));

  SledOptions typed;  // a line an option, in the order of their names
  std::size_t at = 0;
  for (const std::string& name : sled_option_names()) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    if (end > at) typed.*(sled_option_named(name)->value) = text.substr(at, end - at);
    at = std::min(end + 1, text.size());
  }
  require_sled(resolve(typed));
  return 0;
}
