#include "fence/describe.h"

#include <cmath>

#include "base/text.h"

namespace tapersight {
namespace {

std::string sense_words(Sense sense) {
  return sense == Sense::kCounterclockwise ? "counter-clockwise" : "clockwise";
}

std::string slope_text(const FenceError& error, Units units) {
  const double size = std::fabs(error.theta);
  return units == Units::kInch ? per_inch_with_uncertainty(size, error.U)
                               : mm_per_m_with_uncertainty(size, error.U);
}

std::string toward_words(Toward toward) {
  return toward == Toward::kOperator ? "toward the operator" : "away from the operator";
}

}  // namespace

std::string coverage_text(double coverage_factor) {
  return fixed(kCoverage * 100, 0) + " %, k = " + fixed(coverage_factor, 2);
}

std::vector<std::string> describe_error(const FenceError& error, const SledSetup& setup, Units units) {
  const double size = std::fabs(error.theta);
  const std::string coverage = " (" + coverage_text(error.coverage_factor) + ")";
  const std::string over_cut =
      fine_length_with_uncertainty(size * setup.cut_length_mm, error.U * setup.cut_length_mm, units) +
      " over a cut of " + plain_length_text(setup.cut_length_mm, units);
  std::vector<std::string> lines;
  if (error.theta == 0) {
    lines.push_back("The fence shows no error: " + slope_text(error, units) + coverage + ".");
  } else {
    lines.push_back("The fence is turned " + sense_words(error.sense()) + ", seen from above, by " +
                    slope_text(error, units) + coverage + ".");
  }
  lines.push_back("That is " + over_cut + ", " +
                  (units == Units::kInch ? mm_per_m_with_uncertainty(size, error.U) + ", " : std::string()) +
                  degrees_with_uncertainty(size, error.U) + ".");
  if (!error.sense_is_known())
    lines.push_back(
        "The error is not larger than its uncertainty: which way the fence is out cannot be told from this "
        "strip.");
  return lines;
}

std::string move_phrase(const FenceMove& move, Units units) {
  return "Move the " + std::string(side_name(move.end)) + " end of the fence " +
         length_with_uncertainty(move.move_mm, move.U_mm, units) + " " + toward_words(move.toward);
}

std::vector<std::string> describe_move(const FenceMove& move, const SledSetup& setup, Units units) {
  const std::string amount = length_with_uncertainty(move.move_mm, move.U_mm, units);
  const std::string pivot = "the pivot at its " + std::string(side_name(setup.pivot)) + " end, " +
                            plain_length_text(setup.pivot_distance_mm.value_or(0), units) + " away";
  if (move.toward == Toward::kNowhere) return {"No move is called for (" + amount + ")."};
  if (move.direction_is_known) return {move_phrase(move, units) + ", about " + pivot + "."};
  return {"Leave the fence alone: the move would be " + amount + " at its " +
              std::string(side_name(move.end)) + " end (" + pivot +
              "), not larger than its uncertainty, so even its direction is a guess.",
          "Measure a longer strip, or the mean of several pictures."};
}

const std::vector<std::string>& adjusting_cautions() {
  static const std::vector<std::string> kCautions{
      "Unplug the saw and wait for the blade to stop before touching the fence, the sled or the blade.",
      "Follow the saw's manual and the school's rules; they stand above what is printed here."};
  return kCautions;
}

const std::vector<std::string>& cutting_cautions() {
  static const std::vector<std::string> kCautions{
      "Keep hands out of the blade's path, also where it leaves the fence behind the sled.",
      "Hold small pieces with a hold-down, never with the fingers; let the blade stop before taking the "
      "strip.",
      "Keep the guard, the eye protection and the riving knife that the saw's manual asks for.",
      "Follow the saw's manual and the school's rules; they stand above what is printed here."};
  return kCautions;
}

}  // namespace tapersight
