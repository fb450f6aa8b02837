#include <cstdio>
#include <exception>
#include <memory>
#include <vector>

#include "cli/command.h"
#include "cli/exit_status.h"
#include "cli/help_format.h"
#include "cli/usage_words.h"
#include "imaging/trouble.h"

namespace {

using namespace tapersight;

int run(int argc, char** argv) {
  CLI::App program("Squares a crosscut sled's fence from a scan of the test strip");
  program.name("tapersight");
  program.formatter(std::make_shared<HelpFormat>());
  program.set_version_flag("--version", std::string("tapersight ") + kProgramVersion);
  program.require_subcommand(1);
  program.footer("tapersight COMMAND --help tells more.");
  std::vector<Command> commands;
  for (const auto add : {add_target_command, add_measure_command, add_correct_command, add_caliper_command,
                         add_guide_command, add_record_command, add_tags_command, add_batch_command})
    commands.push_back(add(program));
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
    const Failure failure = failure_of_exception(error);
    return report_failure(failure, status_of(failure, kNotMeasurable));
  }
}
