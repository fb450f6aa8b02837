#include "fence/feelers.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <optional>

#include "base/text.h"

namespace tapersight {
namespace {

using Nm = std::int64_t;  // whole nanometres: half a thou and a hundredth of a mm are both exact

constexpr double kNmPerMm = 1e6;
constexpr double kThickest_mm = 1000;
constexpr int kMostSpacersInAStack = 2;

Nm to_nm(double mm) {
  return std::llround(mm * kNmPerMm);
}

// Some of the leaves of one half of the set.
struct HalfStack {
  Nm sum = 0;
  std::uint32_t leaves = 0;  // bit i: leaf i of the set
};

// All stacks of one half, by their number of leaves, thinnest first.
using HalfTable = std::vector<std::vector<HalfStack>>;

HalfTable half_table(const std::vector<Nm>& leaves, std::size_t first, int max_leaves) {
  std::vector<std::size_t> mine;
  for (std::size_t i = first; i < leaves.size(); i += 2) mine.push_back(i);
  HalfTable table(static_cast<std::size_t>(std::min<int>(max_leaves, static_cast<int>(mine.size()))) + 1);
  for (std::uint32_t choice = 0; choice < (1U << mine.size()); ++choice) {
    HalfStack stack;
    std::size_t count = 0;
    for (std::size_t j = 0; j < mine.size(); ++j) {
      if ((choice >> j & 1U) == 0) continue;
      stack.sum += leaves[mine[j]];
      stack.leaves |= 1U << mine[j];
      ++count;
    }
    if (count < table.size()) table[count].push_back(stack);
  }
  for (auto& stacks : table)
    std::sort(stacks.begin(), stacks.end(), [](const HalfStack& a, const HalfStack& b) {
      return a.sum != b.sum ? a.sum < b.sum : a.leaves < b.leaves;
    });
  return table;
}

struct Candidate {
  std::vector<Nm> spacers, leaves;  // thickest first
  Nm error = 0;

  bool same_pieces(const Candidate& other) const {
    return spacers == other.spacers && leaves == other.leaves;
  }
};

// Fewest leaves, least error, a thin stack before a thick one, thickest leaves first.
bool better(const Candidate& a, const Candidate& b) {
  if (a.leaves.size() != b.leaves.size()) return a.leaves.size() < b.leaves.size();
  const Nm error_a = std::abs(a.error);
  const Nm error_b = std::abs(b.error);
  if (error_a != error_b) return error_a < error_b;
  if (a.error != b.error) return a.error < b.error;
  if (a.spacers != b.spacers) return a.spacers > b.spacers;
  return a.leaves > b.leaves;
}

bool nearer(const Candidate& a, const Candidate& b) {
  const Nm error_a = std::abs(a.error);
  const Nm error_b = std::abs(b.error);
  return error_a != error_b ? error_a < error_b : better(a, b);
}

// The best few stacks seen so far, in order, no two of the same pieces.
class Shortlist {
 public:
  explicit Shortlist(std::size_t room) : room_(room) {}

  void offer(const Candidate& candidate) {
    const auto at = std::lower_bound(list_.begin(), list_.end(), candidate, better);
    for (const Candidate& held : list_)
      if (held.same_pieces(candidate)) return;
    list_.insert(at, candidate);
    if (list_.size() > room_) list_.pop_back();
  }
  bool full() const { return list_.size() == room_; }
  // Whether a stack of that many leaves and that error would still get in.
  bool wants(std::size_t leaves, Nm error) const {
    if (!full()) return true;
    const Candidate& last = list_.back();
    return leaves != last.leaves.size() ? leaves < last.leaves.size()
                                        : std::abs(error) < std::abs(last.error);
  }
  const std::vector<Candidate>& list() const { return list_; }

 private:
  std::size_t room_;
  std::vector<Candidate> list_;
};

class Searcher {
 public:
  Searcher(const FeelerSet& set, const FeelerOptions& options)
      : max_leaves_(options.max_leaves), closeness_(std::llround(options.closeness_mm * kNmPerMm)) {
    for (const double leaf : set.leaves_mm) leaves_.push_back(to_nm(leaf));
    std::sort(leaves_.rbegin(), leaves_.rend());
    even_ = half_table(leaves_, 0, max_leaves_);
    odd_ = half_table(leaves_, 1, max_leaves_);
    for (const double spacer : set.spacers_mm) spacers_.push_back(to_nm(spacer));
    std::sort(spacers_.rbegin(), spacers_.rend());
  }

