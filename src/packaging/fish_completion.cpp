#include "packaging/completion.h"

namespace tapersight {
namespace {

std::string fish_quoted(const std::string& text) {
  std::string out = "'";
  for (const char c : text) {
    if (c == '\'' || c == '\\') out += '\\';
    out += c;
  }
  return out + "'";
}

std::vector<std::string> words_of(const std::string& path) {
  std::vector<std::string> words;
  std::string word;
  for (const char c : path + " ") {
    if (c != ' ')
      word += c;
    else if (!word.empty())
      words.push_back(std::move(word)), word.clear();
  }
  return words;
}

// When the line's command is this one and none below it.
std::string condition(const DescribedCommand& command) {
  std::string out;
  for (const std::string& word : words_of(command.path))
    out += (out.empty() ? "" : "; and ") + ("__fish_seen_subcommand_from " + word);
  std::string parts;
  for (const DescribedCommand& part : command.parts) parts += " " + part.name();
  if (!parts.empty()) out += (out.empty() ? "" : "; and ") + ("not __fish_seen_subcommand_from" + parts);
  return out;
}

std::string lines(const DescribedCommand& command) {
  const std::string start = "complete -c tapersight -n " + fish_quoted(condition(command));
  std::string out;
  for (const DescribedCommand& part : command.parts)
    out += start + " -a " + part.name() + " -d " + fish_quoted(part.help) + "\n";
  for (const DescribedOption& option : command.options) {
    if (option.positional) {
      if (option.is_file()) out += start + " -F\n";
      continue;
    }
    out += start;
    for (const std::string& name : option.names)
      out += name.compare(0, 2, "--") == 0 ? " -l " + name.substr(2) : " -s " + name.substr(1);
    if (!option.value.empty()) {
      out += option.is_file() ? " -r -F" : " -x";
      if (option.is_folder()) out += " -a '(__fish_complete_directories)'";
      std::string words;
      for (const std::string& choice : option.choices()) words += (words.empty() ? "" : " ") + choice;
      if (!words.empty()) out += " -a " + fish_quoted(words);
    }
    out += " -d " + fish_quoted(option.help) + "\n";
  }
  return out;
}

}  // namespace

std::string fish_completion(const DescribedCommand& program) {
  std::string out =
      "# Completion of tapersight for fish; made from the program's own description of its options.\n"
      "complete -c tapersight -f\n";
  for (const DescribedCommand* command : all_commands(program)) out += lines(*command);
  return out;
}

}  // namespace tapersight
