#include "base/units.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <utility>

#include "base/text.h"

namespace tapersight {
namespace {

constexpr double kLongest_mm = 100'000;

Failure bad_length(std::string_view text, const std::string& why, const std::string& remedy) {
  return {"bad-length", "\"" + std::string(text) + "\" is not a length: " + why + ".", remedy};
}

const char* const kLengthRemedy = "Write it like 7.5in, 7 1/2 in, 190.5mm, 5thou or .571.";

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

void replace_all(std::string& text, std::string_view from, std::string_view to) {
  for (auto at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size()))
    text.replace(at, from.size(), to);
}

// Typographic characters that a phone or a word processor puts in, as plain ASCII.
std::string plain_ascii(std::string_view text) {
  static constexpr std::array<std::pair<const char*, const char*>, 24> kPlain{
      {{"\u2033", "\""},   {"\u201d", "\""},   {"\u201c", "\""},   {"\u2032", "'"},    {"\u2019", "'"},
       {"\u2018", "'"},    {"\u2212", "-"},    {"\u2013", "-"},    {"\u2010", "-"},    {"\u2011", "-"},
       {"\u2044", "/"},    {"\u00a0", " "},    {"\u202f", " "},    {"\u2009", " "},    {"\u00b5", "u"},
       {"\u03bc", "u"},    {"\u00bd", " 1/2"}, {"\u00bc", " 1/4"}, {"\u00be", " 3/4"}, {"\u215b", " 1/8"},
       {"\u215c", " 3/8"}, {"\u215d", " 5/8"}, {"\u215e", " 7/8"}, {"''", "\""}}};
  std::string plain(text);
  for (const auto& [from, to] : kPlain)
    if (from != nullptr) replace_all(plain, from, to);
  return lower_case(trimmed(plain));
}

// Reads along one text; every take_ moves past what it took.
class Scanner {
 public:
  explicit Scanner(std::string_view text) : rest_(text) {}
  bool done() const { return rest_.empty(); }
  char peek() const { return rest_.empty() ? '\0' : rest_.front(); }
  std::string_view rest() const { return rest_; }
  void advance(std::size_t n) { rest_.remove_prefix(n); }
  void skip_spaces() { rest_.remove_prefix(std::min(rest_.find_first_not_of(" \t"), rest_.size())); }

  template <typename Predicate>
  std::string_view take_while(Predicate wanted) {
    std::size_t n = 0;
    while (n < rest_.size() && wanted(rest_[n])) ++n;
    const std::string_view taken = rest_.substr(0, n);
    rest_.remove_prefix(n);
    return taken;
  }

 private:
  std::string_view rest_;
};

struct Unit {
  const char* name;
  double mm;
};

std::optional<double> unit_mm(std::string_view name) {
  static constexpr Unit kUnits[] = {{"\"", kMmPerInch},
                                    {"in", kMmPerInch},
                                    {"in.", kMmPerInch},
                                    {"inch", kMmPerInch},
                                    {"inches", kMmPerInch},
                                    {"'", kMmPerFoot},
                                    {"ft", kMmPerFoot},
                                    {"ft.", kMmPerFoot},
                                    {"foot", kMmPerFoot},
                                    {"feet", kMmPerFoot},
                                    {"thou", kMmPerThou},
                                    {"thousandth", kMmPerThou},
                                    {"thousandths", kMmPerThou},
                                    {"mm", 1},
                                    {"millimetre", 1},
                                    {"millimetres", 1},
                                    {"millimeter", 1},
                                    {"millimeters", 1},
                                    {"cm", 10},
                                    {"centimetre", 10},
                                    {"centimetres", 10},
                                    {"centimeter", 10},
                                    {"centimeters", 10},
                                    {"m", 1000},
                                    {"metre", 1000},
                                    {"metres", 1000},
                                    {"meter", 1000},
                                    {"meters", 1000},
                                    {"um", 0.001},
                                    {"micron", 0.001},
                                    {"microns", 0.001},
                                    {"micrometre", 0.001},
                                    {"micrometres", 0.001},
                                    {"micrometer", 0.001},
                                    {"micrometers", 0.001}};
  for (const Unit& unit : kUnits)
    if (name == unit.name) return unit.mm;
  return std::nullopt;
}

// Parses one whole text; the members are the steps of the grammar.
class LengthParser {
 public:
  LengthParser(std::string_view text, Units bare_number)
      : typed_(text), plain_(plain_ascii(text)), scan_(plain_), bare_(bare_number) {}

