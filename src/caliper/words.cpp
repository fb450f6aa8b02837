#include "caliper/words.h"

#include <cmath>

#include "base/text.h"
#include "caliper/judge.h"

namespace tapersight::words {

std::string fine(double mm, Units units) {
  const double value = mm / fine_unit_mm(units);
  return fixed(value, decimals_for(std::abs(value), fine_decimals(units))) + " " +
         std::string(fine_unit_name(units));
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
