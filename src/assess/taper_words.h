// What a picture shows, in the words that refusals and reports share.
#pragma once
#include <string>
#include <vector>

#include "assess/measurement_report.h"

namespace tapersight {

// "0.00085 +/- 0.00004 in per inch" or "0.850 +/- 0.040 mm/m", with its sign.
std::string taper_text(double taper, double U, Units units);

// Of the pictures of one strip, counted from 0, the report's own first: the file's name, and the taper that
// one shows by itself with its 95 % interval; a turned strip's as if it had lain the right way round.
const std::string& shown_in(const MeasurementReport& report, std::size_t picture);
std::string own_taper(const ShownTaper& shown, Units units);
// One sentence of all of them, so that the one that stands apart is seen.
std::string each_words(const MeasurementReport& report, const std::vector<ShownTaper>& pictures);

}  // namespace tapersight
