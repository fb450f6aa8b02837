#include "cli/program.h"

#include <memory>
#include <string>

#include "cli/help_format.h"

namespace tapersight {

std::vector<Command> describe_program(CLI::App& program) {
  program.description("Squares a crosscut sled's fence from a scan of the test strip");
  program.name("tapersight");
  program.formatter(std::make_shared<HelpFormat>());
  program.set_version_flag("--version", std::string("tapersight ") + kProgramVersion);
  program.require_subcommand(1);
  program.footer("tapersight COMMAND --help tells more.");
  std::vector<Command> commands;
  for (const auto add :
       {add_target_command, add_measure_command, add_look_command, add_correct_command, add_caliper_command,
        add_guide_command, add_record_command, add_tags_command, add_batch_command})
    commands.push_back(add(program));
  return commands;
}

}  // namespace tapersight
