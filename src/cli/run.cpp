#include "cli/run.h"

#include <cstdio>
#include <exception>
#include <sstream>
#include <vector>

#include "cli/exit_status.h"
#include "cli/outputs.h"
#include "cli/program.h"
#include "cli/usage_words.h"
#include "imaging/trouble.h"

namespace tapersight {
namespace {

// --help and --version.
int put_help(const CLI::App& program, const CLI::ParseError& error) {
  std::ostringstream text;
  program.exit(error, text, text);
  const auto trouble = put_out("-", text.str());
  return trouble ? report_failure(*trouble, kFileTrouble) : kMeasured;
}

int run(int argc, char** argv) {
  CLI::App program;
  const std::vector<Command> commands = describe_program(program);
  try {
    program.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    if (error.get_exit_code() == 0) return put_help(program, error);
    return report_wrong_usage(usage_failure(program, {argv + 1, argv + argc}, error));
  }
  for (const Command& command : commands)
    if (command.app->parsed()) return command.run();
  return kWrongUsage;
}

}  // namespace

int run_program(int argc, char** argv) {
  try {
    return run(argc, argv);
  } catch (const std::exception& error) {
    const Failure failure = failure_of_exception(error);
    return report_failure(failure, status_of(failure, kNotMeasurable));
  }
}

}  // namespace tapersight
