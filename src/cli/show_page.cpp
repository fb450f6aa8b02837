#include "cli/show_page.h"

#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cerrno>
#include <cstdlib>
#include <filesystem>
#include <system_error>

#include "base/content_hash.h"

extern char** environ;

namespace tapersight {
namespace {

namespace fs = std::filesystem;

// The variable's folder, else `usual` in the home folder; empty when neither is known. The specification has
// relative paths ignored.
fs::path base_folder(const char* variable, const char* usual) {
  const char* named = std::getenv(variable);
  if (named != nullptr && fs::path(named).is_absolute()) return named;
  const char* home = std::getenv("HOME");
  return home != nullptr && *home != '\0' ? fs::path(home) / usual : fs::path();
}

}  // namespace

Result<std::string> cached_page(const std::string& picture) {
  const fs::path base = base_folder("XDG_CACHE_HOME", ".cache");
  const fs::path folder = base / "tapersight";
  std::error_code error;
  if (!base.empty()) fs::create_directories(folder, error);
  if (base.empty() || !fs::is_directory(folder, error))
    return Failure{"no-cache-folder", "There is no folder to keep the report in.",
                   "Let XDG_CACHE_HOME or HOME name a folder that you may write to."};
  const fs::path whole = fs::absolute(picture, error).lexically_normal();
  const std::string stem = whole.stem().string();
  return (folder / (stem + "-" + content_hash(whole.string()).substr(0, 8) + ".html")).string();
}

std::string usual_sled_file() {
  const fs::path base = base_folder("XDG_CONFIG_HOME", ".config");
  const fs::path file = base / "tapersight" / "sled.toml";
  std::error_code ignored;
  return !base.empty() && fs::exists(file, ignored) ? file.string() : std::string();
}

std::optional<Failure> show_page(const std::string& path) {
  const Failure not_shown{"page-not-shown", "The report could not be opened: " + path + ".",
                          "Open that file in a browser; with the package xdg-utils it opens by itself."};
  std::string program = "xdg-open", page = path;
  char* words[] = {program.data(), page.data(), nullptr};
  pid_t child = 0;
  if (::posix_spawnp(&child, words[0], nullptr, nullptr, words, environ) != 0) return not_shown;
  int status = 0;
  while (::waitpid(child, &status, 0) < 0)
    if (errno != EINTR) return not_shown;
  if (WIFEXITED(status) && WEXITSTATUS(status) == 0) return std::nullopt;
  return not_shown;
}

}  // namespace tapersight
