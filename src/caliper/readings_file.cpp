#include "caliper/readings_file.h"

#include <algorithm>

#include "base/csv.h"
#include "base/text.h"

namespace tapersight {
namespace {

std::vector<std::string> split(std::string_view text) {
  return csv_fields(text, csv_separators(text));
}

// Lower case, one space between words whatever stood there.
std::string keyword(std::string_view field) {
  std::string word;
  for (const char c : lower_case(field)) {
    const bool gap = c == ' ' || c == '-' || c == '_';
    if (!gap) word += c;
    if (gap && !word.empty() && word.back() != ' ') word += ' ';
  }
  return word;
}

std::optional<ReadingPlace> place_of(const std::string& word) {
  if (word == "fence end" || word == "fence") return ReadingPlace::kFenceEnd;
  if (word == "far end" || word == "far") return ReadingPlace::kFarEnd;
  if (word == "closed jaws" || word == "zero") return ReadingPlace::kClosedJaws;
  if (word == "block") return ReadingPlace::kBlock;
  return std::nullopt;
}

Failure bad_line(int number, const std::string& what, const std::string& remedy) {
  return Failure{"bad-caliper-file", "Line " + std::to_string(number) + ": " + what, remedy};
}

// What is done with them takes time with their square; nobody reads a caliper this often.
constexpr std::size_t kMostReadings = 1000;
constexpr std::size_t kLongestList = 40 * kMostReadings;  // characters

Failure too_many_readings() {
  return {"too-many-readings", "There are more than " + std::to_string(kMostReadings) + " readings.",
          "Ten at each end tell as much as a caliper can: leave the others out."};
}

// Reads one line after the other into `file`.
class Reader {
 public:
  explicit Reader(Units units) : units_(units) {}

  std::optional<Failure> line(std::string_view text, int number) {
    text = trimmed(text.substr(0, text.find('#')));
    if (text.empty()) return std::nullopt;
    number_ = number;
    const auto fields = split(text);
    const std::string word = keyword(fields[0]);
    const bool first = std::exchange(first_, false);
    if (first && fields.size() >= 2 && (keyword(fields[1]) == "reading" || keyword(fields[1]) == "readings"))
      return std::nullopt;
    if (fields.size() < 2 || fields[1].empty())
      return bad_line(number_, "\"" + std::string(text) + "\" has no value behind it.",
                      "Write what it is, a comma, and the value: fence end, 0.571 in");
    if (const auto place = place_of(word)) return readings(fields, 1, file_.readings.at(*place));
    if (word == "study") return study(fields);
    return setting(word, fields);
  }

  CaliperFile take() { return std::move(file_); }

 private:
  std::optional<Failure> readings(const std::vector<std::string>& fields, std::size_t from,
                                  std::vector<double>& into) {
    for (std::size_t i = from; i < fields.size(); ++i) {
      if (fields[i].empty() && i + 1 == fields.size() && i > from) break;  // a comma at the end of the line
      if (++count_ > kMostReadings)
        return bad_line(number_, too_many_readings().text, too_many_readings().remedy);
      const auto length = parse_length(fields[i], units_);
      if (!length) return bad_line(number_, length.failure().text, length.failure().remedy);
      into.push_back(*length);
    }
    return std::nullopt;
  }

  std::optional<Failure> study(const std::vector<std::string>& fields) {
    std::vector<double> values;
    if (fields.size() >= 4 && !fields[2].empty()) {
      if (auto failure = readings(fields, 3, values)) return failure;
    }
    if (values.empty())
      return bad_line(number_, "a line of the gauge study needs a place, a person and a reading.",
                      "Write: study, 3, Ann, 0.571 in");
    for (const double value : values) file_.study.push_back({fields[1], fields[2], value});
    return std::nullopt;
  }

  std::optional<Failure> setting(const std::string& word, const std::vector<std::string>& fields) {
    if (fields.size() > 2)
      return bad_line(number_, "\"" + word + "\" takes one value.",
                      "Put semicolons between the fields if a number has a decimal comma.");
    if (word == "units") {
      const auto units = parse_units(fields[1]);
      if (!units) return bad_line(number_, units.failure().text, units.failure().remedy);
      units_ = *units;
      return std::nullopt;
    }
    if (std::find(seen_.begin(), seen_.end(), word) != seen_.end())
      return bad_line(number_, "\"" + word + "\" was given before.", "Keep one of the two lines.");
    seen_.push_back(word);
    if (word == "caliper") {
      const auto kind = parse_caliper_kind(fields[1]);
      if (!kind) return bad_line(number_, kind.failure().text, kind.failure().remedy);
      file_.spec.kind = *kind;
      if (file_.spec.limit_is_usual) file_.spec.limit_of_error_mm = usual_spec(*kind).limit_of_error_mm;
      return std::nullopt;
    }
    return length_setting(word, fields[1]);
  }

  std::optional<Failure> length_setting(const std::string& word, std::string_view field) {
    if (word != "resolution" && word != "limit" && word != "strip length" && word != "readings at" &&
        word != "block size")
      return bad_line(
          number_, "\"" + word + "\" does not belong in a caliper file.",
          "Known are fence end, far end, closed jaws, block, block size, strip length, readings at, "
          "resolution, limit, caliper, units and study.");
    const auto length = parse_positive_length(field, units_, "the " + word);
    if (!length) return bad_line(number_, length.failure().text, length.failure().remedy);
    if (word == "resolution") file_.spec.resolution_mm = *length;
    if (word == "strip length") file_.strip_length_mm = *length;
    if (word == "readings at") file_.readings_at_mm = *length;
    if (word == "block size") file_.readings.block_size_mm = *length;
    if (word == "limit") {
      file_.spec.limit_of_error_mm = *length;
      file_.spec.limit_is_usual = false;
    }
    return std::nullopt;
  }

  CaliperFile file_;
  Units units_;
  std::vector<std::string> seen_;
  int number_ = 0;
  std::size_t count_ = 0;
  bool first_ = true;
};

}  // namespace

Result<CaliperFile> parse_caliper_file(std::string_view text, Units units) {
  text = without_byte_order_mark(text);
  Reader reader(units);
  for (int number = 1; !text.empty(); ++number) {
    const auto end = text.find('\n');
    if (auto failure = reader.line(text.substr(0, end), number)) return *failure;
    if (end == std::string_view::npos) break;
    text.remove_prefix(end + 1);
  }
  CaliperFile file = reader.take();
  const auto placed = place_readings(file, kDefaultReadingsAtMm);
  if (!placed) return placed.failure();
  return file;
}

Result<std::vector<double>> parse_reading_list(std::string_view text, Units units) {
  std::vector<double> values;
  for (const std::string& field : split(text.substr(0, kLongestList))) {
    if (field.empty()) continue;
    const auto length = parse_length(field, units);
    if (!length) return length.failure();
    values.push_back(*length);
  }
  if (text.size() > kLongestList || values.size() > kMostReadings) return too_many_readings();
  if (values.empty())
    return Failure{"no-readings", "The list of readings is empty.",
                   "Write the readings with commas between them: .571,.570"};
  return values;
}

Result<bool> place_readings(CaliperFile& file, double default_at_mm) {
  if (!file.strip_length_mm) return false;
  const auto distance =
      distance_between_places(*file.strip_length_mm, file.readings_at_mm.value_or(default_at_mm));
  if (!distance) return distance.failure();
  file.readings.distance_mm = *distance;
  return true;
}

}  // namespace tapersight
