// A sled's record. The bytes are its file as it is; and once more with the right checksum behind every line,
// or nothing would get past that.
#include <boost/crc.hpp>
#include <cmath>
#include <cstdio>
#include <fstream>

#include "fuzz/fuzz_target.h"
#include "record/sled_log.h"
#include "report/json.h"
#include "report/text.h"
#include "support/temp_dir.h"

using namespace tapersight;
using namespace tapersight::testing;

namespace {

std::string with_checksum(std::string line) {
  const std::size_t old = line.find(",\"crc32\":\"");
  if (old != std::string::npos) line.resize(old);
  if (!line.empty() && line.back() == '}') line.pop_back();
  boost::crc_32_type crc;
  crc.process_bytes(line.data(), line.size());
  char tail[32];
  std::snprintf(tail, sizeof tail, ",\"crc32\":\"%08x\"}", crc.checksum());
  return line + tail;
}

std::string with_checksums(const std::string& text) {
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    out += with_checksum(text.substr(at, end - at)) + "\n";
    at = end + 1;
  }
  return out;
}

void require_entries(const std::vector<RecordEntry>& entries) {
  for (const RecordEntry& entry : entries) {
    require(!validate(entry), "an entry that cannot be was read");
    const auto again = from_line(to_line(entry));
    require(again.ok() && to_line(*again) == to_line(entry), "an entry is not read again");
  }
}

void say(const SledLog& log) {
  RecordReport report;
  report.sled = "bench 4";
  report.entries = log.entries;
  report.damaged_lines = static_cast<int>(log.damaged.size());
  report.setup.pivot_distance_mm = 1000;
  report.tolerance = Tolerance{2.0 / 12000, "2thou/12in"};
  const auto concluded = conclude(report);
  if (!accepted(concluded)) return;
  const NextDistance next = next_distance(concluded->analysis.response, 1000);
  require(next.distance_mm > 0 && std::isfinite(next.distance_mm), "a distance is not one");
  require(!record_text(*concluded).empty() && !record_json(*concluded).empty(), "a record without words");
  require(!record_plot_svg(log.entries, "bench 4", Units::kInch).empty(), "a drawing without content");
}

void read(const std::string& path, const std::string& text) {
  std::ofstream(path, std::ios::binary) << text;
  const auto log = read_sled_log(path);
  if (!accepted(log)) return;
  for (const DamagedLine& line : log->damaged) require_reason(line.why);
  require_entries(log->entries);
  say(*log);
}

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  static const TempDir dir;
  const std::string text = text_of(data, size);
  read(dir.file("bench-4.sled.jsonl"), text);
  read(dir.file("bench-4.sled.jsonl"), with_checksums(text));
  accepted(sled_file_name(text));
  return 0;
}
