#include "classroom/roster.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "base/csv.h"
#include "base/text.h"
#include "target/tag_layout.h"

namespace tapersight {
namespace {

std::string option_name(std::string_view heading) {
  std::string name;
  for (const char c : lower_case(trimmed(heading))) {
    const bool gap = c == ' ' || c == '_' || c == '-';
    if (!gap) name += c;
    if (gap && !name.empty() && name.back() != '-') name += '-';
  }
  return name;
}

Failure bad_roster(int line, const std::string& what, const std::string& remedy) {
  return {"bad-roster", "The roster's line " + std::to_string(line) + ": " + what, remedy};
}

Result<int> bench_of(const CsvRecord& record, std::size_t column) {
  const std::string text = column < record.fields.size() ? record.fields[column] : std::string();
  const auto number = parse_number(text);
  if (number && *number >= kLeastBench && *number <= kMostBench && *number == std::floor(*number))
    return static_cast<int>(*number);
  return bad_roster(record.line, "\"" + text + "\" is not a bench number.",
                    "Write a whole number from 1 to 599.");
}

constexpr const char* kStudent = "student";
constexpr const char* kHeaderRemedy =
    "Make its first line the names of the columns, one of them bench: bench,pivot distance,tolerance";

}  // namespace

Result<Roster> parse_roster(std::string_view text, const std::vector<std::string>& known) {
  const auto records = parse_csv(text);
  if (!records) return records.failure();
  if (records->empty()) return Failure{"bad-roster", "The roster is empty.", kHeaderRemedy};
  const CsvRecord& header = records->front();
  std::vector<std::string> columns;
  for (const std::string& heading : header.fields) columns.push_back(option_name(heading));
  const auto bench =
      static_cast<std::size_t>(std::find(columns.begin(), columns.end(), "bench") - columns.begin());
  if (bench == columns.size()) return bad_roster(header.line, "it has no column named bench.", kHeaderRemedy);
  Roster roster;
  std::set<std::string> named;
  for (std::size_t i = 0; i < columns.size(); ++i) {
    if (columns[i].empty()) continue;
    if (!named.insert(columns[i]).second)
      return bad_roster(header.line, "the column \"" + header.fields[i] + "\" comes twice.",
                        "Keep one of them.");
    if (i != bench && columns[i] != kStudent &&
        std::find(known.begin(), known.end(), columns[i]) == known.end()) {
      roster.unused_columns.push_back(header.fields[i]);
      columns[i].clear();
    }
  }
  for (std::size_t r = 1; r < records->size(); ++r) {
    const CsvRecord& record = (*records)[r];
    if (record.fields.size() > columns.size())
      return bad_roster(record.line, "it has more fields than the first line.",
                        "Put a field that holds the separator itself into quotation marks.");
    const auto number = bench_of(record, bench);
    if (!number) return number.failure();
    RosterRow row;
    row.line = record.line;
    row.bench = *number;
    for (std::size_t i = 0; i < record.fields.size(); ++i)
      if (columns[i] == kStudent)
        row.student = record.fields[i];
      else if (i != bench && !columns[i].empty() && !record.fields[i].empty())
        row.fields.emplace_back(columns[i], record.fields[i]);
    for (const RosterRow& other : roster.rows)
      if (other.bench == row.bench)
        return bad_roster(
            row.line,
            "bench " + std::to_string(row.bench) + " is already in line " + std::to_string(other.line) + ".",
            "Keep one of the two lines.");
    roster.rows.push_back(std::move(row));
  }
  if (roster.rows.empty()) return Failure{"bad-roster", "The roster names no bench.", kHeaderRemedy};
  std::sort(roster.rows.begin(), roster.rows.end(),
            [](const RosterRow& a, const RosterRow& b) { return a.bench < b.bench; });
  return roster;
}

}  // namespace tapersight
