// A record's text, wherever it is kept.
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "record/entry.h"

namespace tapersight {

struct DamagedLine {
  int number = 0;  // from 1
  Failure why;
};

struct SledLog {
  std::vector<RecordEntry> entries;  // in the order in which they were written
  std::vector<DamagedLine> damaged;  // left out, and left in the file
};

// The file's name for a sled's: "bench 4" -> "bench-4.sled.jsonl". Failure: bad-sled-name (empty, longer than
// 60 characters, or other than letters, digits, space, "-", "_", ".").
Result<std::string> sled_file_name(std::string_view sled);

// The entries of a record's text; `path` is its name in a refusal. Failure: not-a-record.
Result<SledLog> parse_sled_log(const std::string& path, std::string_view text);

// Whether a text that begins like this is a record, whole or torn.
bool begins_like_a_record(std::string_view head);
Failure not_a_record(const std::string& path);

}  // namespace tapersight
