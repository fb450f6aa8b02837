// The program from its words on the command line to its exit status. CLI11, which takes seconds of compiling,
// stays behind it.
#pragma once

namespace tapersight {

int run_program(int argc, char** argv);

}  // namespace tapersight
