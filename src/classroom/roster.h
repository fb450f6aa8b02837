// The roster of a class: one bench a line, as a spreadsheet exports it.
//
//   bench,pivot distance,tolerance,pivot,fence end readings,far end readings
//   7,45 in,2thou/12in,left,".571, .570",".506, .507"
//
// Columns are named like the options of the command line, without the dashes in front; capitals, spaces and
// underscores are as good. Only "bench" has to be there; "student" is for a name. An empty field leaves the
// option as it is for the class.
#pragma once
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/result.h"

namespace tapersight {

struct RosterRow {
  int line = 0;   // in the file
  int bench = 0;  // 1..599
  std::string student;
  std::vector<std::pair<std::string, std::string>> fields;  // option's name ("pivot-distance") and value
};

struct Roster {
  std::vector<RosterRow> rows;              // by bench number
  std::vector<std::string> unused_columns;  // headings as they stand, that are no option's name
};

// `known`: the options that a column may be named after. Failures: "bad-csv", "bad-roster" (no header with
// "bench", no line, a bench number that is none or comes twice, a line longer than the header, a column
// twice).
Result<Roster> parse_roster(std::string_view text, const std::vector<std::string>& known);

}  // namespace tapersight
