// A teacher's questions, answered from made-up results whose answers are known.
#include "classroom/class_summary.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "base/rng.h"

namespace tapersight {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::Not;

ClassResult bench(int number, double error, const std::string& verdict) {
  ClassResult r;
  r.picture = "scan-" + std::to_string(number) + ".jpg";
  r.strip = 1;
  r.bench = number;
  r.measured = true;
  r.units = Units::kMillimetre;
  r.error = error;
  r.error_U = 0.00002;
  r.sense = error > 0 ? "counterclockwise" : "clockwise";
  r.sense_known = std::abs(error) > r.error_U;
  r.verdict = verdict;
  r.tolerance = "0.1mm/m";
  r.move_mm = 1000 * std::abs(error);
  r.move_U_mm = 0.02;
  r.move_end = "right";
  r.move_toward = "operator";
  return r;
}

ClassResult refused(int number, const std::string& code) {
  ClassResult r;
  r.picture = "scan.jpg";
  r.strip = 1;
  r.bench = number;
  r.reason = Failure{code, "It is no good.", "Cut a new one."};
  return r;
}

TEST(ClassSummary, ATurnSaidInWordsHasNoSignBesides) {
  ClassResult clockwise = bench(1, -0.0005, "not square");
  clockwise.move_mm.reset();
  EXPECT_THAT(
      class_text({clockwise}, {}, Units::kMillimetre),
      HasSubstr("turn the fence counter-clockwise, seen from above. It is out by -0.1524 +/- 0.0061 mm"));
}

TEST(ClassSummary, WhoMustDoWhat) {
  std::vector<ClassResult> all = {bench(1, 0.0005, "not square"), bench(2, 0.00001, "square"),
                                  bench(3, 0.0001, "cannot be told"), refused(4, "edge-too-ragged")};
  all.push_back(bench(7, 0.00001, "square"));
  all.back().bowed = true;
  all.back().bow_mm[1] = -0.08;
  ClassResult nobodys = refused(0, "strip-without-tag");
  nobodys.bench.reset();
  all.push_back(nobodys);
  ClassNotes notes;
  notes.pictures = notes.pictures_done = 5;
  notes.roster = {{1, ""}, {2, ""}, {3, ""}, {4, ""}, {5, "A. Mills"}, {6, ""}};
  notes.no_distance = {5};
  const std::string text = class_text(all, notes, Units::kMillimetre);
  EXPECT_THAT(text, HasSubstr("To adjust\n  Bench 1: move the right end of the fence 0.500 mm toward you."));
  EXPECT_THAT(text, HasSubstr("To leave alone\n  Bench 2: square within 0.1mm/m"));
  EXPECT_THAT(text, HasSubstr("To cut or scan again\n  Bench 3: too close to call"));
  EXPECT_THAT(text, HasSubstr("  Bench 4: It is no good. Cut a new one."));
  EXPECT_THAT(text, HasSubstr("Unidentified\n  scan.jpg, strip 1: It is no good."));
  EXPECT_THAT(
      text,
      HasSubstr("not in the pictures\n  Bench 5 (A. Mills): scan its strip.\n  Bench 6: scan its strip."));
  EXPECT_THAT(text, HasSubstr("Bowed\n  Bench 7: an edge is hollow by 0.080 mm"));
  EXPECT_THAT(text, HasSubstr("Bench 7: the strip is bowed")) << "a small angle does not make it square";
  EXPECT_THAT(text, HasSubstr("No move given\n  Bench 5 (A. Mills): the roster has no pivot distance."));
  EXPECT_THAT(text, HasSubstr("Unplug the saw"));
  EXPECT_THAT(text, HasSubstr("Keep your hands out of the blade's path"));
  EXPECT_FALSE(all_measured(all, notes));
  EXPECT_THAT(class_text({all[1]}, notes, Units::kInch), Not(HasSubstr("Unplug the saw")))
      << "nobody is told to";
  EXPECT_TRUE(all_measured({all[0], all[1], all[2]}, notes));
  notes.pictures = 6;
  EXPECT_FALSE(all_measured({all[0]}, notes)) << "a picture was not looked at";
}

TEST(ClassSummary, SpreadByHand) {
  const std::vector<ClassResult> all = {bench(1, 1e-4, ""), bench(2, 3e-4, ""), bench(3, -1e-4, ""),
                                        refused(4, "x")};
  const auto spread = class_spread(all);
  ASSERT_TRUE(spread.has_value());
  EXPECT_EQ(spread->benches, 3);
  EXPECT_NEAR(spread->mean, 1e-4, 1e-12);
  EXPECT_NEAR(spread->standard_deviation, 2e-4, 1e-12);
  EXPECT_EQ(spread->smallest_bench, 3);
  EXPECT_EQ(spread->largest_bench, 2);
  EXPECT_FALSE(class_spread({refused(1, "x")}).has_value());
}

std::vector<ClassResult> with_calipers(Rng& rng, int benches, double size_mm, double taper, double u_taper) {
  std::vector<ClassResult> all;
  const double print_scale_mm = 0.02 * rng.normal();  // common to all
  for (int i = 1; i <= benches; ++i) {
    all.push_back(bench(i, 1e-4, "square"));
    CaliperFinding finding;
    finding.size_mm = size_mm + print_scale_mm + 0.01 * rng.normal();
    finding.U_size_mm = 2.97 * std::hypot(0.02, 0.01);
    finding.taper_difference = taper + u_taper * rng.normal();
    finding.u_taper_difference = u_taper;
    all.back().caliper = finding;
  }
  return all;
}

TEST(ClassCaliper, ASoundOneIsHardlyEverAccusedAndAnOffOneIsFound) {
  Rng rng(3);
  int accused = 0, size_found = 0, taper_found = 0;
  for (int trial = 0; trial < 400; ++trial) {
    const auto sound = class_caliper(with_calipers(rng, 8, 0, 0, 1e-4));
    accused += sound->size_off || sound->taper_off;
    size_found += class_caliper(with_calipers(rng, 8, 0.15, 0, 1e-4))->size_off;
    taper_found += class_caliper(with_calipers(rng, 8, 0, 4e-4, 1e-4))->taper_off;
  }
  EXPECT_LE(accused, 8) << "2 % of 400: two checks of 0.3 % each";
  EXPECT_GE(size_found, 396);
  EXPECT_GE(taper_found, 390);
}

TEST(ClassCaliper, TwoBenchesAreNotEverybody) {
  Rng rng(4);
  const auto two = class_caliper(with_calipers(rng, 2, 1, 0.01, 1e-4));
  EXPECT_FALSE(two->size_off || two->taper_off);
  EXPECT_FALSE(class_caliper({bench(1, 1e-4, "")}).has_value());
}

}  // namespace
}  // namespace tapersight
