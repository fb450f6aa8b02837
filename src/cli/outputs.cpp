#include "cli/outputs.h"

#include <cstdio>
#include <filesystem>
#include <fstream>
#include <system_error>

#include "base/files.h"
#include "base/text.h"

namespace tapersight {
namespace {

bool is_file_name(const std::string& name) {
  return !name.empty() && name != "-";
}

bool same_file(const std::string& a, const std::string& b) {
  std::error_code error;
  if (std::filesystem::equivalent(a, b, error) && !error) return true;
  const auto canonical = [](const std::string& name) {
    std::error_code ignored;
    return std::filesystem::weakly_canonical(name, ignored);
  };
  return a == b || canonical(a) == canonical(b);
}

Failure would_overwrite(const std::string& output, const std::string& other) {
  return {"would-overwrite", "\"" + output + "\" would be written over \"" + other + "\".",
          "Give the output a name of its own."};
}

}  // namespace

std::optional<Failure> put_out(const std::string& path, const std::string& bytes) {
  if (path != "-") {
    const auto written = write_file_whole(path, bytes);
    return written ? std::nullopt : std::optional<Failure>(written.failure());
  }
  const bool whole = std::fwrite(bytes.data(), 1, bytes.size(), stdout) == bytes.size();
  if (std::fflush(stdout) == 0 && whole) return std::nullopt;
  return Failure{"file-not-writable", "The output could not be written.",
                 "Check where the program's output goes and the free space there."};
}

bool has_ending(const std::string& name, const std::string& ending) {
  return name.size() > ending.size() && lower_case(name.substr(name.size() - ending.size())) == ending;
}

std::optional<Failure> check_svg(const std::string& name) {
  if (name.empty() || has_ending(name, ".svg")) return std::nullopt;
  return Failure{"bad-file-ending", "\"" + name + "\" does not end in .svg.",
                 "The plot is an SVG drawing: let its name say so."};
}

std::optional<Failure> check_html(const std::string& name) {
  if (name.empty() || has_ending(name, ".html") || has_ending(name, ".htm")) return std::nullopt;
  return Failure{"bad-file-ending", "\"" + name + "\" does not end in .html.",
                 "The report is an HTML page: let its name say so; for a PDF, print it from a browser."};
}

std::optional<Failure> check_replaced(const std::vector<std::string>& outputs) {
  constexpr std::size_t kHead = 1024;
  for (const std::string& output : outputs) {
    std::error_code ignored;
    if (!is_file_name(output) || !std::filesystem::is_regular_file(output, ignored)) continue;
    std::ifstream file(output, std::ios::binary);
    std::string head(kHead, '\0');
    file.read(head.data(), static_cast<std::streamsize>(head.size()));
    head.resize(static_cast<std::size_t>(file.gcount()));
    if (head.empty() || head.find("tapersight") != std::string::npos) continue;
    return Failure{"would-replace", "\"" + output + "\" is there already, and tapersight did not write it.",
                   "Give the output another name, or move that file away."};
  }
  return std::nullopt;
}

std::optional<Failure> check_outputs(const std::vector<std::string>& inputs,
                                     const std::vector<std::string>& outputs) {
  std::vector<std::string> taken = inputs;
  for (const std::string& output : outputs) {
    if (!is_file_name(output)) continue;
    for (const std::string& other : taken)
      if (is_file_name(other) && same_file(output, other)) return would_overwrite(output, other);
    if (auto failure = check_writable_kind(output)) return failure;
    taken.push_back(output);
  }
  return std::nullopt;
}

}  // namespace tapersight
