#include "fence/adjustment.h"

#include "base/text.h"

namespace tapersight {
namespace {

template <typename... Ts>
struct Overloaded : Ts... {
  using Ts::operator()...;
};
template <typename... Ts>
Overloaded(Ts...) -> Overloaded<Ts...>;

template <typename Plan, typename Wrap>
Result<Adjustment> wrapped(const Result<Plan>& plan, Wrap wrap) {
  if (!plan) return plan.failure();
  return Adjustment{wrap(*plan)};
}

std::vector<std::string> elements_of(std::string_view text) {
  const char parting = text.find(';') == std::string_view::npos ? ',' : ';';
  std::vector<std::string> elements;
  if (trimmed(text).empty()) return elements;
  for (std::size_t at = 0; at <= text.size();) {
    const std::size_t end = std::min(text.find(parting, at), text.size());
    elements.emplace_back(trimmed(text.substr(at, end - at)));
    at = end + 1;
  }
  return elements;
}

Result<std::vector<double>> lengths_of(std::string_view text, Units bare_number) {
  std::vector<double> lengths;
  for (const std::string& element : elements_of(text)) {
    const auto length = parse_length(element, bare_number);
    if (!length) return length.failure();
    if (!(*length > 0))
      return Failure{"bad-leaf", "\"" + element + "\" is not the thickness of a leaf or spacer.",
                     "Give thicknesses above zero, with their unit."};
    lengths.push_back(*length);
  }
  return lengths;
}

bool begins_with_a_letter(std::string_view text) {
  return !text.empty() && ((text[0] >= 'a' && text[0] <= 'z') || (text[0] >= 'A' && text[0] <= 'Z'));
}

Result<ShimKind> shim_of(const std::string& element, Units bare_number) {
  const auto equals = element.find('=');
  if (equals != std::string::npos) {
    const std::string name(trimmed(std::string_view(element).substr(0, equals)));
    const auto thickness = parse_positive_length(element.substr(equals + 1), bare_number, "the shim");
    if (!thickness) return thickness.failure();
    if (!name.empty()) return ShimKind{name, *thickness};
  }
  for (const ShimKind& kind : common_shims())
    if (lower_case(element) == kind.name) return kind;
  std::string known;
  for (const ShimKind& kind : common_shims()) known += (known.empty() ? "" : ", ") + kind.name;
  return Failure{"bad-shim", "\"" + element + "\" is not a shim with its thickness.",
                 "Write name = thickness, like ticket = 0.24mm, or one of: " + known + "."};
}

}  // namespace

double Adjustment::made_mm() const {
  return std::visit(Overloaded{[](const StackPlan& p) { return p.plan.best.total_mm; },
                               [](const ScrewPlan& p) {
                                 return p.thread.pitch_mm * (p.turns.whole_turns + p.turns.degrees / 360.0);
                               },
                               [](const ShimPlan& p) { return p.total_mm; },
                               [](const IndicatorPlan& p) { return p.reading.reading_mm; }},
                    plan);
}

Result<Adjustment> plan_adjustment(const FenceMove& move, const AdjustMeans& means, Units units) {
  switch (means.by) {
    case AdjustBy::kScrew:
      return wrapped(screw_turns(move.move_mm, move.U_mm, means.thread), [&](const ScrewTurns& turns) {
        return ScrewPlan{means.thread, turns};
      });
    case AdjustBy::kShims:
      return wrapped(plan_shims(move.move_mm, means.shims.empty() ? common_shims() : means.shims),
                     [](const ShimPlan& plan) { return plan; });
    case AdjustBy::kIndicator: {
      const Indicator indicator = means.indicator.value_or(common_indicator(units));
      return wrapped(indicator_reading(move.move_mm, indicator), [&](const IndicatorReading& reading) {
        return IndicatorPlan{indicator, reading};
      });
    }
    case AdjustBy::kFeelers:
      break;
  }
  const FeelerSet set = means.feelers.value_or(default_feeler_set(units));
  return wrapped(plan_feelers(move.move_mm, set), [&](const FeelerPlan& plan) {
    return StackPlan{set.name, plan};
  });
}

std::vector<std::string> describe_adjustment(const Adjustment& adjustment, Units units) {
  return std::visit(
      Overloaded{[&](const StackPlan& p) { return describe_feelers(p.plan, units); },
                 [](const ScrewPlan& p) { return describe_screw(p.turns, p.thread); },
                 [&](const ShimPlan& p) { return describe_shims(p, units); },
                 [&](const IndicatorPlan& p) { return describe_indicator(p.reading, p.indicator, units); }},
      adjustment.plan);
}

Result<FeelerSet> parse_feelers(std::string_view text, Units bare_number) {
  if (begins_with_a_letter(trimmed(text))) return standard_feeler_set(lower_case(trimmed(text)));
  const auto leaves = lengths_of(text, bare_number);
  if (!leaves) return leaves.failure();
  const FeelerSet set{"own", *leaves, {}};
  // Trying it out once tells an empty or an impossible set.
  const auto tried = plan_feelers(0, set);
  if (!tried) return tried.failure();
  return set;
}

Result<std::vector<double>> parse_spacers(std::string_view text, Units bare_number) {
  auto spacers = lengths_of(text, bare_number);
  if (!spacers || !spacers->empty()) return spacers;
  return Failure{"bad-leaf", "There is no spacer in the list.", "Leave the list out, or name what you have."};
}

Result<std::vector<ShimKind>> parse_shims(std::string_view text, Units bare_number) {
  std::vector<ShimKind> kinds;
  for (const std::string& element : elements_of(text)) {
    const auto kind = shim_of(element, bare_number);
    if (!kind) return kind.failure();
    kinds.push_back(*kind);
  }
  const auto tried = plan_shims(0, kinds);
  if (!tried) return tried.failure();
  return kinds;
}

Result<Indicator> parse_indicator(std::string_view text, Units bare_number) {
  for (auto bar = text.find('/'); bar != std::string_view::npos; bar = text.find('/', bar + 1)) {
    const auto division = parse_length(text.substr(0, bar), bare_number);
    const auto revolution = parse_length(text.substr(bar + 1), bare_number);
    if (!division || !revolution) continue;
    const Indicator indicator{*division, *revolution};
    if (const auto tried = indicator_reading(0, indicator); !tried) return tried.failure();
    return indicator;
  }
  return Failure{"bad-indicator", "\"" + std::string(text) + "\" does not say how the dial is divided.",
                 "Write one division and one revolution of the hand: 0.5thou/0.1in or 0.01mm/1mm."};
}

}  // namespace tapersight
