#include "page/standing.h"

#include <cmath>

#include "fence/describe.h"

namespace tapersight {
namespace {

std::string without_stop(std::string sentence) {
  if (!sentence.empty() && sentence.back() == '.') sentence.pop_back();
  return sentence;
}

// For want of a pivot's distance: the turn that takes the error away.
std::string turn_phrase(const MeasurementReport& report) {
  const FenceError& error = *report.fence;
  const double cut_mm = report.setup.cut_length_mm;
  return "Turn the fence " +
         std::string(error.sense() == Sense::kClockwise ? "counter-clockwise" : "clockwise") +
         ", seen from above, by " +
         fine_length_with_uncertainty(std::abs(error.theta) * cut_mm, error.U * cut_mm, report.units) +
         " over " + plain_length_text(cut_mm, report.units);
}

}  // namespace

const char* standing_name(Standing standing) {
  constexpr const char* kNames[] = {"square", "undecided", "bowed", "adjust", "not-measured"};
  return kNames[static_cast<int>(standing)];
}

// A try square; an interval across a limit; a bow over its chord; a bar turned away from its line; a sheet
// with a corner folded.
Markup standing_sign(Standing standing) {
  constexpr const char* kPaths[] = {
      "M6 3v18h15v-5h-10v-13z",
      "M12 2v20M4 12h16M4 8v8M20 8v8",
      "M3 17h18M3 15q9-10 18 0",
      "M2 20h20M3 17 20 6M15.500 5.500 20 6l-1.500 4.200",
      "M6 3h8l4 4v14h-12zM14 3v4h4M9.500 11l5 6M14.500 11l-5 6",
  };
  const Attributes look{{"viewBox", "0 0 24 24"},
                        {"class", std::string("sign sign-") + standing_name(standing)},
                        {"aria-hidden", "true"},
                        {"focusable", "false"}};
  return element("svg", look, element("path", {{"d", kPaths[static_cast<int>(standing)]}}));
}

std::string what_to_do(const MeasurementReport& report) {
  if (!report.measurement.ok()) return without_stop(report.measurement.failure().remedy);
  if (report.advice.adjustment) return move_phrase(*report.move, report.units);
  if (report.advice.is_square())
    return report.wishes.ring ? "Leave the fence as it is: the mitre is true"
                              : "Leave the fence as it is: it is square";
  if (report.advice.bowed) return "Leave the fence for now, check it with a straightedge, and cut again";
  if (!report.fence->sense_is_known())
    return "Leave the fence, and cut again: which way it is out is a guess";
  if (report.move) return "Leave the fence as it is: the move is finer than what you have at hand";
  return turn_phrase(report);
}

}  // namespace tapersight
