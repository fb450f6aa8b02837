// Sentences that the terminal's text and the page share.
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "assess/measurement_report.h"
#include "assess/taper_words.h"

namespace tapersight {

// "300 dpi", "300.0 x 299.2 dpi", or that the file states none.
std::string dpi_text(const PictureFacts& picture);

// The picture, the sheet and the strip's edges. Only for a report whose measurement holds a value.
std::vector<std::string> measured_things(const MeasurementReport& report);

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
