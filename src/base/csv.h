// Comma-separated values (RFC 4180), also as spreadsheets export them: a byte order mark, semicolons or tabs
// in place of the commas, any line ends.
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"

namespace tapersight {

struct CsvRecord {
  int line = 0;  // its first line in the text, counted from 1
  std::vector<std::string> fields;
};

// What sets the fields of `line` apart: semicolons and tabs when it has any outside of quotation marks, else
// commas.
std::string_view csv_separators(std::string_view line);

// The fields of one line, spaces around unquoted ones left out. A quotation mark that is not closed ends with
// the line.
std::vector<std::string> csv_fields(std::string_view line, std::string_view separators);

// All records; the first line tells the separator. Lines that are empty, or have nothing but separators, are
// left out. Failure "bad-csv" (names the line).
Result<std::vector<CsvRecord>> parse_csv(std::string_view text);

std::string_view without_byte_order_mark(std::string_view text);

// A text from outside that a spreadsheet would take for a formula (it begins with = + - @, a tab or a line
// end) with ' before it, as OWASP's page on CSV injection advises (owasp.org, "CSV Injection"; from memory).
// Not for numbers.
std::string not_a_formula(const std::string& text);

// One record with its line end (CR LF), fields quoted where they have to be.
std::string csv_line(const std::vector<std::string>& fields);

}  // namespace tapersight
