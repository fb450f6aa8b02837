// Sentences that the terminal's text and the page share.
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "report/measurement_report.h"

namespace tapersight {

// "300 dpi", "300.0 x 299.2 dpi", or that the file states none.
std::string dpi_text(const PictureFacts& picture);

// The picture, the sheet and the strip's edges. Only for a report whose measurement holds a value.
std::vector<std::string> measured_things(const MeasurementReport& report);

// "0.00085 +/- 0.00004 in per inch" or "0.850 +/- 0.040 mm/m", with its sign.
std::string taper_text(double taper, double U, Units units);

// Of the pictures of one strip, counted from 0, the report's own first: the file's name, and the taper that
// one shows by itself with its 95 % interval; a turned strip's as if it had lain the right way round.
const std::string& shown_in(const MeasurementReport& report, std::size_t picture);
std::string own_taper(const ShownTaper& shown, Units units);
// One sentence of all of them, so that the one that stands apart is seen.
std::string each_words(const MeasurementReport& report, const std::vector<ShownTaper>& pictures);

// "4 turns (5 cuts), the fence on ...": one sentence, in small letters at its beginning.
std::string setup_words(const SledSetup& setup, const std::optional<RingSetup>& ring);

// What the printed sheet takes, a little play left; for a caliper as long as a sled's board.
double longest_strip_mm(MeasuredFrom from);

std::vector<std::string> record_words(const RecordAdvice& record, Units units);

// Plain ASCII sentences with the signs that a drawn or printed text can have.
// What this strip alone shows, and how much the next one may differ.
std::vector<std::string> cutting_words(const FenceError& of_strip, const ShopAdvice& advice,
                                       const SledSetup& setup, Units units);

std::string typeset(std::string text);

}  // namespace tapersight
