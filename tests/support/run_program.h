// Runs a program as a person would, and keeps what it said.
#pragma once
#include <sys/wait.h>

#include <cstdlib>
#include <string>
#include <vector>

#include "base/files.h"
#include "support/temp_dir.h"

namespace tapersight::testing {

struct ProgramRun {
  int status = -1;  // exit status; -1 when the program was ended by a signal
  std::string out, err;
};

inline std::string shell_quoted(const std::string& text) {
  std::string quoted = "'";
  for (const char c : text) quoted += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return quoted + "'";
}

// With its working folder, if one is named.
inline ProgramRun run_program(const std::string& program, const std::vector<std::string>& arguments,
                              const std::string& folder = {}) {
  const TempDir dir;
  std::string line = folder.empty() ? std::string() : "cd " + shell_quoted(folder) + " && ";
  line += shell_quoted(program);
  for (const std::string& argument : arguments) line += " " + shell_quoted(argument);
  line += " >" + shell_quoted(dir.file("out")) + " 2>" + shell_quoted(dir.file("err")) + " </dev/null";
  const int ended = std::system(line.c_str());  // NOLINT(cert-env33-c): the quoting above is complete
  ProgramRun run;
  if (WIFEXITED(ended)) run.status = WEXITSTATUS(ended);
  if (const auto out = read_file(dir.file("out"))) run.out = *out;
  if (const auto err = read_file(dir.file("err"))) run.err = *err;
  return run;
}

}  // namespace tapersight::testing
