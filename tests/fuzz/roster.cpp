// Tables as spreadsheets export them, and the roster of a class.
#include "classroom/roster.h"
#include "base/csv.h"
#include "base/text.h"
#include "fuzz/fuzz_target.h"
#include "target/tag_layout.h"

using namespace tapersight;
using namespace tapersight::testing;

namespace {

// Written as this program writes tables, every field is read as it was.
void read_again(const std::vector<CsvRecord>& records) {
  std::string text = csv_line({"a", "b"});  // its commas tell the separator
  for (const CsvRecord& record : records) text += csv_line(record.fields);
  const auto again = parse_csv(text);
  require(again.ok() && again->size() == records.size() + 1, "a table is not read again");
  for (std::size_t i = 0; i < records.size(); ++i)
    require((*again)[i + 1].fields == records[i].fields, "a field is not read again");
}

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string text = text_of(data, size);
  if (const auto records = parse_csv(text); accepted(records)) {
    for (const CsvRecord& record : *records)
      require(record.line >= 1 && !record.fields.empty(), "an empty record");
    read_again(*records);
  }
  require(csv_fields(text, csv_separators(text)).size() <= text.size() + 1, "more fields than characters");
  const auto roster =
      parse_roster(text, {"units", "pivot", "pivot-distance", "tolerance", "fence-end-readings"});
  if (!accepted(roster)) return 0;
  require(!roster->rows.empty(), "a roster of nobody");
  int last = 0;
  for (const RosterRow& row : roster->rows) {
    require(row.bench >= kLeastBench && row.bench <= kMostBench && row.bench > last, "a bench out of order");
    last = row.bench;
  }
  return 0;
}
