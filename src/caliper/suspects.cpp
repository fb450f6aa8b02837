#include "caliper/suspects.h"

#include <algorithm>
#include <cmath>

#include "base/units.h"
#include "numeric/descriptive.h"
#include "numeric/outliers.h"

namespace tapersight {
namespace {

struct Slip {
  std::string cause;
  double meant_mm = 0;
  bool telling = true;  // false: it would explain almost any odd reading
};

// A reading as the digits that somebody may have mixed up.
struct Digits {
  double unit_mm = 0;  // value of the last digit
  std::string text;
};

std::optional<Digits> digits_of(double value_mm, double unit_mm) {
  const double count = value_mm / unit_mm;
  if (count < 0 || count > 1e9 || std::abs(count - std::round(count)) > 0.01) return std::nullopt;
  return Digits{unit_mm, std::to_string(static_cast<long long>(std::llround(count)))};
}

// As an inch caliper shows it, without zeros behind that nobody typed, and as a metric one does.
std::vector<Digits> writings_of(double value_mm) {
  std::vector<Digits> writings;
  for (const double unit_mm : {kMmPerInch / 1000, kMmPerInch / 10000}) {
    const auto digits = digits_of(value_mm, unit_mm);
    if (!digits) continue;
    writings.push_back(*digits);
    break;
  }
  if (const auto digits = digits_of(value_mm, 0.01)) writings.push_back(*digits);
  return writings;
}

double value_of(const Digits& digits) {
  return static_cast<double>(std::stoll(digits.text)) * digits.unit_mm;
}

std::optional<Slip> swapped_digits(const Digits& digits, double others_mm, double near_mm) {
  for (std::size_t i = 0; i + 1 < digits.text.size(); ++i) {
    Digits other = digits;
    std::swap(other.text[i], other.text[i + 1]);
    if (other.text != digits.text && std::abs(value_of(other) - others_mm) <= near_mm)
      return Slip{"two digits look swapped", value_of(other)};
  }
  return std::nullopt;
}

std::optional<Slip> wrong_digit(const Digits& digits, double others_mm, double near_mm) {
  for (std::size_t i = 0; i < digits.text.size(); ++i)
    for (char digit = '0'; digit <= '9'; ++digit) {
      Digits other = digits;
      other.text[i] = digit;
      if (std::abs(value_of(other) - others_mm) <= near_mm)
        return Slip{"one digit looks misread or mistyped", value_of(other), false};
    }
  return std::nullopt;
}

// `near_mm`: how near to the other readings a repaired one must come to count as explained.
std::optional<Slip> slip_of(double value_mm, double others_mm, double other_end_mm, double near_mm) {
  const auto fits = [&](double meant_mm) { return std::abs(meant_mm - others_mm) <= near_mm; };
  if (fits(value_mm / kMmPerInch)) return Slip{"millimetres among inches", value_mm / kMmPerInch};
  if (fits(value_mm * kMmPerInch)) return Slip{"inches among millimetres", value_mm * kMmPerInch};
  for (const double factor : {10.0, 0.1, 100.0, 0.01, 1000.0, 0.001})
    if (fits(value_mm * factor)) return Slip{"the decimal point has slipped", value_mm * factor};
  if (fits(-value_mm)) return Slip{"the sign is wrong", -value_mm};
  for (const Digits& digits : writings_of(value_mm))
    if (auto slip = swapped_digits(digits, others_mm, near_mm)) return slip;
  if (std::abs(value_mm - other_end_mm) <= near_mm) return Slip{"it belongs to the other end", value_mm};
  for (const Digits& digits : writings_of(value_mm))
    if (auto slip = wrong_digit(digits, others_mm, near_mm)) return slip;
  return std::nullopt;
}

ReadingPlace partner_of(ReadingPlace place) {
  switch (place) {
    case ReadingPlace::kFenceEnd:
      return ReadingPlace::kFarEnd;
    case ReadingPlace::kFarEnd:
      return ReadingPlace::kFenceEnd;
    case ReadingPlace::kClosedJaws:
      return ReadingPlace::kBlock;
    case ReadingPlace::kBlock:
      break;
  }
  return ReadingPlace::kClosedJaws;
}

// Half the distance to the suspect is too generous for a repaired reading; the spread of those kept is what
// counts.
double nearness(const std::vector<double>& kept, double resolution_mm) {
  const auto [low, high] = std::minmax_element(kept.begin(), kept.end());
  return std::max(2 * (*high - *low), 3 * resolution_mm);
}

// Both lists of the pair without the outliers.
void remove_readings(const std::vector<SuspectReading>& suspects, CaliperReadings& kept) {
  // From the last to the first, so that the numbers still hold while readings go.
  auto order = suspects;
  std::sort(order.begin(), order.end(), [](const auto& a, const auto& b) { return a.number > b.number; });
  for (const SuspectReading& suspect : order) {
    auto& values = kept.at(suspect.place);
    values.erase(values.begin() + static_cast<std::ptrdiff_t>(suspect.number - 1));
  }
}

std::vector<SuspectReading> accused(const CaliperReadings& readings, ReadingPlace first, double resolution_mm,
                                    double level) {
  const ReadingPlace places[] = {first, partner_of(first)};
  OutlierOptions options;
  options.level = level;
  options.floor_sd = resolution_mm / 2;
  const OutlierResult found = find_outliers({readings.at(places[0]), readings.at(places[1])}, options);
  std::vector<SuspectReading> suspects;
  for (std::size_t i = 0; i < found.outliers; ++i) {
    const OutlierStep& step = found.steps[i];
    SuspectReading suspect;
    suspect.place = places[step.group];
    suspect.number = step.index + 1;
    suspect.value_mm = readings.at(suspect.place)[step.index];
    suspect.p = step.p;
    suspects.push_back(suspect);
  }
  return suspects;
}

void explain(const CaliperReadings& kept, double resolution_mm, SuspectReading& suspect) {
  const auto& others = kept.at(suspect.place);
  const auto& partner = kept.at(partner_of(suspect.place));
  suspect.others_mm = median(others);
  const double elsewhere_mm = partner.empty() ? suspect.others_mm : median(partner);
  const auto slip =
      slip_of(suspect.value_mm, suspect.others_mm, elsewhere_mm, nearness(others, resolution_mm));
  if (!slip) return;
  suspect.cause = slip->cause;
  suspect.meant_mm = slip->meant_mm;
  suspect.explained = slip->telling;
}

void screen_pair(const CaliperReadings& readings, ReadingPlace first, double resolution_mm, double level,
                 Screening& out) {
  std::vector<SuspectReading> suspects = accused(readings, first, resolution_mm, level);
  CaliperReadings without = readings;
  remove_readings(suspects, without);
  for (SuspectReading& suspect : suspects) explain(without, resolution_mm, suspect);
  const auto unexplained =
      std::count_if(suspects.begin(), suspects.end(), [](const auto& suspect) { return !suspect.explained; });
  const std::size_t readings_in_all = readings.at(first).size() + readings.at(partner_of(first)).size();
  if (static_cast<std::size_t>(unexplained) > std::max<std::size_t>(1, readings_in_all / 5))
    suspects.erase(
        std::remove_if(suspects.begin(), suspects.end(), [](const auto& s) { return !s.explained; }),
        suspects.end());
  remove_readings(suspects, out.kept);
  out.suspects.insert(out.suspects.end(), suspects.begin(), suspects.end());
}

}  // namespace

Screening screen_readings(const CaliperReadings& readings, double resolution_mm, double level) {
  Screening result;
  result.kept = readings;
  screen_pair(readings, ReadingPlace::kFenceEnd, resolution_mm, level, result);
  screen_pair(readings, ReadingPlace::kClosedJaws, resolution_mm, level, result);
  std::sort(result.suspects.begin(), result.suspects.end(), [](const auto& a, const auto& b) {
    return a.place != b.place ? a.place < b.place : a.number < b.number;
  });
  return result;
}

}  // namespace tapersight
