// The judge of bench_world itself: made-up outcomes whose figures are known.
#include "bench/world_judge.h"

#include <gtest/gtest.h>

#include "base/rng.h"

namespace tapersight::testing {
namespace {

constexpr double kThou = 1 / kThouPerTaper;  // a taper of 1 thou over 7.5 in

WorldOutcome measured(double taper, double u, std::vector<std::string> warnings = {}) {
  WorldOutcome outcome;
  outcome.taper = taper;
  outcome.u = u;
  outcome.warnings = std::move(warnings);
  return outcome;
}

WorldOutcome refused(const std::string& code) {
  WorldOutcome outcome;
  outcome.refused = code;
  return outcome;
}

// A good picture of true taper 0, off by these many thou.
WorldTrial good(const std::string& name, double plain_thou, double typed_thou, double turned_thou,
                double u_thou) {
  WorldTrial trial;
  trial.name = name;
  trial.plain = measured(plain_thou * kThou, u_thou * kThou);
  trial.typed = measured(typed_thou * kThou, u_thou * kThou);
  trial.turned = measured(turned_thou * kThou, u_thou * kThou);
  return trial;
}

TEST(WorldJudge, CallsAnAnswerSilentlyWrongOnlyBeyondThreeUAndOneThouWithoutAWarning) {
  EXPECT_TRUE(silently_wrong(measured(1.01 * kThou, 0.3 * kThou), 0));
  EXPECT_TRUE(silently_wrong(measured(-1.01 * kThou, 0.3 * kThou), 0));
  EXPECT_FALSE(silently_wrong(measured(0.99 * kThou, 0.3 * kThou), 0));   // 3.3 u, but under a thou
  EXPECT_FALSE(silently_wrong(measured(1.01 * kThou, 0.34 * kThou), 0));  // over a thou, but under 3 u
  EXPECT_TRUE(silently_wrong(measured(4 * kThou, 0.3 * kThou), 2 * kThou));
  EXPECT_FALSE(silently_wrong(measured(4 * kThou, 0.3 * kThou), 4 * kThou));
  EXPECT_FALSE(silently_wrong(refused("no-target"), 1));
}

TEST(WorldJudge, TakesOnlyWarningsThatSpeakOfTheTaperForSomethingSaid) {
  const auto wrong = [](const char* warning) { return measured(9 * kThou, 0.3 * kThou, {warning}); };
  EXPECT_FALSE(silently_wrong(wrong("edge-bowed"), 0));
  EXPECT_FALSE(silently_wrong(wrong("edge-doubled"), 0));
  EXPECT_TRUE(silently_wrong(wrong("thickness-unknown"), 0));
  EXPECT_TRUE(silently_wrong(wrong("dpi-disagrees"), 0));
}

TEST(WorldJudge, CountsRefusalsAndWhatShouldHaveBeenRefused) {
  WorldTrial refused_one = good("a", 0, 0, 0, 1);
  refused_one.plain = refused("strip-broken");
  WorldTrial two = good("b", 5, 5, 5, 0.1);
  two.good = false;
  two.refusal = "two-strips";
  WorldTrial none = two;
  none.name = "c";
  none.plain = refused("no-strip");
  WorldTrial thrown = good("d", 0, 0, 0, 1);
  thrown.turned = refused("exception");
  const WorldRow row = judge({refused_one, two, none, thrown});
  EXPECT_EQ(row.good, 2);
  EXPECT_EQ(row.must_refuse, 2);
  EXPECT_EQ(row.good_refused, 1);
  EXPECT_EQ(row.codes, (std::map<std::string, int>{{"strip-broken", 1}}));
  EXPECT_EQ(row.wrongly_passed, std::vector<std::string>{"b (two-strips)"});
  EXPECT_EQ(row.threw, std::vector<std::string>{"d"});
  // A picture that must be refused has no true taper: it is in no figure of errors and not silently wrong.
  EXPECT_TRUE(row.silent.empty());
  EXPECT_EQ(row.plain.all.measured, 1);
}

TEST(WorldJudge, KeepsSmoothRoughFaintAndTypedApart) {
  WorldTrial smooth = good("smooth", 0.1, 0.05, 0.1, 1);
  WorldTrial rough = good("rough", -0.4, 3.5, -0.4, 1);
  rough.rough = true;
  WorldTrial faint = good("faint", 0.7, 0.7, 0.7, 1);
  faint.contrast = 0.24;
  WorldTrial bold = good("bold", 0.2, 0.2, 0.2, 1);
  bold.contrast = 0.26;
  const WorldRow row = judge({smooth, rough, faint, bold});
  EXPECT_EQ(row.plain.all.measured, 4);
  EXPECT_NEAR(row.plain.all.median_thou, 0.3, 1e-12);
  EXPECT_NEAR(row.plain.all.worst_thou, 0.7, 1e-12);
  EXPECT_EQ(row.plain.smooth.measured, 3);
  EXPECT_NEAR(row.plain.smooth.median_thou, 0.2, 1e-12);
  EXPECT_EQ(row.plain.rough.measured, 1);
  EXPECT_NEAR(row.plain.rough.worst_thou, 0.4, 1e-12);
  EXPECT_EQ(row.plain.faint.measured, 1);
  EXPECT_NEAR(row.typed.rough.worst_thou, 3.5, 1e-12);
  EXPECT_TRUE(row.silent.empty());
  EXPECT_EQ(row.silent_typed, std::vector<std::string>{"rough"});
}

TEST(WorldJudge, FindsNormalErrorsInsideTheirIntervalsAsOftenAsStated) {
  Rng rng(11);
  std::vector<WorldTrial> honest, bragging;
  for (int i = 0; i < 20000; ++i) {
    const double error = rng.normal();
    honest.push_back(good("h", error, error, 0, 1));
    bragging.push_back(good("b", error, error, 0, 0.5));
  }
  // 20,000 draws: standard deviation 0.0015 at 95 %, 0.0033 at 67.3 % (the normal distribution within 0.98 of
  // its standard deviation; from memory).
  EXPECT_NEAR(judge(honest).plain.all.covered, 0.95, 0.006);
  EXPECT_NEAR(judge(bragging).plain.all.covered, 0.673, 0.014);
}

TEST(WorldJudge, WidensTheIntervalForFewDegreesOfFreedom) {
  WorldTrial trial = good("few", 2.5, 2.5, 0, 1);
  EXPECT_EQ(judge({trial}).plain.all.covered, 0);
  trial.plain.dof = 4;  // t = 2.776 (JCGM 100:2008, table G.2)
  EXPECT_EQ(judge({trial}).plain.all.covered, 1);
}

TEST(WorldJudge, HoldsErrorsAgainstTheDrawnEdgesApart) {
  WorldTrial trial = good("waver", 2.1, 2.1, 2.1, 0.2);
  trial.taper_as_drawn = 2 * kThou;
  const WorldRow row = judge({trial});
  EXPECT_NEAR(row.plain.all.worst_thou, 2.1, 1e-9);
  EXPECT_EQ(row.plain.all.covered, 0);
  EXPECT_NEAR(row.plain.drawn.worst_thou, 0.1, 1e-9);
  EXPECT_EQ(row.plain.drawn.covered, 1);
}

TEST(WorldJudge, HoldsHalfATurnAgainstThePictureItself) {
  WorldTrial lost = good("lost", 0, 0, 0, 1);
  lost.turned = refused("edge-not-found");
  WorldTrial neither = good("neither", 0, 0, 0, 1);
  neither.plain = neither.turned = refused("edge-not-found");
  const WorldRow row = judge(
      {good("a", 0.1, 0, 0.2, 0.5), good("b", 1, 0, -0.6, 0.4), good("c", 0, 0, 0.3, 3), lost, neither});
  EXPECT_EQ(row.turned.both, 3);
  EXPECT_EQ(row.turned.only_one, 1);
  EXPECT_NEAR(row.turned.median_thou, 0.3, 1e-9);
  EXPECT_NEAR(row.turned.worst_thou, 1.6, 1e-9);
  EXPECT_NEAR(row.turned.median_u, 0.2, 1e-9);
  EXPECT_NEAR(row.turned.worst_u, 4, 1e-9);
}

TEST(WorldJudge, SaysNothingOfNoPictures) {
  const WorldRow row = judge({});
  EXPECT_EQ(row.good, 0);
  EXPECT_EQ(row.plain.all.measured, 0);
  EXPECT_EQ(row.turned.both, 0);
}

}  // namespace
}  // namespace tapersight::testing
