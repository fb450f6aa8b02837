#include "caliper/words.h"

#include <cmath>

#include "base/text.h"
#include "caliper/judge.h"

namespace tapersight::words {

std::string fine(double mm, Units units) {
  const double value = units == Units::kInch ? mm / kMmPerThou : mm * 1000;
  const int decimals = decimals_for(std::abs(value), units == Units::kInch ? 2 : 1);
  return fixed(value, decimals) + (units == Units::kInch ? " thou" : " um");
}

std::string fine_pm(double mm, double U_mm, Units units) {
  return fine_length_with_uncertainty(mm, U_mm, units);
}

std::string width(double mm, Units units) {
  return length_text(mm, units, 4, 2);
}

std::string column(std::string_view text, std::size_t size) {
  std::string cell(text);
  cell.append(cell.size() < size ? size - cell.size() : 1, ' ');
  return cell;
}

std::string strip_length(double mm, Units units) {
  const double step = units == Units::kInch ? kMmPerInch / 2 : 5;
  return plain_length_text(std::ceil(mm / step - 1e-9) * step, units);
}

double distance_mm(const CaliperJudgement& judgement) {
  return judgement.screening.kept.distance_mm;
}

}  // namespace tapersight::words
