#include "packaging/completion.h"

namespace tapersight {
namespace {

std::string joined(const std::vector<std::string>& words, const char* between) {
  std::string out;
  for (const std::string& word : words) out += (out.empty() ? "" : between) + word;
  return out;
}

// The branch for one command: what comes after each option with a value, and what comes otherwise.
std::string branch(const DescribedCommand& command) {
  std::vector<std::string> offered;
  bool files = false;
  std::string after;
  for (const DescribedCommand& part : command.parts) offered.push_back(part.name());
  for (const DescribedOption& option : command.options) {
    if (option.positional) {
      files = files || option.is_file();
      continue;
    }
    offered.insert(offered.end(), option.names.begin(), option.names.end());
    if (option.value.empty()) continue;
    const std::string what = option.is_file()     ? "kind=files"
                             : option.is_folder() ? "kind=folders"
                                                  : "words='" + joined(option.choices(), " ") + "'";
    after += "        " + joined(option.names, "|") + ") " + what + " ;;\n";
  }
  return "    '" + command.path + "')\n      case $before in\n" + after + "        *) words='" +
         joined(offered, " ") + "'" + (files ? " kind=files" : "") + " ;;\n      esac ;;\n";
}

}  // namespace

std::string bash_completion(const DescribedCommand& program) {
  std::string paths, branches;
  for (const DescribedCommand* command : all_commands(program)) {
    if (!command->path.empty()) paths += (paths.empty() ? "'" : "|'") + command->path + "'";
    branches += branch(*command);
  }
  return "# Completion of tapersight for bash; made from the program's own description of its options.\n"
         "_tapersight() {\n"
         "  local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]}\n"
         "  local command='' longer words='' kind='' i\n"
         "  for ((i = 1; i < COMP_CWORD; ++i)); do\n"
         "    longer=${command:+$command }${COMP_WORDS[i]}\n"
         "    case $longer in\n"
         "      " +
         paths +
         ") command=$longer ;;\n"
         "    esac\n"
         "  done\n"
         "  case $command in\n" +
         branches +
         "  esac\n"
         "  COMPREPLY=()\n"
         "  case $word in\n"
         "    -*) mapfile -t COMPREPLY < <(compgen -W \"$words\" -- \"$word\") ;;\n"
         "    *) mapfile -t COMPREPLY < <(\n"
         "         compgen -W \"$words\" -- \"$word\"\n"
         "         if [[ $kind == files ]]; then compgen -f -- \"$word\"; fi\n"
         "         if [[ $kind == folders ]]; then compgen -d -- \"$word\"; fi) ;;\n"
         "  esac\n"
         "}\n"
         "complete -o filenames -F _tapersight tapersight\n";
}

}  // namespace tapersight
