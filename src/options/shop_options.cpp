#include "options/shop_options.h"

#include <cmath>

#include "base/text.h"

namespace tapersight {
namespace {

// One option as typed, else as in the config file, with the units that a bare number there has.
struct Chosen {
  const std::string* text = nullptr;
  Units units = Units::kInch;
};

class Choice {
 public:
  Choice(const SledOptions& typed, Units typed_units, const SledOptions& config, Units config_units)
      : typed_(typed), config_(config), typed_units_(typed_units), config_units_(config_units) {}

  Chosen of(std::optional<std::string> SledOptions::*option) const {
    if (typed_.*option) return {&*(typed_.*option), typed_units_};
    if (config_.*option) return {&*(config_.*option), config_units_};
    return {};
  }

 private:
  const SledOptions& typed_;
  const SledOptions& config_;
  Units typed_units_, config_units_;
};

template <typename Parsed, typename Target>
std::optional<Failure> take(const Result<Parsed>& parsed, Target& target) {
  if (!parsed) return parsed.failure();
  target = *parsed;
  return std::nullopt;
}

std::optional<Failure> take_feelers(const Choice& choice, Units units, AdjustMeans& means) {
  if (const Chosen feelers = choice.of(&SledOptions::feelers); feelers.text != nullptr)
    if (auto failure = take(parse_feelers(*feelers.text, feelers.units), means.feelers)) return failure;
  if (const Chosen spacers = choice.of(&SledOptions::spacers); spacers.text != nullptr) {
    if (!means.feelers) means.feelers = default_feeler_set(units);
    if (auto failure = take(parse_spacers(*spacers.text, spacers.units), means.feelers->spacers_mm))
      return failure;
  }
  return std::nullopt;
}

std::optional<Failure> take_means(const Choice& choice, Units units, AdjustMeans& means) {
  if (const Chosen adjust = choice.of(&SledOptions::adjust); adjust.text != nullptr)
    if (auto failure = take(parse_adjust_by(*adjust.text), means.by)) return failure;
  if (auto failure = take_feelers(choice, units, means)) return failure;
  if (const Chosen thread = choice.of(&SledOptions::thread); thread.text != nullptr)
    if (auto failure = take(parse_thread(*thread.text), means.thread)) return failure;
  if (const Chosen shims = choice.of(&SledOptions::shims); shims.text != nullptr)
    if (auto failure = take(parse_shims(*shims.text, shims.units), means.shims)) return failure;
  if (const Chosen indicator = choice.of(&SledOptions::indicator); indicator.text != nullptr)
    if (auto failure = take(parse_indicator(*indicator.text, indicator.units), means.indicator))
      return failure;
  return std::nullopt;
}

// What was typed has to matter: for the adjuster that is used, and with a move to make.
std::optional<Failure> check_typed(const SledOptions& typed, const ResolvedSled& sled) {
  struct Need {
    const char* name;
    const std::optional<std::string>& value;
    AdjustBy by;
  };
  const Need needs[] = {{"--feelers", typed.feelers, AdjustBy::kFeelers},
                        {"--spacers", typed.spacers, AdjustBy::kFeelers},
                        {"--thread", typed.thread, AdjustBy::kScrew},
                        {"--shims", typed.shims, AdjustBy::kShims},
                        {"--indicator", typed.indicator, AdjustBy::kIndicator}};
  const char* needs_distance = typed.adjust ? "--adjust" : nullptr;
  for (const Need& need : needs) {
    if (!need.value) continue;
    needs_distance = need.name;
    if (need.by != sled.means.by)
      return does_nothing(need.name, "with --adjust " + std::string(adjust_by_name(sled.means.by)));
  }
  if (needs_distance == nullptr || sled.setup.pivot_distance_mm) return std::nullopt;
  return Failure{"adjust-without-distance", std::string(needs_distance) + " alone does not give the move.",
                 "Give --pivot-distance as well: from the pivot screw to where you move the fence."};
}

Result<int> whole_number(const std::string& text, const char* option) {
  const auto number = parse_number(text);
  if (number && std::abs(*number) < 1e6 && *number == std::floor(*number)) return static_cast<int>(*number);
  return Failure{"bad-ring", std::string(option) + ": \"" + text + "\" is not a whole number.",
                 "Write a whole number."};
}

}  // namespace

Failure does_nothing(const std::string& option, const std::string& where) {
  return {"option-does-nothing", option + " does nothing " + where + ".", "Leave it out."};
}

const std::vector<NamedSledOption>& shop_options() {
  static const std::vector<NamedSledOption> kShopOptions{
      {"tolerance", &SledOptions::tolerance, "ERROR",
       "How square the fence has to be, like 1thou/12in, 0.1mm/m or 0.01deg (2thou/12in, a usual one)"},
      {"adjust", &SledOptions::adjust, "feelers|screw|shims|indicator", "How you move the fence (feelers)"},
      {"feelers", &SledOptions::feelers, "SET|LIST",
       "Your feeler leaves: inch-32, inch-26, metric-20, metric-13, or a list like .002,.003,0.1mm"},
      {"spacers", &SledOptions::spacers, "LIST",
       "Blocks or drill shanks for a move beyond the leaves, like 1/8in,6mm"},
      {"thread", &SledOptions::thread, "THREAD",
       "The fine-adjust screw's thread: 20tpi, 1/4-20, M6, M6x1 or 1.25mm"},
      {"shims", &SledOptions::shims, "LIST",
       "Your shims, like \"index card, ticket=0.24mm\" (paper, tape and card of common thickness)"},
      {"indicator", &SledOptions::indicator, "DIVISION/TURN",
       "The dial: one division and one revolution (0.5thou/0.1in or 0.01mm/1mm)"}};
  return kShopOptions;
}

std::optional<Failure> resolve_shop(const SledOptions& typed, const SledOptions& config, Units config_units,
                                    ResolvedSled& sled) {
  const Choice choice(typed, sled.units, config, config_units);
  sled.tolerance = usual_tolerance(sled.units);
  if (const Chosen tolerance = choice.of(&SledOptions::tolerance); tolerance.text != nullptr)
    if (auto failure = take(parse_tolerance(*tolerance.text), sled.tolerance)) return failure;
  if (auto failure = take_means(choice, sled.units, sled.means)) return failure;
  if (auto failure = check_typed(typed, sled)) return failure;
  if (sled.means.by == AdjustBy::kScrew && !(sled.means.thread.pitch_mm > 0))
    return Failure{"no-thread", "The turns of a screw need its thread.",
                   "Give --thread as well, like --thread 1/4-20 or --thread M6."};
  return std::nullopt;
}

Result<std::optional<RingSetup>> resolve_ring(const RingOptions& options, const SledOptions& typed) {
  if (!options.pieces) {
    if (options.mitred_ends) return does_nothing("--mitred-ends", "without --ring-pieces");
    if (options.lean) return does_nothing("--lean", "without --ring-pieces");
    return std::optional<RingSetup>();
  }
  const char* where = "for a ring, whose gap adds up every cut";
  if (typed.turns) return does_nothing("--turns", where);
  if (typed.fence) return does_nothing("--fence", where);
  if (typed.strip_falls) return does_nothing("--strip-falls", where);
  RingSetup ring;
  if (auto failure = take(whole_number(*options.pieces, "--ring-pieces"), ring.pieces)) return *failure;
  if (options.mitred_ends)
    if (auto failure = take(whole_number(*options.mitred_ends, "--mitred-ends"), ring.mitred_ends))
      return *failure;
  if (options.lean)
    if (auto failure = take(parse_mitre_lean(*options.lean), ring.lean)) return *failure;
  if (const auto failure = validate(ring)) return *failure;
  return std::optional<RingSetup>(ring);
}

}  // namespace tapersight
