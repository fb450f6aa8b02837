#include "packaging/described.h"

#include <CLI/CLI.hpp>
#include <algorithm>

namespace tapersight {
namespace {

std::vector<std::string> split(const std::string& text, char at) {
  std::vector<std::string> parts{""};
  for (const char c : text) {
    if (c == at)
      parts.emplace_back();
    else
      parts.back() += c;
  }
  return parts;
}

// "N:INT in [1 - 2000]" is how CLI11 writes a value N with a range: the value, and the range as words.
void take_value(const std::string& type, DescribedOption& option) {
  const std::size_t colon = type.find(':');
  option.value = type.substr(0, colon);
  const std::size_t from = type.find('['), to = type.find(']');
  if (colon == std::string::npos || from == std::string::npos || to == std::string::npos) return;
  std::string range = type.substr(from + 1, to - from - 1);
  if (const std::size_t dash = range.find(" - "); dash != std::string::npos) range.replace(dash, 3, " to ");
  option.help += ", " + range;
}

DescribedOption described(const CLI::Option& from) {
  DescribedOption option;
  option.group = from.get_group();
  option.help = from.get_description();
  option.required = from.get_required();
  option.positional = from.get_positional();
  option.several = from.get_items_expected_max() > 1;
  for (const std::string& name : from.get_snames()) option.names.push_back("-" + name);
  for (const std::string& name : from.get_lnames()) option.names.push_back("--" + name);
  if (option.positional)
    option.names = {from.get_name(true, false)};
  else if (from.get_type_size_max() > 0)
    take_value(from.get_type_name(), option);
  return option;
}

DescribedCommand described(const CLI::App& app, const std::string& above) {
  DescribedCommand command;
  const bool is_program = app.get_parent() == nullptr;
  if (!is_program) command.path = above + (above.empty() ? "" : " ") + app.get_name();
  command.help = app.get_description();
  command.footer = app.get_footer();
  for (const CLI::Option* option : app.get_options())
    if (!option->get_group().empty()) command.options.push_back(described(*option));
  for (const CLI::App* part : app.get_subcommands([](const CLI::App* /*any*/) { return true; }))
    command.parts.push_back(described(*part, command.path));
  return command;
}

bool begins(const std::string& text, const std::string& with) {
  return text.compare(0, with.size(), with) == 0;
}

}  // namespace

std::vector<std::string> DescribedOption::choices() const {
  if (value.find('|') == std::string::npos) return {};
  const auto words = split(value, '|');
  const bool plain = std::all_of(words.begin(), words.end(), [](const std::string& word) {
    return !word.empty() && word.front() != '-' && std::all_of(word.begin(), word.end(), [](char c) {
      return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-';
    });
  });
  return plain ? words : std::vector<std::string>();
}

bool DescribedOption::is_file() const {
  const std::string& kind = positional ? names.front() : value;
  return begins(kind, "FILE") || begins(kind, "PICTURE");
}

bool DescribedOption::is_folder() const {
  return begins(value, "FOLDER");
}

std::string DescribedCommand::name() const {
  return path.substr(path.rfind(' ') + 1);
}

DescribedCommand described(const CLI::App& program) {
  return described(program, "");
}

std::vector<const DescribedCommand*> all_commands(const DescribedCommand& command) {
  std::vector<const DescribedCommand*> all{&command};
  for (const DescribedCommand& part : command.parts)
    for (const DescribedCommand* below : all_commands(part)) all.push_back(below);
  return all;
}

}  // namespace tapersight
