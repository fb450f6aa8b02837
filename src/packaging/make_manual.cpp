// Writes man pages and completions into a folder; the build runs it, and CMake installs what it wrote.
#include <CLI/CLI.hpp>
#include <cstdio>
#include <filesystem>
#include <string>

#include "base/files.h"
#include "cli/program.h"
#include "packaging/completion.h"
#include "packaging/described.h"
#include "packaging/man_page.h"

namespace {

using namespace tapersight;

bool write(const std::filesystem::path& file, const std::string& text) {
  const auto written = write_file_whole(file.string(), text);
  if (!written) std::fprintf(stderr, "%s\n", written.failure().text.c_str());
  return written.ok();
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    std::fputs("Usage: make_manual FOLDER\n", stderr);
    return 2;
  }
  CLI::App app;
  const auto commands = describe_program(app);
  const DescribedCommand program = described(app);
  const std::filesystem::path folder = argv[1];
  bool well = write(folder / "tapersight.bash", bash_completion(program)) &&
              write(folder / "_tapersight", zsh_completion(program)) &&
              write(folder / "tapersight.fish", fish_completion(program));
  for (const ManPage& page : man_pages(program, kProgramVersion))
    well = well && write(folder / "man" / page.file, page.text);
  return well ? 0 : 1;
}
