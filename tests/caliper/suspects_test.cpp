// Mistyped readings are named, with the likely slip; clean ones are left in peace.
#include "caliper/suspects.h"

#include <gtest/gtest.h>

#include <cmath>

#include "base/rng.h"
#include "base/units.h"

namespace tapersight {
namespace {

CaliperReadings inches(const std::vector<double>& fence, const std::vector<double>& far) {
  CaliperReadings readings;
  for (const double value : fence) readings.fence_end_mm.push_back(value * kMmPerInch);
  for (const double value : far) readings.far_end_mm.push_back(value * kMmPerInch);
  return readings;
}

TEST(Suspects, NamesTheSlipAndWhatWasMeant) {
  struct Case {
    double typed_in;
    const char* cause;
    double meant_in;
  };
  for (const Case& c :
       {Case{.751, "two digits look swapped", .571}, Case{.517, "two digits look swapped", .571},
        Case{14.5, "millimetres among inches", 14.5 / kMmPerInch},
        Case{5.71, "the decimal point has slipped", .571}, Case{-.571, "the sign is wrong", .571},
        Case{.506, "it belongs to the other end", .506},
        Case{.471, "one digit looks misread or mistyped", .571}}) {
    const Screening screening =
        screen_readings(inches({.571, .570, c.typed_in, .572}, {.506, .505, .507, .506}), 0.0254);
    ASSERT_EQ(screening.suspects.size(), 1U) << c.typed_in;
    const SuspectReading& suspect = screening.suspects[0];
    EXPECT_EQ(suspect.place, ReadingPlace::kFenceEnd);
    EXPECT_EQ(suspect.number, 3U);
    EXPECT_EQ(suspect.cause, c.cause) << c.typed_in;
    ASSERT_TRUE(suspect.meant_mm.has_value()) << c.typed_in;
    // The repair takes the first candidate that is near the others, within twice their spread.
    EXPECT_NEAR(*suspect.meant_mm / kMmPerInch, c.meant_in, 0.0041) << c.typed_in;
    EXPECT_EQ(screening.kept.fence_end_mm.size(), 3U);
    EXPECT_LT(suspect.p, kSuspectLevel);
  }
}

TEST(Suspects, InchesAmongMillimetres) {
  CaliperReadings readings;
  readings.fence_end_mm = {14.50, 14.52, .571, 14.51};
  readings.far_end_mm = {12.85, 12.84, 12.86};
  const Screening screening = screen_readings(readings, 0.01);
  ASSERT_EQ(screening.suspects.size(), 1U);
  EXPECT_EQ(screening.suspects[0].cause, "inches among millimetres");
}

TEST(Suspects, AnOddReadingWithoutASlipToExplainItHasNoCause) {
  const Screening screening = screen_readings(inches({.571, .570, .572, .6284}, {.506, .505, .507}), 0.0127);
  ASSERT_EQ(screening.suspects.size(), 1U);
  EXPECT_EQ(screening.suspects[0].cause, "");
  EXPECT_FALSE(screening.suspects[0].meant_mm);
}

TEST(Suspects, ClosedJawsAndBlockAreScreenedTooAndNumberedAsTaken) {
  CaliperReadings readings = inches({.751, .570, .571, .517, .572}, {.506, .506, .507});
  readings.closed_jaws_mm = {0, 0.0127, 3, 0};
  readings.block_mm = {25.4, 25.4127, 25.4};
  const Screening screening = screen_readings(readings, 0.0127);
  ASSERT_EQ(screening.suspects.size(), 3U);
  EXPECT_EQ(screening.suspects[0].number, 1U);
  EXPECT_EQ(screening.suspects[1].number, 4U);
  EXPECT_EQ(screening.suspects[2].place, ReadingPlace::kClosedJaws);
  EXPECT_EQ(screening.suspects[2].number, 3U);
  EXPECT_EQ(screening.kept.fence_end_mm,
            (std::vector<double>{.570 * kMmPerInch, .571 * kMmPerInch, .572 * kMmPerInch}));
  EXPECT_EQ(screening.kept.closed_jaws_mm, (std::vector<double>{0, 0.0127, 0}));
}

// Four of ten readings 8 thou out with the others close together: the test alone would drop all four.
TEST(Suspects, ManyOddReadingsAreScatterUnlessASlipExplainsThem) {
  const CaliperReadings loose = inches({.579, .563, .571, .571, .5715}, {.514, .506, .498, .506, .506});
  EXPECT_TRUE(screen_readings(loose, 0.0127).suspects.empty());
  const Screening slips =
      screen_readings(inches({.751, .751, .571, .570, .571}, {.560, .506, .560, .506, .507}), 0.0254);
  ASSERT_EQ(slips.suspects.size(), 4U);
  for (const SuspectReading& suspect : slips.suspects) EXPECT_EQ(suspect.cause, "two digits look swapped");
}

TEST(Suspects, TwoReadingsAnEndLoseNone) {
  const Screening screening = screen_readings(inches({.571, .751}, {.506, .506}), 0.0254);
  EXPECT_TRUE(screening.suspects.empty());
  EXPECT_EQ(screening.kept.fence_end_mm.size(), 2U);
}

// The figure that suspects.h claims: about 1 % of clean sets are accused, at any usual number of readings and
// scatter.
TEST(Suspects, AboutOneInAHundredCleanSetsIsAccused) {
  Rng rng(5401);
  const int trials = 4000;
  for (const int n : {3, 5, 10})
    for (const double scatter_steps : {0.2, 0.6, 2.0}) {
      int accused = 0;
      for (int trial = 0; trial < trials; ++trial) {
        CaliperReadings readings;
        const auto read = [&](double truth) {
          return std::round(truth + scatter_steps * rng.normal()) * 0.01;
        };
        const double fence = rng.uniform(1400, 1500);
        for (int i = 0; i < n; ++i) readings.fence_end_mm.push_back(read(fence));
        for (int i = 0; i < n; ++i) readings.far_end_mm.push_back(read(fence - 100));
        if (!screen_readings(readings, 0.01).suspects.empty()) ++accused;
      }
      // 1.2 % of 4000 is 48, standard deviation 7.
      EXPECT_LE(accused, 0.015 * trials + 8) << n << " readings, scatter of " << scatter_steps << " steps";
    }
}

}  // namespace
}  // namespace tapersight
