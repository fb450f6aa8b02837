#include "packaging/completion.h"

namespace tapersight {
namespace {

// Within the single quotes of a specification; ":" ends its parts and brackets its explanation.
std::string zsh_quoted(const std::string& text) {
  std::string out;
  for (const char c : text) {
    if (c == '\'')
      out += "'\\''";
    else if (c == ':' || c == '[' || c == ']' || c == '\\')
      out += std::string("\\") + c;
    else
      out += c;
  }
  return out;
}

std::string action(const DescribedOption& option) {
  if (option.is_file()) return "_files";
  if (option.is_folder()) return "_files -/";
  std::string words;
  for (const std::string& choice : option.choices()) words += (words.empty() ? "" : " ") + choice;
  return words.empty() ? " " : "(" + words + ")";
}

std::string specifications(const DescribedCommand& command) {
  std::string out;
  for (const DescribedOption& option : command.options) {
    if (option.positional) {
      out += " \\\n        '" + std::string(option.several ? "*" : "1") + ":" +
             zsh_quoted(option.names.front()) + ":" + action(option) + "'";
      continue;
    }
    for (const std::string& name : option.names) {
      out += " \\\n        '" + name + "[" + zsh_quoted(option.help) + "]";
      if (!option.value.empty()) out += ":" + zsh_quoted(option.value) + ":" + action(option);
      out += "'";
    }
  }
  return out;
}

std::string function_name(const DescribedCommand& command) {
  std::string name = "_tapersight";
  if (!command.path.empty()) name += "_" + command.path;
  for (char& c : name)
    if (c == ' ') c = '_';
  return name;
}

std::string zsh_function(const DescribedCommand& command) {
  std::string out = function_name(command) + "() {\n";
  if (command.parts.empty()) return out + "  _arguments" + specifications(command) + "\n}\n\n";
  out += "  local state line\n  local -a commands=(\n";
  for (const DescribedCommand& part : command.parts)
    out += "    '" + part.name() + ":" + zsh_quoted(part.help) + "'\n";
  out += "  )\n  _arguments -C" + specifications(command) +
         " \\\n        '1:COMMAND:->command' '*::ARGUMENT:->arguments'\n  case $state in\n"
         "    command) _describe command commands ;;\n    arguments)\n      case $words[1] in\n";
  for (const DescribedCommand& part : command.parts)
    out += "        " + part.name() + ") " + function_name(part) + " ;;\n";
  return out + "      esac ;;\n  esac\n}\n\n";
}

}  // namespace

std::string zsh_completion(const DescribedCommand& program) {
  std::string out =
      "#compdef tapersight\n"
      "# Completion of tapersight for zsh; made from the program's own description of its options.\n\n";
  for (const DescribedCommand* command : all_commands(program)) out += zsh_function(*command);
  return out + "_tapersight \"$@\"\n";
}

}  // namespace tapersight