  // The thickest stack of `spacers` spacers and max_leaves leaves.
  Nm capacity(int spacers) const {
    Nm sum = 0;
    for (std::size_t i = 0; i < leaves_.size() && static_cast<int>(i) < max_leaves_; ++i) sum += leaves_[i];
    for (std::size_t i = 0; i < spacers_.size() && static_cast<int>(i) < spacers; ++i) sum += spacers_[i];
    return sum;
  }

  // All stacks with exactly `spacers` spacers: those within the closeness to `found`, the nearest to
  // `nearest`.
  void search(Nm wanted, int spacers, Shortlist& found, std::optional<Candidate>& nearest) const {
    if (spacers == 0) return search_leaves(wanted, {}, found, nearest);
    for (std::size_t i = 0; i < spacers_.size(); ++i) {
      if (spacers == 1) {
        search_leaves(wanted, {spacers_[i]}, found, nearest);
        continue;
      }
      for (std::size_t j = i + 1; j < spacers_.size(); ++j)
        search_leaves(wanted, {spacers_[i], spacers_[j]}, found, nearest);
    }
  }

 private:
  void search_leaves(Nm wanted, const std::vector<Nm>& spacers, Shortlist& found,
                     std::optional<Candidate>& nearest) const {
    Nm rest = wanted;
    for (const Nm spacer : spacers) rest -= spacer;
    const Nm out_of_reach = std::max({-rest, rest - capacity(0), Nm{0}});
    if (out_of_reach > closeness_ && nearest && out_of_reach > std::abs(nearest->error)) return;
    for (std::size_t count = 0; count <= static_cast<std::size_t>(max_leaves_); ++count) {
      if (!found.wants(count, 0)) return;
      for (std::size_t in_even = 0; in_even <= count && in_even < even_.size(); ++in_even)
        if (count - in_even < odd_.size())
          join(rest, even_[in_even], odd_[count - in_even], count, spacers, found, nearest);
    }
  }

  // Pairs one stack of each half: as the first grows the fitting second shrinks.
  void join(Nm rest, const std::vector<HalfStack>& even, const std::vector<HalfStack>& odd, std::size_t count,
            const std::vector<Nm>& spacers, Shortlist& found, std::optional<Candidate>& nearest) const {
    std::size_t above = odd.size();  // first odd stack that reaches the rest
    for (const HalfStack& one : even) {
      while (above > 0 && one.sum + odd[above - 1].sum >= rest) --above;
      for (std::size_t j = above; j < odd.size(); ++j)
        if (!take(rest, one, odd[j], count, spacers, found, nearest)) break;
      for (std::size_t j = above; j-- > 0;)
        if (!take(rest, one, odd[j], count, spacers, found, nearest)) break;
    }
  }

  // Whether a pair further off in the same direction could matter as well.
  bool take(Nm rest, const HalfStack& one, const HalfStack& other, std::size_t count,
            const std::vector<Nm>& spacers, Shortlist& found, std::optional<Candidate>& nearest) const {
    const Nm error = one.sum + other.sum - rest;
    const bool close = std::abs(error) <= closeness_ && found.wants(count, error);
    const bool nearest_yet = !nearest || std::abs(error) < std::abs(nearest->error) ||
                             (std::abs(error) == std::abs(nearest->error) && count < nearest->leaves.size());
    if (!close && !nearest_yet) return false;
    Candidate candidate{spacers, {}, error};
    for (std::size_t i = 0; i < leaves_.size(); ++i)
      if (((one.leaves | other.leaves) >> i & 1U) != 0) candidate.leaves.push_back(leaves_[i]);
    if (!nearest || nearer(candidate, *nearest)) nearest = candidate;
    if (close) found.offer(candidate);
    return close;
  }

