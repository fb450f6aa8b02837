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
  const std::string metric = mm_per_m_with_uncertainty(size, error.U);
  return units == Units::kInch ? per_inch_with_uncertainty(size, error.U) + ", " + metric : metric;
}

std::string toward_words(Toward toward) {
  return toward == Toward::kOperator ? "toward you" : "away from you";
}

}  // namespace

std::string coverage_text(double coverage_factor) {
  return fixed(kCoverage * 100, 0) + " %, k = " + fixed(coverage_factor, 2);
}

std::vector<std::string> describe_error(const FenceError& error, const SledSetup& setup, Units units) {
  const double size = std::fabs(error.theta);
  const std::string over_cut =
      fine_length_with_uncertainty(size * setup.cut_length_mm, error.U * setup.cut_length_mm, units) +
      " over a cut of " + plain_length_text(setup.cut_length_mm, units);
  std::vector<std::string> lines;
  if (error.theta == 0)
    lines.push_back("The fence shows no error: " + over_cut + ".");
  else
    lines.push_back("The fence is turned " + sense_words(error.sense()) + ", seen from above, by " +
                    over_cut + ".");
  lines.push_back("That is " + slope_text(error, units) + ", " + degrees_with_uncertainty(size, error.U) +
                  " (" + coverage_text(error.coverage_factor) + ").");
  if (!error.sense_is_known())
    lines.emplace_back("The error is no larger than its uncertainty. Which way the fence is out is a guess.");
  return lines;
}

std::string move_phrase(const FenceMove& move, Units units) {
  std::string amount;
  if (units == Units::kInch)
    amount = fixed(move.move_mm / kMmPerThou, 1) + " thou (" + length_text(move.move_mm, units, 4, 0) + ")";
  else
    amount = length_text(move.move_mm, units, 0, move.move_mm < 1 ? 3 : 2);
  return "Move the " + std::string(side_name(move.end)) + " end of the fence " + amount + " " +
         toward_words(move.toward);
}

std::vector<std::string> describe_move(const FenceMove& move, const SledSetup& setup, Units units) {
  const std::string amount = fine_length_with_uncertainty(move.move_mm, move.U_mm, units);
  const std::string pivot = "The pivot is at its " + std::string(side_name(setup.pivot)) + " end, " +
                            plain_length_text(setup.pivot_distance_mm.value_or(0), units) + " away.";
  if (move.toward == Toward::kNowhere) return {"No move is called for (" + amount + ")."};
  if (move.direction_is_known)
    return {"Move the " + std::string(side_name(move.end)) + " end of the fence " + amount + " " +
                toward_words(move.toward) + ".",
            pivot};
  return {"Leave the fence alone. The move would be " + amount + " at its " +
              std::string(side_name(move.end)) +
              " end. That is no larger than its uncertainty, so even its direction is a guess.",
          "Measure a longer strip, or take the mean of several."};
}

const std::vector<std::string>& adjusting_cautions() {
  static const std::vector<std::string> kCautions{
      "Unplug the saw. Wait for the blade to stop before you touch the fence, the sled or the blade.",
      "Your saw's manual and your shop's rules come first."};
  return kCautions;
}

const std::vector<std::string>& cutting_cautions() {
  static const std::vector<std::string> kCautions{
      "Keep your hands out of the blade's path, also where the blade comes out behind the fence.",
      "Hold small pieces with a hold-down, never with your fingers. Let the blade stop before you take the "
      "strip.",
      "Use the guard, the riving knife and the eye protection that the saw's manual asks for.",
      "Your saw's manual and your shop's rules come first."};
  return kCautions;
}

}  // namespace tapersight
