// What main.cpp knows of a command.
#pragma once
#include <CLI/CLI.hpp>
#include <functional>

namespace tapersight {

inline constexpr const char* kProgramVersion = TAPERSIGHT_VERSION;

struct Command {
  CLI::App* app = nullptr;   // the subcommand, to see whether it was called
  std::function<int()> run;  // returns the exit status
};

Command add_target_command(CLI::App& program);
Command add_measure_command(CLI::App& program);
Command add_look_command(CLI::App& program);
Command add_correct_command(CLI::App& program);
Command add_caliper_command(CLI::App& program);
Command add_guide_command(CLI::App& program);
Command add_record_command(CLI::App& program);
Command add_batch_command(CLI::App& program);
Command add_tags_command(CLI::App& program);

}  // namespace tapersight