  std::vector<Nm> leaves_, spacers_;  // thickest first
  int max_leaves_;
  Nm closeness_;
  HalfTable even_, odd_;
};

FeelerStack to_stack(const Candidate& candidate, Nm wanted) {
  FeelerStack stack;
  for (const Nm spacer : candidate.spacers)
    stack.spacers_mm.push_back(static_cast<double>(spacer) / kNmPerMm);
  for (const Nm leaf : candidate.leaves) stack.leaves_mm.push_back(static_cast<double>(leaf) / kNmPerMm);
  stack.error_mm = static_cast<double>(candidate.error) / kNmPerMm;
  stack.total_mm = static_cast<double>(wanted + candidate.error) / kNmPerMm;
  return stack;
}

std::optional<Failure> refused(double move_mm, const FeelerSet& set, const FeelerOptions& options) {
  if (set.leaves_mm.empty())
    return Failure{"empty-feeler-set", "The feeler set has no leaves.",
                   "List the thickness of every leaf you own."};
  if (set.leaves_mm.size() > kMostLeaves || set.spacers_mm.size() > kMostSpacers)
    return Failure{"too-many-leaves", "A feeler set holds at most 32 leaves and 32 spacers.",
                   "Leave out those that you would not use."};
  for (const auto* pieces : {&set.leaves_mm, &set.spacers_mm})
    for (const double piece : *pieces)
      if (!(piece > 0) || piece > kThickest_mm || to_nm(piece) == 0)
        return Failure{"bad-leaf",
                       "A leaf or spacer of " + plain_length_text(piece, Units::kMillimetre) + " cannot be.",
                       "Give thicknesses above zero, with their unit."};
  if (!(move_mm >= 0) || move_mm > kThickest_mm)
    return Failure{"bad-move", "A stack is made for a move of 0 to 1 m.",
                   "Check the pivot distance and its unit."};
  if (!(options.closeness_mm >= 0) || options.closeness_mm > kThickest_mm || options.max_leaves < 1 ||
      options.max_leaves > static_cast<int>(kMostLeaves) || options.alternatives < 0 ||
      options.alternatives > 20)
    return Failure{"bad-feeler-options",
                   "The closeness must not be negative, and a stack has 1 to 32 leaves.",
                   "Ask for a closeness such as 0.25thou and for up to 6 leaves."};
  return std::nullopt;
}

std::vector<double> steps(double first, double last, double step) {
  std::vector<double> values;
  for (int i = 0; first + i * step < last + step / 2; ++i) values.push_back(first + i * step);
  return values;
}

std::vector<double> scaled(std::vector<double> values, double factor) {
  for (double& value : values) value *= factor;
  return values;
}

std::vector<double> joined(std::vector<double> a, const std::vector<double>& b) {
  a.insert(a.end(), b.begin(), b.end());
  return a;
}

// Drill shanks: 1/16 to 1/2 in by 64ths, and 1 to 10 mm by halves.
std::vector<double> inch_drills_mm() {
  return scaled(steps(4, 32, 1), kMmPerInch / 64);
}
std::vector<double> metric_drills_mm() {
  return steps(1, 10, 0.5);
}

}  // namespace

const std::vector<std::string>& standard_feeler_set_names() {
  static const std::vector<std::string> kNames{"inch-32", "inch-26", "metric-20", "metric-13"};
  return kNames;
}

Result<FeelerSet> standard_feeler_set(std::string_view name) {
  const std::vector<double> thin{1.5, 2, 2.5, 3};  // thou
  if (name == "inch-32") {                         // .010 twice: once in steel, once in brass
    const auto leaves = joined(joined(thin, steps(4, 26, 1)), {10, 28, 30, 32, 35});
    return FeelerSet{std::string(name), scaled(leaves, kMmPerThou), inch_drills_mm()};
  }
  if (name == "inch-26")
    return FeelerSet{std::string(name), scaled(joined(thin, steps(4, 25, 1)), kMmPerThou), inch_drills_mm()};
  if (name == "metric-20")
    return FeelerSet{std::string(name), scaled(steps(1, 20, 1), 0.05), metric_drills_mm()};
  if (name == "metric-13")
    return FeelerSet{std::string(name), joined(scaled(steps(1, 6, 1), 0.05), scaled(steps(4, 10, 1), 0.1)),
                     metric_drills_mm()};
  return Failure{"unknown-feeler-set", "There is no standard feeler set \"" + std::string(name) + "\".",
                 "Use inch-32, inch-26, metric-20 or metric-13, or list your own leaves."};
}

FeelerSet default_feeler_set(Units units) {
  return *standard_feeler_set(units == Units::kInch ? "inch-32" : "metric-20");
}

Result<FeelerPlan> plan_feelers(double move_mm, const FeelerSet& set, const FeelerOptions& options) {
  if (const auto failure = refused(move_mm, set, options)) return *failure;
  const Searcher searcher(set, options);
  const Nm wanted = to_nm(move_mm);
  Shortlist found(static_cast<std::size_t>(options.alternatives) + 1);
  std::optional<Candidate> nearest;
  for (int spacers = 0; spacers <= kMostSpacersInAStack && found.list().empty(); ++spacers) {
    std::optional<Candidate> nearest_here;
    searcher.search(wanted, spacers, found, nearest_here);
    if (nearest_here && (!nearest || nearer(*nearest_here, *nearest))) nearest = nearest_here;
    // More spacers are for moves beyond the set, not for the last hundredth of a millimetre.
    if (wanted <= searcher.capacity(spacers)) break;
  }
  FeelerPlan plan;
  plan.wanted_mm = move_mm;
  plan.closeness_mm = options.closeness_mm;
  plan.within_closeness = !found.list().empty();
  plan.best = to_stack(plan.within_closeness ? found.list().front() : *nearest, wanted);
  for (std::size_t i = 1; i < found.list().size(); ++i)
    plan.alternatives.push_back(to_stack(found.list()[i], wanted));
  return plan;
}

std::string leaf_text(double mm, Units units) {
  std::string number = plain_length_text(mm, units);
  number = number.substr(0, number.find(' '));
  if (units == Units::kMillimetre) return number;
  constexpr std::size_t kStamped = 4;  // ".010": thousandths at least
  if (number.compare(0, 2, "0.") != 0) return number;
  number.erase(0, 1);
  if (number.size() < kStamped) number.append(kStamped - number.size(), '0');
  return number;
}

std::string stack_text(const FeelerStack& stack, Units units) {
  std::string text;
  for (const double spacer : stack.spacers_mm)
    text += (text.empty() ? "" : " + ") + std::string("spacer ") + leaf_text(spacer, units);
  for (const double leaf : stack.leaves_mm) text += (text.empty() ? "" : " + ") + leaf_text(leaf, units);
  return text.empty() ? "no leaf" : text + " " + std::string(units_name(units));
}

std::vector<std::string> describe_feelers(const FeelerPlan& plan, Units units) {
  const auto length = [&](double mm) {
    return fixed(mm / fine_unit_mm(units), units == Units::kInch ? 1 : 3) + " " +
           std::string(fine_unit_name(units));
  };
  const auto off = [&](const FeelerStack& stack) {
    const std::string size = length(std::fabs(stack.error_mm));
    // Finer than the digits that are shown is exact enough for anybody.
    if (size == length(0)) return std::string();
    return ", " + size + (stack.error_mm > 0 ? " over" : " short");
  };
  std::vector<std::string> lines{"Stack for " + length(plan.wanted_mm) + ": " + stack_text(plan.best, units) +
                                 " = " + length(plan.best.total_mm) + off(plan.best) + "."};
  if (!plan.within_closeness)
    lines.push_back("Your leaves do not get any closer: " + length(std::fabs(plan.best.error_mm)) +
                    " of the move is " + (plan.best.error_mm > 0 ? "too much" : "left out") + ".");
  if (!plan.best.spacers_mm.empty())
    lines.emplace_back(
        "Measure the spacer with a caliper first. A drill's shank is a little thinner than its name.");
  if (!plan.alternatives.empty()) {
    const FeelerStack& other = plan.alternatives.front();
    lines.push_back("Or " + stack_text(other, units) + " = " + length(other.total_mm) + off(other) + ".");
  }
  return lines;
}

}  // namespace tapersight
