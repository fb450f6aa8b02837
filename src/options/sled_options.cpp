#include "options/sled_options.h"

#include <CLI/CLI.hpp>  // its reader of config files
#include <algorithm>
#include <sstream>
#include <utility>

#include "base/files.h"
#include "base/text.h"
#include "fence/plausible.h"
#include "options/shop_options.h"

namespace tapersight {
namespace {

std::string known_names() {
  std::string names;
  for (const std::string& name : sled_option_names()) names += (names.empty() ? "" : ", ") + name;
  return names;
}

Failure bad_config(const std::string& path, const std::string& why) {
  return {"bad-config", "The config file \"" + path + "\" " + why + ".",
          "It may hold: " + known_names() + "; one a line, like pivot-distance = \"45 in\"."};
}

// The reader behind this takes time and memory with the square of how deep names and lists are nested: what
// cannot be a sled's option is refused before.
std::optional<Failure> check_plain(const std::string& path, std::string_view text) {
  constexpr std::size_t kLongestLine = 1000, kMostLines = 1000;
  for (std::size_t lines = 1; !text.empty(); ++lines) {
    const std::string_view line = text.substr(0, text.find('\n'));
    text.remove_prefix(std::min(line.size() + 1, text.size()));
    if (line.size() > kLongestLine || lines > kMostLines)
      return bad_config(path, lines > kMostLines ? "has more than a thousand lines"
                                                 : "has a line of more than a thousand characters");
    if (const std::string_view words = trimmed(line); !words.empty() && words.front() == '[')
      return bad_config(path, "holds \"" + std::string(words) + "\", which is not a sled's option");
  }
  return std::nullopt;
}

Result<std::vector<CLI::ConfigItem>> config_items(const std::string& path, const std::string& text) {
  if (const auto failure = check_plain(path, text)) return *failure;
  std::istringstream stream(text);
  try {
    return CLI::ConfigTOML().from_config(stream);
  } catch (const CLI::Error&) {
    return bad_config(path, "cannot be understood");
  }
}

// A length option from the command line, else from the config file, each read in its own units.
Result<std::optional<double>> length_of(const NamedSledOption& option, const SledOptions& typed,
                                        const SledOptions& config, Units typed_units, Units config_units) {
  const auto& first = typed.*(option.value);
  const auto& second = config.*(option.value);
  if (!first && !second) return std::optional<double>();
  const auto length = first ? parse_positive_length(*first, typed_units, std::string("--") + option.name)
                            : parse_positive_length(*second, config_units, option.name);
  if (!length) return length.failure();
  return std::optional<double>(*length);
}

template <typename T, typename Parse>
std::optional<Failure> set_from(T& target, const std::optional<std::string>& text, Parse parse) {
  if (!text) return std::nullopt;
  const auto value = parse(*text);
  if (!value) return value.failure();
  target = *value;
  return std::nullopt;
}

// A four-sided board has two test cuts: all round, or flipped over. After any other number of turns the
// strip's two edges are not the two that tell.
Result<int> parse_turns(const std::string& text) {
  const auto number = parse_number(text);
  if (number && (*number == 4 || *number == 2)) return static_cast<int>(*number);
  const std::string both =
      "Write 4 for the five-cut test (a quarter turn after each cut), or 2 for one cut, the board flipped "
      "over, "
      "and another cut.";
  if (number && *number == 5)
    return Failure{"bad-turns",
                   "A four-sided board is not turned 5 times. Did you mean five cuts? They are 4 turns.",
                   both};
  return Failure{"bad-turns", "\"" + text + "\" is not a number of turns that tells the fence's error.",
                 both};
}

}  // namespace

const std::vector<NamedSledOption>& sled_options() {
  static const std::vector<NamedSledOption> kSledOptions{
      {"units", &SledOptions::units, "in|mm",
       "Units of what you read, and of a length typed as a bare number (in)"},
      {"turns", &SledOptions::turns, "4|2",
       "4: five cuts, a quarter turn after each. 2: one cut, the board flipped over, another cut (4)"},
      {"fence", &SledOptions::fence, "near|far",
       "Where the fence stands: on your side of the board, or on the far side (near)"},
      {"strip-falls", &SledOptions::strip_falls, "left|right",
       "The side of the blade on which the strip came off (right)"},
      {"pivot", &SledOptions::pivot, "left|right",
       "The end of the fence that stays put when you adjust it (left)"},
      {"pivot-distance", &SledOptions::pivot_distance, "LENGTH",
       "From the pivot screw to where you move the fence; needed to get the move"},
      {"cut-length", &SledOptions::cut_length, "LENGTH",
       "The cut over which the error is stated (12 in, or 300 mm)"},
  };
  return kSledOptions;
}

const NamedSledOption* sled_option_named(const std::string& name) {
  for (const NamedSledOption& option : sled_options())
    if (name == option.name) return &option;
  for (const NamedSledOption& option : shop_options())
    if (name == option.name) return &option;
  return nullptr;
}

std::vector<std::string> sled_option_names() {
  std::vector<std::string> names;
  for (const NamedSledOption& option : sled_options()) names.emplace_back(option.name);
  for (const NamedSledOption& option : shop_options()) names.emplace_back(option.name);
  return names;
}

Result<SledOptions> parse_sled_file(const std::string& path, const std::string& text) {
  const auto items = config_items(path, text);
  if (!items) return items.failure();
  SledOptions found;
  for (const CLI::ConfigItem& item : *items) {
    const NamedSledOption* option = item.parents.empty() ? sled_option_named(item.name) : nullptr;
    if (option == nullptr)
      return bad_config(path, "holds \"" + item.fullname() + "\", which is not a sled's option");
    if (found.*(option->value)) return bad_config(path, "holds \"" + item.name + "\" twice");
    // 7 1/2 in without quotation marks comes as three words.
    found.*(option->value) = CLI::detail::join(item.inputs, " ");
  }
  return found;
}

std::string sled_file_text(const std::string& remark, const SledOptions& sled) {
  std::string text = "# " + printable(remark) + "\n";
  for (const std::string& name : sled_option_names())
    if (const auto& value = sled.*(sled_option_named(name)->value)) {
      const char quote = value->find('"') == std::string::npos ? '"' : '\'';  // the reader knows no escapes
      text += name + " = " + quote + printable(*value) + quote + "\n";
    }
  return text;
}

Result<ResolvedSled> resolve(const SledOptions& typed) {
  if (typed.config.empty()) return resolve(typed, {});
  const Result<std::string> text = read_text_file(typed.config);
  if (!text) return text.failure();
  const Result<SledOptions> config = parse_sled_file(typed.config, *text);
  if (!config) return config.failure();
  return resolve(typed, *config);
}

Result<ResolvedSled> resolve(const SledOptions& typed, const SledOptions& config) {
  SledOptions all = typed;
  for (const NamedSledOption& option : sled_options())
    if (!(all.*(option.value))) all.*(option.value) = config.*(option.value);

  ResolvedSled sled;
  sled.even_so = typed.even_so;
  if (auto failure = set_from(sled.units, all.units, parse_units)) return *failure;
  Units config_units = sled.units;
  if (auto failure = set_from(config_units, config.units, parse_units)) return *failure;
  if (auto failure = set_from(sled.setup.turns, all.turns, parse_turns)) return *failure;
  if (auto failure = set_from(sled.setup.fence, all.fence, parse_fence_side)) return *failure;
  if (auto failure = set_from(sled.setup.strip_falls, all.strip_falls, parse_side)) return *failure;
  if (auto failure = set_from(sled.setup.pivot, all.pivot, parse_side)) return *failure;
  if (sled.units == Units::kMillimetre) sled.setup.cut_length_mm = 300;
  for (const NamedSledOption& option : sled_options()) {
    const bool pivot_distance = option.value == &SledOptions::pivot_distance;
    if (!pivot_distance && option.value != &SledOptions::cut_length) continue;
    const auto length = length_of(option, typed, config, sled.units, config_units);
    if (!length) return length.failure();
    if (pivot_distance && *length && !typed.even_so) {
      const bool is_typed = typed.pivot_distance.has_value();
      if (auto failure =
              doubt_pivot_distance({is_typed ? "--pivot-distance" : "pivot-distance", *all.pivot_distance,
                                    **length, is_typed ? sled.units : config_units}))
        return *failure;
    }
    if (pivot_distance) sled.setup.pivot_distance_mm = *length;
    if (!pivot_distance && *length) sled.setup.cut_length_mm = **length;
  }
  if (all.pivot && !sled.setup.pivot_distance_mm)
    return Failure{"pivot-without-distance", "The pivot alone does not give the move.",
                   "Give --pivot-distance as well: from the pivot screw to where you move the fence."};
  if (const auto failure = validate(sled.setup)) return *failure;
  if (const auto failure = resolve_shop(typed, config, config_units, sled)) return *failure;
  return sled;
}

}  // namespace tapersight
