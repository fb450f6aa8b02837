#include "base/csv.h"

#include <algorithm>

#include "base/text.h"

namespace tapersight {
namespace {

// Reads fields from the front of a text, one record after the other.
class Reader {
 public:
  Reader(std::string_view text, std::string_view separators) : text_(text), separators_(separators) {}

  bool at_end() const { return at_ >= text_.size(); }
  int line() const { return line_; }
  bool unclosed() const { return unclosed_; }
  bool stray() const { return stray_; }

  std::vector<std::string> record() {
    std::vector<std::string> fields;
    do fields.push_back(field());
    while (separator());
    line_end();
    return fields;
  }

 private:
  bool ends_field(char c) const {
    return c == '\n' || c == '\r' || separators_.find(c) != std::string_view::npos;
  }

  std::string field() {
    while (!at_end() && (text_[at_] == ' ' || (text_[at_] == '\t' && !ends_field('\t')))) ++at_;
    if (!at_end() && text_[at_] == '"') return quoted();
    const std::size_t from = at_;
    while (!at_end() && !ends_field(text_[at_])) ++at_;
    return std::string(trimmed(text_.substr(from, at_ - from)));
  }

  std::string quoted() {
    std::string value;
    for (++at_; !at_end(); ++at_) {
      if (text_[at_] == '\n') ++line_;
      if (text_[at_] != '"')
        value += text_[at_];
      else if (at_ + 1 < text_.size() && text_[at_ + 1] == '"')
        value += text_[++at_];
      else
        break;
    }
    if (at_end()) {
      unclosed_ = true;
      return value;
    }
    ++at_;  // the closing mark
    while (!at_end() && !ends_field(text_[at_])) {
      stray_ = stray_ || text_[at_] != ' ';
      ++at_;
    }
    return value;
  }

  bool separator() {
    if (at_end() || separators_.find(text_[at_]) == std::string_view::npos) return false;
    ++at_;
    return true;
  }

  void line_end() {
    if (at_end()) return;
    if (text_[at_] == '\r' && at_ + 1 < text_.size() && text_[at_ + 1] == '\n') ++at_;
    ++at_;
    ++line_;
  }

  std::string_view text_, separators_;
  std::size_t at_ = 0;
  int line_ = 1;
  bool unclosed_ = false, stray_ = false;
};

}  // namespace

std::string_view csv_separators(std::string_view line) {
  bool quoted = false;
  for (const char c : line) {
    if (c == '"') quoted = !quoted;
    if (!quoted && (c == ';' || c == '\t')) return ";\t";
  }
  return ",";
}

std::vector<std::string> csv_fields(std::string_view line, std::string_view separators) {
  return Reader(line, separators).record();
}

Result<std::vector<CsvRecord>> parse_csv(std::string_view text) {
  text = without_byte_order_mark(text);
  if (text.find('\0') != std::string_view::npos)
    return Failure{"bad-csv", "The table is not plain text (it may be UTF-16, or a spreadsheet's own file).",
                   "Save it as CSV (UTF-8)."};
  Reader reader(text, csv_separators(text.substr(0, text.find_first_of("\r\n"))));
  std::vector<CsvRecord> records;
  while (!reader.at_end()) {
    CsvRecord record;
    record.line = reader.line();
    record.fields = reader.record();
    const std::string where = "Line " + std::to_string(record.line) + ": ";
    if (reader.unclosed())
      return Failure{"bad-csv", where + "a quotation mark is not closed.", "Close it, or take it away."};
    if (reader.stray())
      return Failure{"bad-csv", where + "there is text behind a closing quotation mark.",
                     "Write a quotation mark within a field twice."};
    if (std::all_of(record.fields.begin(), record.fields.end(), [](const auto& f) { return f.empty(); }))
      continue;
    records.push_back(std::move(record));
  }
  return records;
}

std::string_view without_byte_order_mark(std::string_view text) {
  constexpr std::string_view kMark = "\xEF\xBB\xBF";
  if (text.substr(0, kMark.size()) == kMark) text.remove_prefix(kMark.size());
  return text;
}

std::string not_a_formula(const std::string& text) {
  constexpr std::string_view kBeginsOne = "=+-@\t\r\n";
  return !text.empty() && kBeginsOne.find(text.front()) != std::string_view::npos ? "'" + text : text;
}

std::string csv_line(const std::vector<std::string>& fields) {
  std::string line;
  for (const std::string& field : fields) {
    if (&field != &fields.front()) line += ',';
    const bool plain = field.find_first_of(",;\t\"\r\n") == std::string::npos && trimmed(field) == field;
    if (plain) {
      line += field;
      continue;
    }
    line += '"';
    for (const char c : field) line += c == '"' ? std::string("\"\"") : std::string(1, c);
    line += '"';
  }
  return line + "\r\n";
}

}  // namespace tapersight
