#include "classroom/bench_name.h"

#include <algorithm>
#include <filesystem>
#include <string_view>

#include "base/text.h"
#include "target/tag_layout.h"

namespace tapersight {
namespace {

namespace fs = std::filesystem;

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}
bool is_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

std::optional<int> bench_number(std::string_view digits) {
  const auto number = digits.size() > 9 ? std::nullopt : parse_number(digits);
  if (!number || *number < kLeastBench || *number > kMostBench) return std::nullopt;
  return static_cast<int>(*number);
}

}  // namespace

std::optional<int> bench_of_file_name(const std::string& name) {
  const std::string stem = lower_case(fs::path(name).stem().string());
  if (!stem.empty() && std::all_of(stem.begin(), stem.end(), is_digit)) return bench_number(stem);
  std::optional<int> found;
  int count = 0;
  for (std::size_t at = stem.find("bench"); at != std::string::npos; at = stem.find("bench", at + 5)) {
    if (at > 0 && is_letter(stem[at - 1])) continue;
    std::size_t from = at + 5;
    while (from < stem.size() &&
           (stem[from] == ' ' || stem[from] == '-' || stem[from] == '_' || stem[from] == '.'))
      ++from;
    std::size_t to = from;
    while (to < stem.size() && is_digit(stem[to])) ++to;
    if (to == from) continue;
    ++count;
    found = bench_number(std::string_view(stem).substr(from, to - from));
  }
  return count == 1 ? found : std::nullopt;
}

}  // namespace tapersight