  Result<double> parse() {
    if (scan_.done()) return bad_length(typed_, "nothing was written", kLengthRemedy);
    double sign = 1;
    if (scan_.peek() == '-' || scan_.peek() == '+') {
      sign = scan_.peek() == '-' ? -1 : 1;
      scan_.advance(1);
      scan_.skip_spaces();
    }
    Result<double> total = parse_sum();
    if (!total) return total;
    if (!(*total <= kLongest_mm))
      return Failure{"length-out-of-range", "\"" + std::string(typed_) + "\" is longer than 100 m.",
                     "Check the number and its unit."};
    return sign * *total;
  }

 private:
  // One number with its unit, or feet followed by inches.
  Result<double> parse_sum() {
    const Result<double> first = parse_number_part();
    if (!first) return first.failure();
    const Result<double> unit = parse_unit(bare_ == Units::kInch ? kMmPerInch : 1);
    if (!unit) return unit.failure();
    double total_mm = *first * *unit;
    scan_.skip_spaces();
    if (scan_.done()) return total_mm;
    if (*unit != kMmPerFoot) return bad_length(typed_, "there is something after its unit", kLengthRemedy);
    if (scan_.peek() == '-') scan_.advance(1);  // 3'-6"
    const Result<double> inches = parse_number_part();
    if (!inches) return inches.failure();
    const Result<double> inch_unit = parse_unit(kMmPerInch);
    if (!inch_unit) return inch_unit.failure();
    scan_.skip_spaces();
    if (*inch_unit != kMmPerInch || !scan_.done() || *inches >= 12)
      return bad_length(typed_, "feet are followed by less than twelve inches and nothing else",
                        kLengthRemedy);
    return total_mm + *inches * kMmPerInch;
  }

  // 7  7.5  .571  190,5  1/2  7 1/2  7-1/2
  Result<double> parse_number_part() {
    scan_.skip_spaces();
    const std::string_view first =
        scan_.take_while([](char c) { return is_digit(c) || c == '.' || c == ','; });
    if (first.empty()) return bad_length(typed_, "a number was expected", kLengthRemedy);
    if (scan_.peek() == '/') return parse_fraction(first);
    const Result<double> whole = parse_decimal(first);
    if (!whole) return whole.failure();
    const std::string_view numerator = take_mixed_numerator();
    if (numerator.empty()) return *whole;
    if (!is_whole(first)) return bad_length(typed_, "a fraction follows whole numbers only", kLengthRemedy);
    const Result<double> fraction = parse_fraction(numerator);
    if (!fraction) return fraction.failure();
    if (*fraction >= 1) return bad_length(typed_, "its fraction is one or more", kLengthRemedy);
    return *whole + *fraction;
  }

  // The numerator of "7 1/2" or "7-1/2" when one follows, else nothing is taken.
  std::string_view take_mixed_numerator() {
    Scanner ahead = scan_;
    if (ahead.peek() == '-')
      ahead.advance(1);
    else if (ahead.peek() == ' ' || ahead.peek() == '\t')
      ahead.skip_spaces();
    else
      return {};
    const std::string_view numerator = ahead.take_while(is_digit);
    if (numerator.empty() || ahead.peek() != '/') return {};
    scan_ = ahead;
    return numerator;
  }

  Result<double> parse_fraction(std::string_view numerator) {
    scan_.advance(1);  // the bar
    const std::string_view denominator = scan_.take_while(is_digit);
    if (!is_whole(numerator) || denominator.empty() || scan_.peek() == '.' || scan_.peek() == ',' ||
        scan_.peek() == '/')
      return bad_length(typed_, "a fraction has one whole number above and one below", kLengthRemedy);
    const auto above = parse_number(numerator);
    const auto below = parse_number(denominator);
    if (!above || !below || *below == 0)
      return bad_length(typed_, "its fraction divides by zero", kLengthRemedy);
    return *above / *below;
  }

  Result<double> parse_decimal(std::string_view digits) {
    std::string number(digits);
    const auto comma = number.find(',');
    if (comma != std::string::npos) {
      const std::size_t behind = number.size() - comma - 1;
      const bool could_group = behind == 3 && comma > 0 && number.substr(0, comma) != "0";
      if (number.find(',', comma + 1) != std::string::npos || number.find('.') != std::string::npos ||
          behind == 0 || could_group)
        return bad_length(typed_, "its comma may stand for a decimal point or for thousands",
                          "Write the number with a decimal point and without thousands separators.");
      number[comma] = '.';
    }
    const auto value = parse_number(number);
    if (!value) return bad_length(typed_, "a number was expected", kLengthRemedy);
    return *value;
  }

