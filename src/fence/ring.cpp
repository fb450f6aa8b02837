#include "fence/ring.h"

#include <cmath>

#include "base/text.h"

namespace tapersight {

Result<MitreLean> parse_mitre_lean(std::string_view text) {
  const std::string word = lower_case(trimmed(text));
  if (word == "counterclockwise") return MitreLean::kCounterclockwise;
  if (word == "clockwise") return MitreLean::kClockwise;
  return Failure{"bad-lean",
                 "\"" + std::string(text) + "\" does not say which way the fence stands from square.",
                 "Write clockwise or counterclockwise, seen from above."};
}

std::string_view mitre_lean_name(MitreLean lean) {
  return lean == MitreLean::kClockwise ? "clockwise" : "counterclockwise";
}

std::optional<Failure> validate(const RingSetup& setup) {
  if (setup.pieces >= 3 && setup.pieces <= 60 && setup.mitred_ends >= 1 && setup.mitred_ends <= 2)
    return std::nullopt;
  return Failure{"bad-ring", "A ring has 3 to 60 pieces with one or two mitred ends each.",
                 "Count the pieces that go all the way round, and the ends of each that this fence cut."};
}

double nominal_mitre(const RingSetup& setup) {
  return kPi / setup.pieces;
}

Result<Taper> taper_of_gap(const ClosingGap& gap) {
  for (const double width : {gap.outside_mm, gap.inside_mm})
    if (!(width >= 0) || !std::isfinite(width))
      return Failure{"bad-width", "The gap's width must be zero or more at both places.",
                     "Measure the gap with feeler leaves; write 0 where the joint touches."};
  // Widths of one strip and of a gap differ only in that a gap may be shut: shift both, the taper stays.
  TwoWidths widths;
  widths.fence_end_mm = gap.outside_mm + 1;
  widths.far_end_mm = gap.inside_mm + 1;
  widths.apart_mm = gap.apart_mm;
  widths.fence_end_u_mm = gap.outside_u_mm;
  widths.far_end_u_mm = gap.inside_u_mm;
  widths.apart_u_mm = gap.apart_u_mm;
  return taper_from_widths(widths);
}

Result<RingError> ring_error(const Taper& gap, const RingSetup& setup) {
  if (const auto failure = validate(setup)) return *failure;
  RingError error;
  error.cuts = setup.pieces * setup.mitred_ends;
  SledSetup as_turns;  // the gap adds up one error a cut, as a strip's taper does one a turn
  as_turns.turns = 1;
  const auto total = fence_error(gap, as_turns);
  if (!total) return total.failure();
  error.per_cut = total->theta / error.cuts;
  error.fence = *total;
  error.fence.turns = error.cuts;
  // Short of the mitre means not turned far enough in the direction of the lean.
  error.fence.theta = setup.lean == MitreLean::kCounterclockwise ? -error.per_cut : error.per_cut;
  error.fence.u = total->u / error.cuts;
  error.fence.U = total->U / error.cuts;
  return error;
}

std::vector<std::string> describe_ring(const RingError& error, const RingSetup& setup) {
  const std::string size = degrees_with_uncertainty(std::fabs(error.per_cut), error.fence.U);
  const std::string nominal = fixed(nominal_mitre(setup) * kDegreesPerRadian, 3) + " degrees from square";
  std::vector<std::string> lines{"The gap adds up " + std::to_string(error.cuts) + " cuts: each mitre is " +
                                 (error.per_cut == 0
                                      ? "right to " + degrees_with_uncertainty(0, error.fence.U)
                                      : size + (error.per_cut > 0 ? " short of " : " more than ") + nominal) +
                                 "."};
  if (!error.fence.sense_is_known())
    lines.push_back("The error is not larger than its uncertainty: leave the mitre fence as it stands.");
  return lines;
}

}  // namespace tapersight
