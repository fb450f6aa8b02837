// Screws, shims and indicators make the move that was asked for.
#include "fence/adjusters.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "base/rng.h"

namespace tapersight {
namespace {

using ::testing::HasSubstr;

template <typename T>
std::string code(const Result<T>& result) {
  return result.ok() ? "ok" : result.failure().code;
}

TEST(ParseThread, InchAndMetric) {
  const auto pitch = [](const char* text) {
    const auto thread = parse_thread(text);
    EXPECT_TRUE(thread.ok()) << text;
    return thread.ok() ? thread->pitch_mm : 0;
  };
  EXPECT_NEAR(pitch("20tpi"), 1.27, 1e-12);
  EXPECT_NEAR(pitch("20 TPI"), 1.27, 1e-12);
  EXPECT_NEAR(pitch("1/4-20"), 1.27, 1e-12);
  EXPECT_NEAR(pitch("5/16-18"), 25.4 / 18, 1e-12);
  EXPECT_NEAR(pitch("#10-32"), 25.4 / 32, 1e-12);
  EXPECT_NEAR(pitch("M6"), 1, 1e-12);  // ISO 261 coarse series, from memory
  EXPECT_NEAR(pitch("M8"), 1.25, 1e-12);
  EXPECT_NEAR(pitch("M6x0.75"), 0.75, 1e-12);
  EXPECT_NEAR(pitch("1.25mm"), 1.25, 1e-12);
  EXPECT_NEAR(pitch("50thou"), 1.27, 1e-12);
  EXPECT_NEAR(pitch("1/20in"), 1.27, 1e-12);
  for (const char* text : {"", "20", "tpi", "0tpi", "-20tpi", "M7.3", "Mx1", "M6x", "M6x-1", "0mm", "50mm",
                           "fine", "1/4-", "1/4"})
    EXPECT_EQ(code(parse_thread(text)), "bad-thread") << text;
}

TEST(Screw, TurnsMakeTheMove) {
  const ScrewThread thread = *parse_thread("20tpi");
  const ScrewTurns turns = *screw_turns(0.0975 * kMmPerInch, 0.002 * kMmPerInch, thread);
  EXPECT_NEAR(turns.turns, 1.95, 1e-12);  // .0975 in x 20 turns per inch
  EXPECT_NEAR(turns.U_turns, 0.04, 1e-12);
  EXPECT_EQ(turns.whole_turns, 1);
  EXPECT_EQ(turns.degrees, 342);
  EXPECT_EQ(describe_screw(turns, thread)[0],
            "Turn the 20tpi screw by 1 full turn and 342 degrees (1.950 +/- 0.040 turns).");
  EXPECT_THAT(describe_screw(turns, thread)[1], HasSubstr("play"));
  Rng rng(61);
  for (int i = 0; i < 500; ++i) {
    const double move = rng.uniform(0, 20);
    const ScrewTurns t = *screw_turns(move, 0, thread);
    EXPECT_NEAR((t.whole_turns + t.degrees / 360.0) * thread.pitch_mm, move, thread.pitch_mm / 720 + 1e-9);
    EXPECT_LT(t.degrees, 360);
  }
  EXPECT_EQ(screw_turns(1.27 * 0.9999, 0, thread)->whole_turns, 1);  // 359.96 degrees is a full turn
  EXPECT_EQ(code(screw_turns(-1, 0, thread)), "bad-move");
}

TEST(Shims, AgreeWithTryingEveryCount) {
  Rng rng(62);
  for (int trial = 0; trial < 200; ++trial) {
    std::vector<ShimKind> kinds(3);
    for (ShimKind& kind : kinds) kind = {"card", rng.integer(2, 50) / 100.0};
    ShimOptions options;
    options.closeness_mm = rng.integer(0, 4) / 100.0 + 0.001;
    options.max_sheets = rng.integer(1, 6);
    const double wanted = rng.integer(0, 200) / 100.0;
    int best_sheets = 0;
    double best_error = wanted;
    for (int a = 0; a <= options.max_sheets; ++a)
      for (int b = 0; a + b <= options.max_sheets; ++b)
        for (int c = 0; a + b + c <= options.max_sheets; ++c) {
          const double total =
              a * kinds[0].thickness_mm + b * kinds[1].thickness_mm + c * kinds[2].thickness_mm;
          const double error = std::fabs(total - wanted);
          const bool close = error <= options.closeness_mm, held = best_error <= options.closeness_mm;
          const int sheets = a + b + c;
          const bool fewer = sheets < best_sheets || (sheets == best_sheets && error < best_error - 1e-9);
          const bool nearer =
              error < best_error - 1e-9 || (error < best_error + 1e-9 && sheets < best_sheets);
          if (close && held ? fewer : (close || (!held && nearer))) {
            best_sheets = sheets;
            best_error = error;
          }
        }
    const ShimPlan plan = *plan_shims(wanted, kinds, options);
    int sheets = 0;
    double total = 0;
    for (const ShimLayer& layer : plan.layers) {
      sheets += layer.sheets;
      total += layer.sheets * layer.kind.thickness_mm;
    }
    EXPECT_NEAR(total, plan.total_mm, 1e-12);
    EXPECT_NEAR(plan.error_mm, plan.total_mm - wanted, 1e-12);
    EXPECT_EQ(sheets, best_sheets) << trial;
    EXPECT_NEAR(std::fabs(plan.error_mm), best_error, 1e-9) << trial;
  }
}

TEST(Shims, CommonOnesReachASmallMove) {
  const ShimPlan plan = *plan_shims(0.43, common_shims());
  EXPECT_TRUE(plan.within_closeness);
  EXPECT_THAT(describe_shims(plan, Units::kMillimetre)[0], HasSubstr("Shims for 0.430 mm: "));
  EXPECT_THAT(describe_shims(plan, Units::kMillimetre).back(), HasSubstr("Measure a pack of ten sheets"));
  EXPECT_FALSE(plan_shims(50, common_shims())->within_closeness);
  EXPECT_TRUE(plan_shims(0.001, common_shims())->layers.empty());
  EXPECT_EQ(code(plan_shims(1, {})), "no-shims");
  EXPECT_EQ(code(plan_shims(1, {{"air", 0}})), "bad-shim");
  EXPECT_EQ(code(plan_shims(-1, common_shims())), "bad-move");
}

TEST(IndicatorReading, RoundsToADivision) {
  const Indicator dial = common_indicator(Units::kInch);
  const IndicatorReading reading = *indicator_reading(0.1977 * kMmPerInch, dial);
  EXPECT_NEAR(reading.reading_mm, 0.1975 * kMmPerInch, 1e-9);
  EXPECT_NEAR(reading.error_mm, -0.0002 * kMmPerInch, 1e-9);
  EXPECT_EQ(reading.revolutions, 1);
  EXPECT_EQ(reading.divisions, 195);
  EXPECT_THAT(describe_indicator(reading, dial, Units::kInch)[1],
              HasSubstr("0.1975 in (1 revolution and 195 divisions of 0.0005 in)"));
  EXPECT_EQ(indicator_reading(0.123, common_indicator(Units::kMillimetre))->divisions, 12);
  EXPECT_EQ(code(indicator_reading(-0.1, dial)), "bad-move");
  EXPECT_EQ(code(indicator_reading(0.1, {0, 1})), "bad-indicator");
  EXPECT_EQ(code(indicator_reading(0.1, {1, 0.5})), "bad-indicator");
  EXPECT_EQ(code(indicator_reading(3, {1e-15, 1})), "bad-indicator") << "more divisions than can be counted";
}

TEST(AdjustBy, ReadsTheWordsOfTheCommandLine) {
  for (const char* word : {"feelers", "screw", "shims", "indicator"})
    EXPECT_EQ(adjust_by_name(*parse_adjust_by(word)), word);
  EXPECT_EQ(code(parse_adjust_by("hammer")), "bad-adjuster");
}

}  // namespace
}  // namespace tapersight
