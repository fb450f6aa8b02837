// Lengths and angles as people in a shop write and read them. Inside the program: millimetres and radians.
#pragma once
#include <string>
#include <string_view>

#include "base/result.h"

namespace tapersight {

inline constexpr double kMmPerInch = 25.4;
inline constexpr double kMmPerThou = 0.0254;
inline constexpr double kMmPerFoot = 304.8;
inline constexpr double kPi = 3.14159265358979323846;
inline constexpr double kDegreesPerRadian = 180 / kPi;

// The units in force: what a bare number means, and what a person reads.
enum class Units { kInch, kMillimetre };

// "in" or "mm". Failure: bad-units.
Result<Units> parse_units(std::string_view text);
std::string_view units_name(Units units);  // "in", "mm"

// A length in mm from what people write: 7.5in  7 1/2 in  7-1/2"  190.5mm  19 cm  .571  5thou  3'  3' 6 1/2"
// A bare number is in the units in force. Inch and foot marks may be straight or typographic, fractions may
// be single characters. A decimal comma is accepted when it cannot be a thousands separator: 190,5 mm but not
// 1,905 mm. A sign is accepted; whoever needs a positive length uses parse_positive_length.
// Failures: bad-length (with what to write instead), length-out-of-range (beyond 100 m).
Result<double> parse_length(std::string_view text, Units bare_number);

// The same for a length that must be above zero; `what` names it in the sentence ("the pivot distance").
// Failures: those of parse_length, length-not-positive.
Result<double> parse_positive_length(std::string_view text, Units bare_number, std::string_view what);

// "0.0975 +/- 0.0021 in": JCGM 100:2008, 7.2.6 rounding (see decimals_for). An uncertainty that is zero or
// not finite is left out and the value gets `max_decimals` decimals.
std::string with_uncertainty(double value, double U, std::string_view unit, int max_decimals);

// "7.500 in" or "190.50 mm".
std::string length_text(double mm, Units units, int decimals_in, int decimals_mm);
std::string length_text(double mm, Units units);  // to a thousandth of an inch, or a hundredth of a mm
// A length that was typed in: no more decimals than it needs ("45 in", "7.5 in", "1143 mm").
std::string plain_length_text(double mm, Units units);
// A small length with its expanded uncertainty: "0.0975 +/- 0.0021 in" or "2.477 +/- 0.053 mm".
std::string length_with_uncertainty(double mm, double U_mm, Units units);
// The same counted as a shop counts it: "97.5 +/- 2.1 thou" or "2.477 +/- 0.053 mm".
std::string fine_length_with_uncertainty(double mm, double U_mm, Units units);

// The unit in which small lengths are counted: a thousandth of an inch, or a millimetre.
double fine_unit_mm(Units units);
std::string_view fine_unit_name(Units units);  // "thou", "mm"
int fine_decimals(Units units);                // at most shown of it: 2, or 4

// "97.5 thou" or "2.477 mm": rounded as its expanded uncertainty deserves, which is not shown.
std::string fine_length_text(double mm, double U_mm, Units units);

// A small angle with its expanded uncertainty, as degrees, as mm per metre, or as inches per inch.
std::string degrees_with_uncertainty(double rad, double U_rad);
std::string mm_per_m_with_uncertainty(double rad, double U_rad);
std::string per_inch_with_uncertainty(double rad, double U_rad);

}  // namespace tapersight
