// The stack is the best there is: compared with trying every choice of leaves and spacers.
#include "fence/feelers.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/rng.h"

namespace tapersight {
namespace {

using ::testing::HasSubstr;

double sum_of(const FeelerStack& stack) {
  double sum = 0;
  for (const double piece : stack.spacers_mm) sum += piece;
  for (const double piece : stack.leaves_mm) sum += piece;
  return sum;
}

bool is_drawn_from(const std::vector<double>& pieces, const std::vector<double>& set) {
  std::vector<double> rest = set;
  for (const double piece : pieces) {
    const auto at =
        std::find_if(rest.begin(), rest.end(), [&](double x) { return std::fabs(x - piece) < 1e-6; });
    if (at == rest.end()) return false;
    rest.erase(at);
  }
  return true;
}

void expect_consistent(const FeelerStack& stack, const FeelerSet& set, double wanted_mm) {
  EXPECT_NEAR(sum_of(stack), stack.total_mm, 1e-6);
  EXPECT_NEAR(stack.total_mm - stack.error_mm, wanted_mm, 1e-6);
  EXPECT_TRUE(is_drawn_from(stack.leaves_mm, set.leaves_mm));
  EXPECT_TRUE(is_drawn_from(stack.spacers_mm, set.spacers_mm));
}

// Common practice, no published source: .0975 in out of a common set with half-thou leaves. A person's guess
// of .032 + .030 + .028 + .007 is half a thou short.
TEST(Feelers, MakesTheWorkedMoveExactly) {
  EXPECT_NEAR(0.032 + 0.030 + 0.028 + 0.007, 0.0975 - 0.0005, 1e-12);
  for (const char* name : {"inch-32", "inch-26"}) {
    const FeelerSet set = *standard_feeler_set(name);
    const FeelerPlan plan = *plan_feelers(0.0975 * kMmPerInch, set);
    EXPECT_TRUE(plan.within_closeness);
    EXPECT_EQ(plan.best.error_mm, 0) << name;
    expect_consistent(plan.best, set, 0.0975 * kMmPerInch);
    EXPECT_EQ(plan.alternatives.size(), 3u);
  }
  // .035 + .032 + .028 + .0025: four leaves of the larger set, and no three reach it (.035 + .032 + .030 is
  // .097).
  EXPECT_EQ(plan_feelers(0.0975 * kMmPerInch, *standard_feeler_set("inch-32"))->best.leaves_mm.size(), 4u);
}

// Every choice of at most max_leaves leaves, the slow way, in whole micrometres.
struct Brute {
  int leaves = 0;
  int error = 0;  // um
  bool found = false;
};

Brute brute_force(int wanted, const std::vector<int>& leaves, const std::vector<int>& spacers,
                  int spacer_count, int max_leaves, int closeness) {
  Brute best;
  for (unsigned s = 0; s < (1U << spacers.size()); ++s) {
    if (__builtin_popcount(s) != spacer_count) continue;
    for (unsigned l = 0; l < (1U << leaves.size()); ++l) {
      const int count = __builtin_popcount(l);
      if (count > max_leaves) continue;
      int sum = 0;
      for (std::size_t i = 0; i < spacers.size(); ++i)
        if ((s >> i & 1U) != 0) sum += spacers[i];
      for (std::size_t i = 0; i < leaves.size(); ++i)
        if ((l >> i & 1U) != 0) sum += leaves[i];
      const int error = std::abs(sum - wanted);
      const bool close = error <= closeness;
      const bool best_close = best.found && best.error <= closeness;
      const bool wins =
          !best.found || (close != best_close ? close
                          : close ? count < best.leaves || (count == best.leaves && error < best.error)
                                  : error < best.error || (error == best.error && count < best.leaves));
      if (wins) best = {count, error, true};
    }
  }
  return best;
}

TEST(Feelers, AgreesWithTryingEveryStack) {
  Rng rng(51);
  int reached = 0, spaced = 0, missed = 0;
  for (int trial = 0; trial < 600; ++trial) {
    std::vector<int> leaves, spacers;
    FeelerSet set;
    const int n = rng.integer(1, 9);
    for (int i = 0; i < n; ++i) leaves.push_back(rng.integer(1, 40) * 10 + (rng.integer(0, 3) == 0 ? 5 : 0));
    const int m = rng.integer(0, 4);
    for (int i = 0; i < m; ++i) spacers.push_back(rng.integer(20, 90) * 10);
    for (const int leaf : leaves) set.leaves_mm.push_back(leaf / 1000.0);
    for (const int spacer : spacers) set.spacers_mm.push_back(spacer / 1000.0);
    FeelerOptions options;
    const int closeness = rng.integer(0, 12);
    options.closeness_mm = closeness / 1000.0;
    options.max_leaves = rng.integer(1, 9);
    options.alternatives = rng.integer(0, 5);
    const int wanted = rng.integer(0, 2500);
    const FeelerPlan plan = *plan_feelers(wanted / 1000.0, set, options);
    expect_consistent(plan.best, set, wanted / 1000.0);
    EXPECT_LE(static_cast<int>(plan.best.leaves_mm.size()), options.max_leaves);
    const int used = static_cast<int>(plan.best.spacers_mm.size());
    const Brute best = brute_force(wanted, leaves, spacers, used, options.max_leaves, closeness);
    ASSERT_TRUE(best.found);
    EXPECT_EQ(plan.within_closeness, best.error <= closeness) << trial;
    EXPECT_EQ(static_cast<int>(plan.best.leaves_mm.size()), best.leaves) << trial;
    EXPECT_NEAR(std::fabs(plan.best.error_mm), best.error / 1000.0, 1e-9) << trial;
    // No smaller number of spacers reaches it.
    for (int fewer = 0; fewer < used; ++fewer) {
      const Brute other = brute_force(wanted, leaves, spacers, fewer, options.max_leaves, closeness);
      EXPECT_GE(other.error, plan.within_closeness ? closeness + 1 : best.error) << trial;
    }
    ++(plan.within_closeness ? reached : missed);
    if (used > 0) ++spaced;
  }
  EXPECT_GT(reached, 50);  // each kind of case really came up
  EXPECT_GT(missed, 50);
  EXPECT_GT(spaced, 50);
}

TEST(Feelers, AlternativesAreDistinctInOrderAndWithinTheCloseness) {
  Rng rng(52);
  const FeelerSet set = *standard_feeler_set("inch-32");
  for (int trial = 0; trial < 20; ++trial) {
    const double wanted = rng.uniform(0.1, 4.5);
    FeelerOptions options;
    options.closeness_mm = 0.03;
    options.alternatives = 8;
    const FeelerPlan plan = *plan_feelers(wanted, set, options);
    std::vector<FeelerStack> all{plan.best};
    all.insert(all.end(), plan.alternatives.begin(), plan.alternatives.end());
    for (std::size_t i = 0; i < all.size(); ++i) {
      expect_consistent(all[i], set, wanted);
      EXPECT_LE(std::fabs(all[i].error_mm), options.closeness_mm + 1e-9);
      if (i == 0) continue;
      EXPECT_NE(all[i].leaves_mm, all[i - 1].leaves_mm);
      ASSERT_GE(all[i].leaves_mm.size(), all[i - 1].leaves_mm.size());
      if (all[i].leaves_mm.size() == all[i - 1].leaves_mm.size()) {
        EXPECT_GE(std::fabs(all[i].error_mm), std::fabs(all[i - 1].error_mm));
      }
    }
  }
}

// All 32 leaves may be stacked when asked for: the whole set's thickness is reached exactly, by all of them.
TEST(Feelers, SearchesStacksOfAllThirtyTwoLeaves) {
  FeelerSet set;
  double total = 0;
  for (int i = 0; i < 32; ++i) {
    set.leaves_mm.push_back(0.1 + 0.01 * i);
    total += set.leaves_mm.back();
  }
  FeelerOptions options;
  options.max_leaves = 32;
  options.closeness_mm = 0;
  const FeelerPlan plan = *plan_feelers(total, set, options);
  EXPECT_EQ(plan.best.leaves_mm.size(), 32u);
  EXPECT_EQ(plan.best.error_mm, 0);
}

TEST(Feelers, ALongMoveTakesASpacer) {
  const FeelerSet set = *standard_feeler_set("inch-32");
  const FeelerPlan plan = *plan_feelers(0.3125 * kMmPerInch, set);  // 5/16 in
  ASSERT_EQ(plan.best.spacers_mm.size(), 1u);
  EXPECT_TRUE(plan.within_closeness);
  EXPECT_THAT(describe_feelers(plan, Units::kInch), ::testing::Contains(HasSubstr("Measure the spacer")));
  const FeelerPlan two = *plan_feelers(0.9 * kMmPerInch, set);
  EXPECT_EQ(two.best.spacers_mm.size(), 2u);
  EXPECT_TRUE(two.within_closeness);
  const FeelerPlan beyond = *plan_feelers(100, set);
  EXPECT_FALSE(beyond.within_closeness);
  EXPECT_LT(beyond.best.error_mm, -60);
  EXPECT_THAT(describe_feelers(beyond, Units::kInch)[1], HasSubstr("of the move is left out"));
}

TEST(Feelers, AMoveBelowTheThinnestLeafIsLeftOut) {
  const FeelerPlan plan = *plan_feelers(0.3 * kMmPerThou, default_feeler_set(Units::kInch));
  EXPECT_TRUE(plan.best.leaves_mm.empty());
  EXPECT_FALSE(plan.within_closeness);
  EXPECT_NEAR(plan.best.error_mm, -0.3 * kMmPerThou, 1e-6);
  EXPECT_TRUE(plan_feelers(0, default_feeler_set(Units::kInch))->within_closeness);
}

TEST(Feelers, StandardSetsHaveTheLeavesOfTheirNames) {
  for (const std::string& name : standard_feeler_set_names()) {
    const FeelerSet set = *standard_feeler_set(name);
    EXPECT_EQ(std::to_string(set.leaves_mm.size()), name.substr(name.find('-') + 1));
    EXPECT_LE(set.spacers_mm.size(), kMostSpacers);
  }
  EXPECT_EQ(default_feeler_set(Units::kMillimetre).name, "metric-20");
  EXPECT_EQ(standard_feeler_set("imperial").failure().code, "unknown-feeler-set");
}

TEST(Feelers, RefusesNonsense) {
  const auto code = [](double move, const std::vector<double>& leaves, const FeelerOptions& options = {}) {
    const auto plan = plan_feelers(move, {"mine", leaves, {}}, options);
    return plan.ok() ? std::string("ok") : plan.failure().code;
  };
  EXPECT_EQ(code(1, {}), "empty-feeler-set");
  EXPECT_EQ(code(1, std::vector<double>(33, 0.1)), "too-many-leaves");
  EXPECT_EQ(code(1, {0.1, 0}), "bad-leaf");
  EXPECT_EQ(code(1, {0.1, -0.1}), "bad-leaf");
  EXPECT_EQ(code(1, {std::numeric_limits<double>::quiet_NaN()}), "bad-leaf");
  EXPECT_EQ(code(-1, {0.1}), "bad-move");
  EXPECT_EQ(code(std::numeric_limits<double>::infinity(), {0.1}), "bad-move");
  EXPECT_EQ(code(1, {0.1}, {-1, 6, 3}), "bad-feeler-options");
  EXPECT_EQ(code(1, {0.1}, {0.01, 0, 3}), "bad-feeler-options");
}

TEST(DescribeFeelers, NamesLeavesTotalAndRest) {
  const auto lines = describe_feelers(
      *plan_feelers(2.4765, {"mine", {0.8128, 0.762, 0.7112, 0.1778}, {}}, {0.02, 6, 0}), Units::kInch);
  EXPECT_EQ(lines[0], "Stack for 97.5 thou: .032 + .030 + .028 + .007 in = 97.0 thou, 0.5 thou short.");
  const auto metric =
      describe_feelers(*plan_feelers(0.3, {"mine", {0.1, 0.2, 0.3}, {}}, {0, 6, 1}), Units::kMillimetre);
  EXPECT_EQ(metric[0], "Stack for 0.300 mm: 0.3 mm = 0.300 mm.");
  EXPECT_EQ(metric[1], "Or 0.2 + 0.1 mm = 0.300 mm.");
}

}  // namespace
}  // namespace tapersight
