#include <cstdio>
#include <exception>
#include <vector>

#include "cli/exit_status.h"
#include "cli/program.h"
#include "cli/usage_words.h"

namespace {

using namespace tapersight;

int run(int argc, char** argv) {
  CLI::App program;
  const std::vector<Command> commands = describe_program(program);
  try {
    program.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    if (error.get_exit_code() == 0) return program.exit(error);  // --help, --version
    return report_wrong_usage(usage_failure(program, {argv + 1, argv + argc}, error));
  }
  for (const Command& command : commands)
    if (command.app->parsed()) return command.run();
  return kWrongUsage;
}

}  // namespace

int main(int argc, char** argv) {
  try {
    return run(argc, argv);
  } catch (const std::exception& error) {
    return report_failure(
        {"internal-error", std::string("Something went wrong inside: ") + error.what() + ".",
         "Try a smaller picture; if it happens again, report it with the picture."},
        kNotMeasurable);
  }
}
