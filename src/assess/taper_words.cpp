#include "assess/taper_words.h"

namespace tapersight {

const std::string& shown_in(const MeasurementReport& report, std::size_t picture) {
  return picture == 0 ? report.picture.file : report.further.at(picture - 1).file;
}

std::string own_taper(const ShownTaper& shown, Units units) {
  const double sign = shown.reversed ? -1 : 1;
  return taper_text(sign * shown.taper, t_factor(kCoverage, shown.dof) * shown.u, units) +
         (shown.reversed ? ", turned end for end" : "");
}

std::string each_words(const MeasurementReport& report, const std::vector<ShownTaper>& pictures) {
  std::string words = "By itself each shows a taper of";
  for (std::size_t i = 0; i < pictures.size(); ++i)
    words += (i == 0 ? ": " : "; ") + shown_in(report, i) + ", " + own_taper(pictures[i], report.units);
  return words + ".";
}

std::string taper_text(double taper, double U, Units units) {
  return units == Units::kInch ? per_inch_with_uncertainty(taper, U) : mm_per_m_with_uncertainty(taper, U);
}

}  // namespace tapersight
