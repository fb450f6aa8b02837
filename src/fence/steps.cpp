#include "fence/steps.h"

#include <cmath>

#include "base/text.h"
#include "fence/describe.h"

namespace tapersight {
namespace {

using Lines = std::vector<std::string>;

void add(Lines& lines, const Lines& more) {
  lines.insert(lines.end(), more.begin(), more.end());
}

// Several sentences as one step.
std::string together(const Lines& lines) {
  std::string text;
  for (const std::string& line : lines) text += (text.empty() ? "" : " ") + line;
  return text;
}

std::string end_words(Side end) {
  return "the " + std::string(side_name(end)) + " end";
}

std::string way_words(Toward toward) {
  return toward == Toward::kOperator ? "toward you" : "away from you";
}

// The side of the fence to which it is going.
std::string face_words(Toward toward) {
  return toward == Toward::kOperator ? "the side of the fence that faces you"
                                     : "the side of the fence that faces away from you";
}

Lines leave_alone(const StepsInput& input) {
  Lines steps;
  const std::string caution = "Before the next cut: " + together(cutting_cautions());
  if (input.bowed) {
    steps.emplace_back(
        "Leave the fence as it is for now. A bent fence, or a board that rocked, bends the cut.");
    steps.emplace_back("Hold a straightedge against the fence. Light that shows under it is the bend.");
    steps.push_back(caution);
    steps.emplace_back("Cut a new strip. Hold the board still against the fence for each cut. Measure it.");
    return steps;
  }
  if (!input.can_be_made && input.move.direction_is_known && input.verdict != Verdict::kSquare) {
    steps.emplace_back(
        "Leave the fence as it is. The move is finer than your thinnest leaf or shim, one division of the "
        "dial "
        "or one degree of the screw.");
    steps.emplace_back("If it must be squarer, make the move with a fine screw or a dial indicator.");
    return steps;
  }
  if (input.verdict == Verdict::kSquare) {
    steps.emplace_back(input.ring ? "Leave the fence as it is. The mitre is true within the tolerance."
                                  : "Leave the fence as it is. It is square within the tolerance.");
    steps.emplace_back(
        "Check it again if the sled is dropped or its screws are disturbed, and when the seasons change.");
    return steps;
  }
  steps.emplace_back(
      "Leave the fence as it is for now. Its error is no larger than the uncertainty, so which way to move "
      "it is "
      "a guess.");
  steps.push_back(caution);
  steps.emplace_back(input.ring ? "Cut another ring, of more or longer pieces, and measure its gap."
                                : "Cut a longer strip, or several, each anew. Measure them.");
  return steps;
}

std::string where_words(const StepsInput& input) {
  return plain_length_text(input.setup.pivot_distance_mm.value_or(0), input.units) + " from the pivot screw";
}

std::string loosen_words(const StepsInput& input) {
  return "Loosen the screws at " + end_words(input.move.end) + " of the fence. Leave the pivot screw at " +
         end_words(input.setup.pivot) + " just snug.";
}

Lines stop_block_steps(const StepsInput& input, const std::string& stack_name) {
  Lines steps{together(input.by_lines)};
  steps.push_back(
      "Hold the " + stack_name + " against " + face_words(input.move.toward) + ", " + where_words(input) +
      ". Set a straight block against it and clamp the block to the sled. Take the " + stack_name + " out.");
  steps.push_back(loosen_words(input));
  steps.push_back("Swing " + end_words(input.move.end) + " of the fence " + way_words(input.move.toward) +
                  " until it touches the block.");
  steps.emplace_back("Hold it there and tighten the screws. See that it still touches the block.");
  steps.emplace_back("Take the block and the clamps off.");
  return steps;
}

Lines screw_steps(const StepsInput& input) {
  Lines steps{loosen_words(input)};
  steps.push_back(together(input.by_lines));
  steps.push_back("Turn it the way that brings " + end_words(input.move.end) + " of the fence " +
                  way_words(input.move.toward) + ". Tighten the screws.");
  return steps;
}

Lines indicator_steps(const StepsInput& input) {
  Lines steps{"Clamp the indicator's stand to the sled, its foot on the fence " + where_words(input) + "."};
  steps.push_back(loosen_words(input));
  steps.push_back(together(input.by_lines));
  steps.push_back("Direction: " + end_words(input.move.end) + " " + way_words(input.move.toward) + ".");
  return steps;
}

Lines moving_steps(const StepsInput& input) {
  switch (input.by) {
    case AdjustBy::kScrew:
      return screw_steps(input);
    case AdjustBy::kShims:
      return stop_block_steps(input, "shims");
    case AdjustBy::kIndicator:
      return indicator_steps(input);
    case AdjustBy::kFeelers:
      break;
  }
  return stop_block_steps(input, "stack");
}

std::string slope_cell(double rad, Units units) {
  return units == Units::kInch ? fixed(rad * kMmPerFoot / kMmPerThou, 2) : fixed(rad * 1000, 3);
}

std::string padded(const std::string& text, std::size_t width) {
  return text.size() < width ? std::string(width - text.size(), ' ') + text : text;
}

Lines resolution_table(int turns, Units units) {
  const bool inches = units == Units::kInch;
  const std::string unit = inches ? "thou over 12 in" : "mm/m";
  Lines lines;
  lines.push_back(
      "The smallest error that a strip can tell from none (95 %), by its length and its edges, in " + unit +
      ":");
  lines.push_back(padded("length", 10) + padded("clean cut", 12) + padded("rough cut", 12));
  const std::vector<double> lengths_mm =
      inches ? std::vector<double>{4 * 25.4, 5 * 25.4, 6 * 25.4, 8 * 25.4, 10 * 25.4}
             : std::vector<double>{100, 125, 150, 200, 250};
  for (const double length_mm : lengths_mm)
    lines.push_back(padded(plain_length_text(length_mm, units), 10) +
                    padded(slope_cell(resolvable_error(length_mm, kCleanCut, turns), units), 12) +
                    padded(slope_cell(resolvable_error(length_mm, kRoughCut, turns), units), 12));
  return lines;
}

Lines cutting_steps(const SledSetup& setup, Units units) {
  const bool near = setup.fence == FenceSide::kNear;
  const std::string waste = std::string(side_name(setup.strip_falls));
  const std::string kept = std::string(side_name(opposite(setup.strip_falls)));
  // The fresh edge lies at the blade and has to come to the fence.
  const std::string turn = taper_sign(setup) > 0 ? "clockwise" : "counter-clockwise";
  const auto length = [&](double in, double mm) {
    return plain_length_text(units == Units::kInch ? in * kMmPerInch : mm, units);
  };
  Lines steps;
  steps.push_back("Take a flat board that does not move with the weather (fibreboard or good plywood), " +
                  length(0.5, 12) + " to " + length(0.75, 18) +
                  " thick and about as wide as it is long. The strip will be as long as the board: " +
                  length(11, 280) + " square gives a strip of " + length(10, 250) + ".");
  steps.emplace_back(
      "Number the four edges 1, 2, 3, 4 in the order in which you will cut them, going round the board. Draw "
      "an "
      "arrow on its face. That face stays up the whole time.");
  steps.push_back("Lay an edge against the fence (on " + std::string(near ? "your" : "the far") +
                  " side), keep the board " + kept +
                  " of the blade, and trim edge 1. The waste falls to the " + waste + ".");
  steps.push_back(
      "Turn the board a quarter turn " + turn +
      ", seen from above, so that the edge just cut lies against the fence, and trim edge 2. Do the same for "
      "edges 3 and 4. Blow the dust off the fence each time. Hold the board the same way each time.");
  steps.push_back("Turn once more and cut edge 1 again, now taking off a strip " + length(0.5, 12) + " to " +
                  length(1, 25) + " wide.");
  steps.emplace_back(
      "Before you lift the strip, write FENCE on the end that lay against the fence. Write it on both faces: "
      "on the "
      "scanner the lower one lies on the glass. If the ends are swapped, so is the answer.");
  steps.push_back("When the blade stands still, cut a corner of about " + length(0.25, 6) +
                  " off the other end, the far end, with a knife or a hand saw. The program looks for the "
                  "cut corner and tells you when the strip lies the wrong way round.");
  steps.emplace_back("Brush off splinters. Do not sand the edges. Measure the strip soon, for it warps.");
  return steps;
}

}  // namespace

bool is_to_be_moved(const StepsInput& input) {
  return !input.bowed && input.verdict != Verdict::kSquare && input.can_be_made &&
         input.move.direction_is_known && input.move.toward != Toward::kNowhere;
}

std::vector<std::string> adjustment_steps(const StepsInput& input) {
  if (!is_to_be_moved(input)) return leave_alone(input);
  Lines steps{together(adjusting_cautions())};
  if (!input.see_to_first.empty()) steps.push_back(input.see_to_first);
  steps.push_back("Pencil a fine line on the sled along " + end_words(input.move.end) +
                  " of the fence. It shows you the move, and the way back.");
  add(steps, moving_steps(input));
  steps.push_back("Before the next cut: " + together(cutting_cautions()));
  steps.push_back(
      input.ring ? std::string("Clear the saw's table, plug the saw in, and cut a new ring the same way.")
                 : "Clear the saw's table, plug the saw in, and cut a new test strip the same way (" +
                       std::to_string(input.setup.turns) + " turns).");
  steps.emplace_back(
      "Measure it. Record the move and the new measurement. The next move then knows how this fence "
      "answers.");
  return steps;
}

std::vector<std::string> numbered(const std::vector<std::string>& steps) {
  Lines lines;
  lines.reserve(steps.size());
  for (const std::string& step : steps) lines.push_back(std::to_string(lines.size() + 1) + ". " + step);
  return lines;
}

double resolvable_error(double strip_length_mm, const EdgeSurface& surface, int turns) {
  const double places = strip_length_mm / (2 * surface.correlation_mm);
  const double u_direction = surface.roughness_mm * std::sqrt(12 / places) / strip_length_mm;
  return 2 * std::sqrt(2.0) * u_direction / turns;
}

std::vector<std::string> guide(const SledSetup& setup, Units units) {
  Lines lines{"How to cut a test strip", ""};
  add(lines, cutting_cautions());
  lines.emplace_back();
  add(lines, numbered(cutting_steps(setup, units)));
  lines.emplace_back();
  constexpr int kTurnsOfFiveCuts = 4;
  add(lines, resolution_table(kTurnsOfFiveCuts, units));
  lines.emplace_back(
      "A strip twice as long shows an error nearly three times as small. Four strips, each cut anew, show "
      "one half as small. More pictures of one strip do not help much.");
  return lines;
}

}  // namespace tapersight
