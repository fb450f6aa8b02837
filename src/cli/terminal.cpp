#include "cli/terminal.h"

#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <string_view>

namespace tapersight {
namespace {

Terminal terminal_of(int descriptor) {
  Terminal terminal;
  if (::isatty(descriptor) != 1) return terminal;
  winsize size{};
  if (::ioctl(descriptor, TIOCGWINSZ, &size) == 0 && size.ws_col > 0)
    terminal.columns = std::clamp<int>(size.ws_col, 40, 120);
  const char* no_colour = std::getenv("NO_COLOR");  // NOLINT(concurrency-mt-unsafe): before any thread
  const char* kind = std::getenv("TERM");           // NOLINT(concurrency-mt-unsafe)
  terminal.styled =
      (no_colour == nullptr || *no_colour == '\0') && kind != nullptr && std::string_view(kind) != "dumb";
  return terminal;
}

}  // namespace

Terminal out_terminal() {
  return terminal_of(STDOUT_FILENO);
}

Terminal err_terminal() {
  return terminal_of(STDERR_FILENO);
}

}  // namespace tapersight
