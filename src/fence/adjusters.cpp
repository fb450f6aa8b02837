#include "fence/adjusters.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/text.h"

namespace tapersight {
namespace {

constexpr double kLongestMove_mm = 1000;

std::optional<Failure> refused_move(double move_mm) {
  if (move_mm >= 0 && move_mm <= kLongestMove_mm) return std::nullopt;
  return Failure{"bad-move", "A fence is moved by 0 to 1 m.", "Check the pivot distance and its unit."};
}

// ISO 261 coarse pitches, from memory (first-choice sizes).
std::optional<double> coarse_pitch_mm(double diameter_mm) {
  static constexpr double kCoarse[][2] = {{2, 0.4}, {2.5, 0.45}, {3, 0.5},  {4, 0.7},   {5, 0.8},
                                          {6, 1},   {8, 1.25},   {10, 1.5}, {12, 1.75}, {16, 2}};
  for (const auto& row : kCoarse)
    if (row[0] == diameter_mm) return row[1];
  return std::nullopt;
}

std::optional<double> pitch_from_tpi(std::string_view number) {
  const auto threads = parse_number(number);
  if (!threads || !(*threads > 0)) return std::nullopt;
  return kMmPerInch / *threads;
}

bool takes_off_end(std::string_view& text, std::string_view end) {
  if (text.size() <= end.size() || text.substr(text.size() - end.size()) != end) return false;
  text.remove_suffix(end.size());
  return true;
}

std::optional<double> metric_pitch_mm(std::string_view behind_m) {
  const auto cross = behind_m.find('x');
  const auto diameter = parse_number(behind_m.substr(0, cross));
  if (!diameter) return std::nullopt;
  if (cross == std::string_view::npos) return coarse_pitch_mm(*diameter);
  return parse_number(behind_m.substr(cross + 1));
}

std::optional<double> pitch_of(std::string_view text) {
  std::string_view rest = text;
  if (takes_off_end(rest, "tpi")) return pitch_from_tpi(rest);
  if (text.front() == 'm') return metric_pitch_mm(text.substr(1));
  const auto dash = text.find('-');
  if (dash != std::string_view::npos && text.find_first_not_of("0123456789./#\"", 0) == dash)
    if (const auto pitch = pitch_from_tpi(text.substr(dash + 1))) return pitch;
  const auto as_in = parse_length(text, Units::kInch);
  const auto as_mm = parse_length(text, Units::kMillimetre);
  if (as_in && as_mm && *as_in == *as_mm) return *as_in;  // the unit was written
  return std::nullopt;
}

}  // namespace

Result<AdjustBy> parse_adjust_by(std::string_view text) {
  const std::string word = lower_case(trimmed(text));
  for (const AdjustBy by : {AdjustBy::kFeelers, AdjustBy::kScrew, AdjustBy::kShims, AdjustBy::kIndicator})
    if (word == adjust_by_name(by)) return by;
  return Failure{"bad-adjuster", "\"" + std::string(text) + "\" is not a way to move a fence.",
                 "Write feelers, screw, shims or indicator."};
}

std::string_view adjust_by_name(AdjustBy by) {
  switch (by) {
    case AdjustBy::kScrew:
      return "screw";
    case AdjustBy::kShims:
      return "shims";
    case AdjustBy::kIndicator:
      return "indicator";
    case AdjustBy::kFeelers:
      break;
  }
  return "feelers";
}

Result<ScrewThread> parse_thread(std::string_view text) {
  const std::string plain = lower_case(trimmed(text));
  const auto pitch = plain.empty() ? std::nullopt : pitch_of(plain);
  if (pitch && *pitch >= 0.1 && *pitch <= 10) return ScrewThread{*pitch, std::string(trimmed(text))};
  return Failure{"bad-thread", "\"" + std::string(text) + "\" is not a thread that is known here.",
                 "Write 20tpi, 1/4-20, M6, M6x1, or the pitch with its unit: 1.25mm."};
}

Result<ScrewTurns> screw_turns(double move_mm, double U_mm, const ScrewThread& thread) {
  if (const auto failure = refused_move(move_mm)) return *failure;
  ScrewTurns turns;
  turns.turns = move_mm / thread.pitch_mm;
  turns.U_turns = U_mm / thread.pitch_mm;
  const auto degrees = static_cast<int>(std::llround(turns.turns * 360));
  turns.whole_turns = degrees / 360;
  turns.degrees = degrees % 360;
  return turns;
}

std::vector<std::string> describe_screw(const ScrewTurns& turns, const ScrewThread& thread) {
  const std::string whole = turns.whole_turns == 0   ? ""
                            : turns.whole_turns == 1 ? "1 full turn and "
                                                     : std::to_string(turns.whole_turns) + " full turns and ";
  return {"Turn the " + thread.text + " screw by " + whole + std::to_string(turns.degrees) + " degrees (" +
              with_uncertainty(turns.turns, turns.U_turns, "turns", 3) + ").",
          "Take up the screw's play first: come up to the mark in the direction in which you will turn. "
          "Count from "
          "there."};
}

const std::vector<ShimKind>& common_shims() {
  static const std::vector<ShimKind> kShims{
      {"kitchen foil", 0.016}, {"printer paper", 0.10}, {"masking tape", 0.13},   {"drinks-can sheet", 0.10},
      {"index card", 0.20},    {"playing card", 0.30},  {"cereal-box card", 0.45}};
  return kShims;
}

namespace {

std::optional<Failure> refused_shims(const std::vector<ShimKind>& kinds, const ShimOptions& options) {
  if (kinds.empty())
    return Failure{"no-shims", "There is no shim to choose from.", "List what you have and its thickness."};
  if (kinds.size() > 12 || options.max_sheets < 1 || options.max_sheets > 12 || !(options.closeness_mm >= 0))
    return Failure{"bad-shim",
                   "Up to 12 kinds of shim and 12 sheets are tried, within a closeness of zero or more.",
                   "Leave out the kinds that you would not use."};
  for (const ShimKind& kind : kinds)
    if (!(kind.thickness_mm > 0) || kind.thickness_mm > kLongestMove_mm)
      return Failure{"bad-shim", "The shim \"" + kind.name + "\" must be thicker than zero.",
                     "Measure a pack of ten sheets and divide by ten."};
  return std::nullopt;
}

// Tries every count of every kind, thickest kind first.
class ShimSearch {
 public:
  ShimSearch(double wanted_mm, const std::vector<ShimKind>& kinds, const ShimOptions& options)
      : wanted_(wanted_mm),
        kinds_(kinds),
        options_(options),
        counts_(kinds.size()),
        best_counts_(kinds.size()) {}

