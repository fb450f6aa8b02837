#include "record/sled_log_text.h"

#include <algorithm>

#include "base/text.h"

namespace tapersight {
namespace {

// Whole, torn, or left as zeros by a power cut.
bool looks_like_a_line(std::string_view line) {
  const std::size_t n = std::min(line.size(), kRecordPrefix.size());
  return n > 0 && (line[0] == '\0' || line.substr(0, n) == kRecordPrefix.substr(0, n));
}

}  // namespace

// Two lines are looked at because a line torn after its first byte could begin any JSON file.
bool begins_like_a_record(std::string_view head) {
  const std::size_t end = head.find('\n');
  if (!looks_like_a_line(head.substr(0, end))) return false;
  if (end == std::string_view::npos || end + 1 == head.size()) return true;
  const std::string_view second = head.substr(end + 1);
  return looks_like_a_line(second.substr(0, second.find('\n')));
}

Failure not_a_record(const std::string& path) {
  return {"not-a-record", path + " is not the record of a sled.",
          "Give the record another name; this file was left alone."};
}

Result<std::string> sled_file_name(std::string_view sled) {
  std::string name(trimmed(sled));
  const auto is_fine = [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == ' ' ||
           c == '-' || c == '_' || c == '.';
  };
  if (name.empty() || name.size() > 60 || name.front() == '.' ||
      !std::all_of(name.begin(), name.end(), is_fine))
    return Failure{"bad-sled-name", "\"" + std::string(sled) + "\" cannot name a sled.",
                   "Use letters, digits, spaces, - and _, for example: bench 4."};
  std::replace(name.begin(), name.end(), ' ', '-');
  return name + ".sled.jsonl";
}

Result<SledLog> parse_sled_log(const std::string& path, std::string_view rest) {
  if (!rest.empty() && !begins_like_a_record(rest)) return not_a_record(path);
  SledLog log;
  for (int number = 1; !rest.empty(); ++number) {
    const std::size_t end = std::min(rest.find('\n'), rest.size());
    const std::string_view line = rest.substr(0, end);
    rest.remove_prefix(std::min(end + 1, rest.size()));
    if (trimmed(line).empty()) continue;
    Result<RecordEntry> entry = from_line(line);
    if (entry)
      log.entries.push_back(*entry);
    else
      log.damaged.push_back({number, entry.failure()});
  }
  return log;
}

}  // namespace tapersight
