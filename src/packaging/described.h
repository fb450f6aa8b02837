// The command line as plain data, taken from CLI11's description of it.
#pragma once
#include <string>
#include <vector>

namespace CLI {
class App;
}

namespace tapersight {

struct DescribedOption {
  std::vector<std::string> names;  // "--json", "-h"; of a positional its name alone
  std::string group;               // the heading that it stands under in --help
  std::string value;               // "FILE.json", "in|mm", "LENGTH"; empty for a flag
  std::string help;
  bool required = false;
  bool positional = false;
  bool several = false;  // takes any number of values

  // What can stand for the value: one of these words, a file, a folder; or what only the person knows.
  std::vector<std::string> choices() const;
  bool is_file() const;
  bool is_folder() const;
};

struct DescribedCommand {
  std::string path;  // "measure", "record add"; empty for the program itself
  std::string help;
  std::vector<DescribedOption> options;  // in the order of --help, positionals among them
  std::vector<DescribedCommand> parts;   // the commands below it
  std::string footer;

  std::string name() const;  // the path's last word
};

DescribedCommand described(const CLI::App& program);

// `command` and all below it, parents first.
std::vector<const DescribedCommand*> all_commands(const DescribedCommand& command);

}  // namespace tapersight