  const std::vector<int>& best() {
    try_kind(0, 0, 0);
    return best_counts_;
  }

 private:
  static constexpr double kSame = 1e-9;  // mm; equal sums in another order differ by rounding

  void try_kind(std::size_t kind, int sheets, double total) {
    if (kind == kinds_.size()) return consider(sheets, std::fabs(total - wanted_));
    for (int n = 0; sheets + n <= options_.max_sheets; ++n) {
      const double with_n = total + n * kinds_[kind].thickness_mm;
      if (n > 0 && with_n > wanted_ + std::max(best_error_, options_.closeness_mm) + kSame) break;
      counts_[kind] = n;
      try_kind(kind + 1, sheets + n, with_n);
    }
    counts_[kind] = 0;
  }

  void consider(int sheets, double error) {
    const bool close = error <= options_.closeness_mm + kSame;
    const bool best_close = best_error_ <= options_.closeness_mm + kSame;
    const bool fewer = sheets < best_sheets_ || (sheets == best_sheets_ && error < best_error_ - kSame);
    const bool nearer = error < best_error_ - kSame || (error < best_error_ + kSame && sheets < best_sheets_);
    if (close && best_close ? !fewer : !(close || (!best_close && nearer))) return;
    best_counts_ = counts_;
    best_sheets_ = sheets;
    best_error_ = error;
  }

