#include "fence/tolerance.h"

#include <cmath>

#include "base/text.h"
#include "numeric/distributions.h"

namespace tapersight {
namespace {

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

// P(T <= t) of Student's t.
double cumulative(double t, double dof) {
  const double tail = t_two_sided_p(t, dof) / 2;
  return t > 0 ? 1 - tail : tail;
}

// Of one more look at the fence: how often it would settle the decision. `own`: u of the present mean without
// what is shared; `own_after`: then.
double chance_of_settling(const FenceError& error, double tolerance, const PresentMeasurement& present,
                          double own, double own_after, double dof_after) {
  const double U = t_factor(kCoverage, dof_after) * std::hypot(own_after, present.u_shared);
  const double moves_by = std::sqrt(std::fmax(own * own - own_after * own_after, 0));
  if (!(moves_by > 0)) return 0;
  const double size = std::fabs(error.theta);
  const auto below = [&](double limit) { return cumulative((limit - size) / moves_by, present.dof_own); };
  const double inside = tolerance - U, outside = tolerance + U;
  const double square = inside > 0 ? below(inside) - below(-inside) : 0;
  return square + 1 - below(outside) + below(-outside);
}

WhatWouldSettle what_would_settle(const FenceError& error, double tolerance,
                                  const PresentMeasurement& present) {
  WhatWouldSettle settled;
  settled.needed_U = std::fabs(tolerance - std::fabs(error.theta));
  if (!(present.u_own > 0)) return settled;
  const double own = present.u_own / std::sqrt(present.strips);
  for (int more = 1; more <= kMostStrips; ++more) {
    const double after = present.u_own / std::sqrt(present.strips + more);
    settled.chance = chance_of_settling(error, tolerance, present, own, after, present.dof_own + more);
    if (settled.chance < kPlannedChance) continue;
    settled.more_strips = more;
    break;
  }
  const double power = present.from == MeasuredFrom::kPicture ? present.length_power : 1;
  const double kept =
      std::sqrt(std::fmax(present.u_own * present.u_own - present.u_length * present.u_length, 0));
  for (double longer = 1.05; present.strip_length_mm && longer < 4; longer *= 1.05) {
    const double next = std::hypot(kept, present.u_length * std::pow(longer, -power));
    const double after = 1 / std::hypot(1 / own, 1 / next);
    if (chance_of_settling(error, tolerance, present, own, after, present.dof_own + 1) < kPlannedChance)
      continue;
    settled.strip_length_mm = *present.strip_length_mm * longer;
    break;
  }
  settled.can_be_settled = settled.more_strips > 0 || settled.strip_length_mm.has_value();
  // Is what cannot be averaged away the larger part of what would be left?
  if (settled.more_strips == 0 && present.u_shared > present.u_own / std::sqrt(present.strips + kMostStrips))
    settled.stays = present.shared;
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

namespace {

std::string chance_words(double chance) {
  const int tenths = static_cast<int>(std::floor(10 * chance + 1e-9));
  if (tenths == 0) return "less than once in 10 times";
  return tenths == 1 ? "once in 10 times" : std::to_string(tenths) + " times in 10";
}

}  // namespace

std::string settling_words(const SquarenessDecision& decision, double longest_strip_mm, Units units,
                           MeasuredFrom from) {
  const WhatWouldSettle settled = decision.settled.value_or(WhatWouldSettle{});
  if (!settled.can_be_settled) return {};
  const std::string kind = from == MeasuredFrom::kRing ? "ring" : "strip";
  const std::string chance = " (settles it " + chance_words(kPlannedChance) + ")";
  if (settled.more_strips == 1) return "cut one more " + kind + " and take the mean" + chance;
  const double length_mm = advised_length_mm(settled.strip_length_mm.value_or(longest_strip_mm + 1), units);
  if (length_mm <= longest_strip_mm)
    return "cut one more strip, " + plain_length_text(length_mm, units) +
           " long or longer, and take the mean" + chance;
  if (settled.more_strips == 0) return {};
  return "cut " + std::to_string(settled.more_strips) + " more " + kind + "s and take the mean" + chance;
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
    const WhatWouldSettle settled = decision.settled.value_or(WhatWouldSettle{});
    if (!settled.stays.empty())
      lines.push_back("More " + std::string(ring ? "rings" : "strips") +
                      " would not settle it. What they share is too large: " + settled.stays + ".");
    else
      lines.push_back("The error lies so near the limit that even " + std::to_string(kMostStrips) + " more " +
                      (ring ? "rings" : "strips") + " would settle it " + chance_words(settled.chance) +
                      ". Adjust the fence.");
    return lines;
  }
  lines.push_back("To settle it, " + settling + ". Cut each anew.");
  if (!ring) lines.emplace_back("The mean is taken for you when you keep a record (--record or --sled).");
  if (from == MeasuredFrom::kPicture)
    lines.emplace_back(
        "More pictures of this strip do not help against its rough edges. One with the strip turned end for "
        "end "
        "takes out what the scanner adds.");
  if (from == MeasuredFrom::kCaliper)
    lines.emplace_back(
        "A scan of the strip on the printed sheet (tapersight measure) shows more than two caliper "
        "readings.");
  return lines;
}

}  // namespace tapersight