  Result<double> parse_unit(double bare_mm) {
    scan_.skip_spaces();
    if (scan_.done()) return bare_mm;
    if (scan_.peek() == '"' || scan_.peek() == '\'') {
      const double mm = scan_.peek() == '"' ? kMmPerInch : kMmPerFoot;
      scan_.advance(1);
      return mm;
    }
    if (is_digit(scan_.peek())) return bare_mm;
    const std::string_view name =
        scan_.take_while([](char c) { return !is_digit(c) && c != ' ' && c != '\t' && c != '-'; });
    if (name == "mil" || name == "mils")
      return bad_length(typed_, "\"mil\" means a thousandth of an inch to some and a millimetre to others",
                        "Write thou or mm.");
    const auto mm = unit_mm(name);
    if (!mm)
      return bad_length(typed_, "\"" + std::string(name) + "\" is not a unit of length", kLengthRemedy);
    return *mm;
  }

  static bool is_whole(std::string_view digits) {
    return !digits.empty() && std::all_of(digits.begin(), digits.end(), is_digit);
  }

  std::string_view typed_;
  std::string plain_;
  Scanner scan_;
  Units bare_;
};

double in_units(double mm, Units units) {
  return units == Units::kInch ? mm / kMmPerInch : mm;
}

}  // namespace

Result<Units> parse_units(std::string_view text) {
  const std::string name = lower_case(trimmed(text));
  if (name == "in") return Units::kInch;
  if (name == "mm") return Units::kMillimetre;
  return Failure{"bad-units", "\"" + std::string(text) + "\" is not one of the units.", "Write in or mm."};
}

std::string_view units_name(Units units) {
  return units == Units::kInch ? "in" : "mm";
}

Result<double> parse_length(std::string_view text, Units bare_number) {
  return LengthParser(text, bare_number).parse();
}

Result<double> parse_positive_length(std::string_view text, Units bare_number, std::string_view what) {
  Result<double> length = parse_length(text, bare_number);
  if (length && !(*length > 0))
    return Failure{"length-not-positive",
                   "\"" + std::string(text) + "\" cannot be " + std::string(what) + ": it is not above zero.",
                   "Give " + std::string(what) + " as a length above zero."};
  return length;
}

std::string with_uncertainty(double value, double U, std::string_view unit, int max_decimals) {
  const int decimals = decimals_for(U, max_decimals);
  std::string text = fixed(value, decimals);
  // Never "+/- 0.0000": an uncertainty below the last place is shown as one in the last place.
  if (U > 0 && std::isfinite(U)) text += " +/- " + fixed(std::max(U, std::pow(10.0, -decimals)), decimals);
  return text + " " + std::string(unit);
}

std::string length_text(double mm, Units units, int decimals_in, int decimals_mm) {
  return fixed(in_units(mm, units), units == Units::kInch ? decimals_in : decimals_mm) + " " +
         std::string(units_name(units));
}

std::string length_text(double mm, Units units) {
  return length_text(mm, units, 3, 2);
}

std::string plain_length_text(double mm, Units units) {
  std::string number = fixed(in_units(mm, units), units == Units::kInch ? 4 : 3);
  number.erase(number.find_last_not_of('0') + 1);
  if (number.back() == '.') number.pop_back();
  return number + " " + std::string(units_name(units));
}

std::string length_with_uncertainty(double mm, double U_mm, Units units) {
  return with_uncertainty(in_units(mm, units), in_units(U_mm, units), units_name(units),
                          units == Units::kInch ? 5 : 4);
}

std::string fine_length_with_uncertainty(double mm, double U_mm, Units units) {
  return with_uncertainty(mm / fine_unit_mm(units), U_mm / fine_unit_mm(units), fine_unit_name(units),
                          fine_decimals(units));
}

std::string fine_length_text(double mm, double U_mm, Units units) {
  return fixed(mm / fine_unit_mm(units), decimals_for(U_mm / fine_unit_mm(units), fine_decimals(units))) +
         " " + std::string(fine_unit_name(units));
}

int fine_decimals(Units units) {
  return units == Units::kInch ? 2 : 4;
}

double fine_unit_mm(Units units) {
  return units == Units::kInch ? kMmPerThou : 1;
}

std::string_view fine_unit_name(Units units) {
  return units == Units::kInch ? "thou" : "mm";
}

std::string degrees_with_uncertainty(double rad, double U_rad) {
  return with_uncertainty(rad * kDegreesPerRadian, U_rad * kDegreesPerRadian, "deg", 5);
}

std::string mm_per_m_with_uncertainty(double rad, double U_rad) {
  return with_uncertainty(rad * 1000, U_rad * 1000, "mm/m", 4);
}

std::string per_inch_with_uncertainty(double rad, double U_rad) {
  return with_uncertainty(rad, U_rad, "in per inch", 7);
}

}  // namespace tapersight