  double wanted_;
  const std::vector<ShimKind>& kinds_;
  const ShimOptions& options_;
  std::vector<int> counts_, best_counts_;
  int best_sheets_ = 1000;
  double best_error_ = 1e300;
};

}  // namespace

Result<ShimPlan> plan_shims(double move_mm, const std::vector<ShimKind>& kinds, const ShimOptions& options) {
  if (const auto failure = refused_move(move_mm)) return *failure;
  if (const auto failure = refused_shims(kinds, options)) return *failure;
  std::vector<ShimKind> sorted = kinds;
  std::stable_sort(sorted.begin(), sorted.end(),
                   [](const ShimKind& a, const ShimKind& b) { return a.thickness_mm > b.thickness_mm; });
  const std::vector<int> counts = ShimSearch(move_mm, sorted, options).best();
  ShimPlan plan;
  plan.wanted_mm = move_mm;
  for (std::size_t i = 0; i < sorted.size(); ++i) {
    plan.total_mm += counts[i] * sorted[i].thickness_mm;
    if (counts[i] > 0) plan.layers.push_back({sorted[i], counts[i]});
  }
  plan.error_mm = plan.total_mm - move_mm;
  plan.within_closeness = std::fabs(plan.error_mm) <= options.closeness_mm + 1e-9;
  return plan;
}

std::vector<std::string> describe_shims(const ShimPlan& plan, Units units) {
  const auto length = [&](double mm) { return length_text(mm, units, 4, 3); };
  std::string stack;
  for (const ShimLayer& layer : plan.layers)
    stack += (stack.empty() ? "" : ", ") + std::to_string(layer.sheets) + " x " + layer.kind.name + " (" +
             length(layer.kind.thickness_mm) + ")";
  std::vector<std::string> lines{"Shims for " + length(plan.wanted_mm) + ": " +
                                 (stack.empty() ? "none" : stack) + " = " + length(plan.total_mm) + ", " +
                                 length(std::fabs(plan.error_mm)) +
                                 (plan.error_mm > 0 ? " over." : " short.")};
  if (!plan.within_closeness) lines.push_back("Your shims do not get any closer.");
  lines.push_back(
      "These thicknesses are common ones. Measure a pack of ten sheets of your own and divide by ten.");
  return lines;
}

Indicator common_indicator(Units units) {
  return units == Units::kInch ? Indicator{0.5 * kMmPerThou, 0.1 * kMmPerInch} : Indicator{0.01, 1};
}

// Finer than any dial; its divisions can still be counted in an int over a metre.
constexpr double kFinestGraduationMm = 1e-4;

Result<IndicatorReading> indicator_reading(double move_mm, const Indicator& indicator) {
  if (const auto failure = refused_move(move_mm)) return *failure;
  if (!(indicator.graduation_mm >= kFinestGraduationMm) ||
      !(indicator.revolution_mm > indicator.graduation_mm))
    return Failure{"bad-indicator",
                   "An indicator has divisions of 0.0001 mm or more and several of them to a revolution.",
                   "Read the division from the dial's face and count how many go round."};
  const auto divisions = std::llround(move_mm / indicator.graduation_mm);
  const auto around = std::max<long long>(1, std::llround(indicator.revolution_mm / indicator.graduation_mm));
  IndicatorReading reading;
  reading.reading_mm = static_cast<double>(divisions) * indicator.graduation_mm;
  reading.error_mm = reading.reading_mm - move_mm;
  reading.revolutions = static_cast<int>(divisions / around);
  reading.divisions = static_cast<int>(divisions % around);
  return reading;
}

std::vector<std::string> describe_indicator(const IndicatorReading& reading, const Indicator& indicator,
                                            Units units) {
  const auto length = [&](double mm) { return length_text(mm, units, 4, 3); };
  std::string hand = std::to_string(reading.divisions) + " divisions of " + length(indicator.graduation_mm);
  if (reading.revolutions > 0)
    hand = std::to_string(reading.revolutions) + (reading.revolutions == 1 ? " revolution" : " revolutions") +
           " and " + hand;
  return {"Set the indicator's foot against the fence, square to it, and zero the dial.",
          "Move the fence until it has travelled " + length(reading.reading_mm) + " (" + hand + ").",
          "Lock the fence and read again, for locking often moves it."};
}

}  // namespace tapersight
