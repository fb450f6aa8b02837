#include "fence/tolerance.h"

#include <cmath>

#include "base/text.h"

namespace tapersight {
namespace {

constexpr int kMostStrips = 20;  // more than anyone will cut for one answer

Failure bad_tolerance(std::string_view text, const std::string& why) {
  return {"bad-tolerance", "\"" + std::string(text) + "\" is not a tolerance: " + why + ".",
          "Write it like 2thou/12in, 0.1mm/m or 0.01deg."};
}

// A length that says its unit: a bare number would read differently in inches and in millimetres.
std::optional<double> length_with_unit(std::string_view text) {
  const auto as_in = parse_length(text, Units::kInch);
  const auto as_mm = parse_length(text, Units::kMillimetre);
  if (!as_in || !as_mm || *as_in != *as_mm) return std::nullopt;
  return *as_in;
}

std::optional<double> angle_of_ratio(std::string_view above, std::string_view below) {
  const auto rise = length_with_unit(above);
  auto run = length_with_unit(below);
  if (!run) run = length_with_unit("1 " + std::string(trimmed(below)));  // "mm/m"
  if (!rise || !run || !(*run > 0)) return std::nullopt;
  return *rise / *run;
}

std::optional<double> angle_in_degrees(std::string_view text) {
  for (const std::string_view unit : {"degrees", "degree", "deg", "\u00b0"})
    if (text.size() > unit.size() && text.substr(text.size() - unit.size()) == unit)
      if (const auto degrees = parse_number(text.substr(0, text.size() - unit.size())))
        return *degrees / kDegreesPerRadian;
  return std::nullopt;
}

// The bar between the two lengths may be one of several, the others being fractions.
std::optional<double> angle_of(const std::string& text) {
  if (const auto degrees = angle_in_degrees(text)) return degrees;
  for (const std::string_view bar : {"/", " per ", " over ", " in "})
    for (auto at = text.find(bar); at != std::string::npos; at = text.find(bar, at + 1))
      if (const auto angle = angle_of_ratio(std::string_view(text).substr(0, at),
                                            std::string_view(text).substr(at + bar.size())))
        return angle;
  return std::nullopt;
}

WhatWouldSettle what_would_settle(const FenceError& error, double tolerance,
                                  const PresentMeasurement& present) {
  WhatWouldSettle settled;
  settled.needed_U = std::fabs(tolerance - std::fabs(error.theta));
  settled.can_be_settled = settled.needed_U > 0 && error.U > 0;
  if (!settled.can_be_settled) return settled;
  const double ratio = error.U / settled.needed_U;  // >= 1, or the verdict would not be open
  const double power = present.from == MeasuredFrom::kPicture ? 2.0 / 3 : 1;
  if (present.strip_length_mm) settled.strip_length_mm = *present.strip_length_mm * std::pow(ratio, power);
  const double strips = present.strips * ratio * ratio;
  settled.strips = strips < kManyStrips ? static_cast<int>(std::ceil(strips - 1e-9)) : kManyStrips;
  return settled;
}

// Rounded up to what a rule shows, so that the advice is not a hair short.
double advised_length_mm(double mm, Units units) {
  const double step = units == Units::kInch ? kMmPerInch / 2 : 10;
  return std::ceil(mm / step - 1e-9) * step;
}

}  // namespace

Result<Tolerance> parse_tolerance(std::string_view text) {
  const std::string plain = lower_case(trimmed(text));
  if (plain.empty()) return bad_tolerance(text, "nothing was written");
  const auto angle = angle_of(plain);
  if (!angle) return bad_tolerance(text, "it needs a length over a length, both with units, or degrees");
  if (!(*angle > 0)) return bad_tolerance(text, "it must be above zero");
  if (*angle > kMaxTaper) return bad_tolerance(text, "it is several degrees");
  return Tolerance{*angle, std::string(trimmed(text))};
}

Tolerance usual_tolerance(Units units) {
  return {2 * kMmPerThou / kMmPerFoot, units == Units::kInch ? "2thou/12in" : "0.05mm/300mm", true};
}

std::string_view verdict_name(Verdict verdict) {
  switch (verdict) {
    case Verdict::kSquare:
      return "square";
    case Verdict::kNotSquare:
      return "not square";
    case Verdict::kCannotBeTold:
      break;
  }
  return "cannot be told";
}

SquarenessDecision decide(const FenceError& error, const Tolerance& tolerance,
                          const PresentMeasurement& present) {
  SquarenessDecision decision;
  decision.tolerance = tolerance.angle;
  const double size = std::fabs(error.theta);
  if (size + error.U <= tolerance.angle) decision.verdict = Verdict::kSquare;
  if (size - error.U > tolerance.angle) decision.verdict = Verdict::kNotSquare;
  if (decision.verdict == Verdict::kCannotBeTold)
    decision.settled = what_would_settle(error, tolerance.angle, present);
  return decision;
}

std::string allowed_text(const Tolerance& tolerance, double cut_length_mm, Units units) {
  std::string number =
      fixed(tolerance.angle * cut_length_mm / fine_unit_mm(units), units == Units::kInch ? 2 : 3);
  number.erase(number.find_last_not_of('0') + 1);
  if (number.back() == '.') number.pop_back();
  return number + " " + std::string(fine_unit_name(units));
}

std::string settling_words(const SquarenessDecision& decision, double longest_strip_mm, Units units,
                           MeasuredFrom from) {
  const WhatWouldSettle settled = decision.settled.value_or(WhatWouldSettle{});
  if (!settled.can_be_settled || settled.strips > kMostStrips) return {};
  const bool ring = from == MeasuredFrom::kRing;
  const std::string several = "cut " + std::to_string(settled.strips) + (ring ? " rings" : " strips") +
                              ", each anew, and take the mean";
  const double length_mm = advised_length_mm(settled.strip_length_mm.value_or(longest_strip_mm + 1), units);
  if (length_mm <= longest_strip_mm)
    return "cut a strip of " + plain_length_text(length_mm, units) + " or more and measure it, or " +
           several + ".";
  return several + ".";
}

std::vector<std::string> describe_decision(const SquarenessDecision& decision, const Tolerance& tolerance,
                                           double longest_strip_mm, Units units, MeasuredFrom from) {
  const bool ring = from == MeasuredFrom::kRing;
  const std::string square = ring ? "true" : "square";
  const std::string limit =
      tolerance.text + (tolerance.usual ? " (a usual figure; --tolerance sets your own)" : "");
  if (decision.verdict == Verdict::kSquare)
    return {std::string(ring ? "True" : "Square") + ": the error and its uncertainty lie within " + limit +
            "."};
  if (decision.verdict == Verdict::kNotSquare)
    return {"Not " + square + ": the error is beyond " + limit + " by more than its uncertainty."};
  std::vector<std::string> lines{"Too close to call: the uncertainty reaches across the limit of " + limit +
                                 "."};
  const std::string settling = settling_words(decision, longest_strip_mm, units, from);
  if (settling.empty()) {
    lines.emplace_back("The error lies so near the limit that no test would settle it. Adjust the fence.");
    return lines;
  }
  const double needed = decision.settled->needed_U;
  lines.push_back("To settle it, " + settling);
  lines.push_back("That would bring the uncertainty down to " +
                  (units == Units::kInch ? fixed(needed * kMmPerFoot / kMmPerThou, 2) + " thou over 12 in"
                                         : fixed(needed * 1000, 3) + " mm/m") +
                  ".");
  if (from == MeasuredFrom::kPicture)
    lines.emplace_back(
        "More pictures of this strip do not help against its rough edges. One with the strip turned end for "
        "end "
        "takes out what the scanner adds.");
  if (from == MeasuredFrom::kCaliper)
    lines.emplace_back(
        "A scan of the strip on the printed sheet (tapersight measure) tells more than two readings.");
  return lines;
}

}  // namespace tapersight
