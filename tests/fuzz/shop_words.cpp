// What stands behind --tolerance, --thread, --feelers and the other words of the shop; with what was read a
// move is planned, as the program does.
#include <cmath>

#include "fence/adjustment.h"
#include "fence/ring.h"
#include "fence/sled_setup.h"
#include "fence/tolerance.h"
#include "fuzz/fuzz_target.h"

using namespace tapersight;
using namespace tapersight::testing;

namespace {

void plan(double move_mm, const AdjustMeans& means, Units units) {
  FenceMove move;
  move.move_mm = move_mm;
  move.U_mm = 0.05;
  const auto adjustment = plan_adjustment(move, means, units);
  if (!accepted(adjustment)) return;
  require(std::isfinite(adjustment->made_mm()) && adjustment->made_mm() >= 0, "an impossible move");
  for (const std::string& line : describe_adjustment(*adjustment, units))
    require(!line.empty(), "an empty line");
}

void plan_with_lists(double move_mm, const std::string& text, Units units) {
  AdjustMeans means;
  if (auto feelers = parse_feelers(text, units); accepted(feelers)) {
    means.feelers = *feelers;
    plan(move_mm, means, units);
  }
  if (auto spacers = parse_spacers(text, units); accepted(spacers)) {
    means.feelers = default_feeler_set(units);
    means.feelers->spacers_mm = *spacers;
    plan(move_mm, means, units);
  }
  if (auto shims = parse_shims(text, units); accepted(shims)) {
    means.by = AdjustBy::kShims;
    means.shims = *shims;
    plan(move_mm, means, units);
  }
  if (auto indicator = parse_indicator(text, units); accepted(indicator)) {
    means.by = AdjustBy::kIndicator;
    means.indicator = *indicator;
    plan(move_mm, means, units);
  }
}

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  Draw draw(data, size);
  const double move_mm = draw.between(0, 6);
  const Units units = draw.byte() % 2 == 0 ? Units::kInch : Units::kMillimetre;
  const std::string text = draw.rest();
  plan_with_lists(move_mm, text, units);
  if (const auto tolerance = parse_tolerance(text); accepted(tolerance))
    require(tolerance->angle > 0 && std::isfinite(tolerance->angle), "a tolerance of no size");
  if (const auto thread = parse_thread(text); accepted(thread)) {
    require(thread->pitch_mm >= 0.1 && thread->pitch_mm <= 10, "a pitch out of range");
    AdjustMeans means;
    means.by = AdjustBy::kScrew;
    means.thread = *thread;
    plan(move_mm, means, units);
  }
  accepted(parse_adjust_by(text));
  accepted(parse_mitre_lean(text));
  accepted(parse_fence_side(text));
  accepted(parse_side(text));
  return 0;
}
