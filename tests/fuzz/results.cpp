// Results as JSON, read back: for a sled's record, for a class's table, for a batch that goes on.
#include <cmath>

#include "batch/batch_log.h"
#include "classroom/class_result.h"
#include "fuzz/fuzz_target.h"
#include "report/read_result.h"

using namespace tapersight;
using namespace tapersight::testing;

namespace {

constexpr const char* kWhen = "2031-05-07T09:30:00Z";

// What does not pass validate() is refused by the record; what passes is written and read again.
void record(const RecordEntry& entry) {
  if (const auto failure = validate(entry)) return require_reason(*failure);
  require(from_line(to_line(entry)).ok(), "a result is not read again from the record");
}

void read_lines(const std::string& text) {
  std::vector<ClassResult> results;
  for (std::size_t at = 0; at < text.size() && results.size() < 20;) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    const auto line = read_result_line(text.substr(at, end - at));
    if (accepted(line)) results.push_back(*line);
    at = end + 1;
  }
  put_in_order(results);
  for (const ClassResult& result : results) {
    const auto again = read_result_line(result.json);
    require(again.ok() && again->json == result.json, "a line of results is not read again");
    require(todo_name(result.todo())[0] != '\0', "nothing to do with a result");
  }
  require(!results_csv(results).empty(), "a table without its heading");
}

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string text = text_of(data, size);
  if (const auto entry = measurement_from_result(text, kWhen); accepted(entry)) record(*entry);
  if (const auto entry = move_from_result(text, kWhen, 0.05); accepted(entry)) record(*entry);
  read_lines(text);
  for (const auto& [picture, entry] : read_batch_log(text)) {
    require(picture == entry.picture, "an entry under another's name");
    require(entry_from_line(to_line(entry)).has_value(), "an entry of the log is not read again");
  }
  return 0;
}
