// The crossed analysis of variance against a published gauge study and against hand-computed designs.
#include "caliper/gauge_study.h"

#include <gtest/gtest.h>

#include <cmath>

#include "base/rng.h"

namespace tapersight {
namespace {

// Ten parts, three appraisers, three trials: the example of AIAG, "Measurement Systems Analysis", 4th ed.
// 2010 (also 3rd ed.), with its analysis of variance as printed in textbooks of gauge studies. Data from
// memory and compared with a public copy; the four-digit sums of squares would show a slip.
const double kAiag[3][3][10] = {{{0.29, -0.56, 1.34, 0.47, -0.80, 0.02, 0.59, -0.31, 2.26, -1.36},
                                 {0.41, -0.68, 1.17, 0.50, -0.92, -0.11, 0.75, -0.20, 1.99, -1.25},
                                 {0.64, -0.58, 1.27, 0.64, -0.84, -0.21, 0.66, -0.17, 2.01, -1.31}},
                                {{0.08, -0.47, 1.19, 0.01, -0.56, -0.20, 0.47, -0.63, 1.80, -1.68},
                                 {0.25, -1.22, 0.94, 1.03, -1.20, 0.22, 0.55, 0.08, 2.12, -1.62},
                                 {0.07, -0.68, 1.34, 0.20, -1.28, 0.06, 0.83, -0.34, 2.19, -1.50}},
                                {{0.04, -1.38, 0.88, 0.14, -1.46, -0.29, 0.02, -0.46, 1.77, -1.49},
                                 {-0.11, -1.13, 1.09, 0.20, -1.07, -0.67, 0.01, -0.56, 1.45, -1.77},
                                 {-0.15, -0.96, 0.67, 0.11, -1.45, -0.49, 0.21, -0.49, 1.87, -2.16}}};

std::vector<StudyReading> aiag_readings() {
  std::vector<StudyReading> readings;
  for (int person = 0; person < 3; ++person)
    for (const auto& trial : kAiag[person])
      for (int part = 0; part < 10; ++part)
        readings.push_back(
            {std::to_string(part + 1), std::string(1, static_cast<char>('A' + person)), trial[part]});
  return readings;
}

void expect_row(const AnovaRow& row, double ss, double dof, double ms, const char* name) {
  EXPECT_NEAR(row.sum_of_squares, ss, 0.00006) << name;
  EXPECT_DOUBLE_EQ(row.dof, dof) << name;
  if (ms > 0) {
    EXPECT_NEAR(row.mean_square, ms, 0.000006) << name;
  }
}

TEST(GaugeStudy, ReproducesThePublishedAnalysisOfVariance) {
  const auto study = gauge_study(aiag_readings());
  ASSERT_TRUE(study.ok()) << study.failure().text;
  expect_row(study->place, 88.3619, 9, 9.81799, "parts");
  expect_row(study->person, 3.1673, 2, 1.58363, "appraisers");
  expect_row(study->interaction, 0.3590, 18, 0.01994, "interaction");
  expect_row(study->repeatability, 2.7589, 60, 0.04598, "repeatability");
  expect_row(study->total, 94.6471, 89, 0, "total");
  EXPECT_NEAR(study->place.f, 492.291, 0.0006);
  EXPECT_NEAR(study->person.f, 79.406, 0.0006);
  EXPECT_NEAR(study->interaction.f, 0.434, 0.0006);
  EXPECT_NEAR(study->interaction.p, 0.974, 0.0006);
  ASSERT_TRUE(study->interaction_pooled) << "p is above 0.25";
  EXPECT_DOUBLE_EQ(study->repeatability_dof, 78);
  EXPECT_NEAR(study->var_repeatability, 0.03997, 0.000006);
  EXPECT_NEAR(study->var_person, 0.05146, 0.000006);
  EXPECT_NEAR(study->var_place, 1.08645, 0.000006);
  EXPECT_NEAR(study->s_repeatability_mm, 0.19993, 0.000006);
  EXPECT_NEAR(study->s_reproducibility_mm, 0.30237, 0.000006);
  EXPECT_TRUE(study->suspects.empty());
}

// Two by two by two with cell means 11 15 / 21 25: sums of squares 200, 32, 0, 8 by hand. With the
// interaction kept its (negative) component is zero and the others are 50 and 8.
TEST(GaugeStudy, AgreesWithAHandComputedDesign) {
  const double cells[2][2] = {{11, 15}, {21, 25}};
  std::vector<StudyReading> readings;
  for (int place = 0; place < 2; ++place)
    for (int person = 0; person < 2; ++person)
      for (const double shift : {-1.0, 1.0})
        readings.push_back({place ? "y" : "x", person ? "B" : "A", cells[place][person] + shift});
  const auto pooled = gauge_study(readings);
  ASSERT_TRUE(pooled.ok());
  EXPECT_NEAR(pooled->place.sum_of_squares, 200, 1e-9);
  EXPECT_NEAR(pooled->person.sum_of_squares, 32, 1e-9);
  EXPECT_NEAR(pooled->interaction.sum_of_squares, 0, 1e-9);
  EXPECT_NEAR(pooled->repeatability.sum_of_squares, 8, 1e-9);
  EXPECT_NEAR(pooled->var_repeatability, 1.6, 1e-9);
  EXPECT_NEAR(pooled->var_person, 7.6, 1e-9);
  EXPECT_NEAR(pooled->var_place, 49.6, 1e-9);
  GaugeStudyOptions keep;
  keep.pool_above_p = 2;
  const auto kept = gauge_study(readings, keep);
  ASSERT_TRUE(kept.ok());
  EXPECT_NEAR(kept->var_repeatability, 2, 1e-9);
  EXPECT_NEAR(kept->var_person, 8, 1e-9);
  EXPECT_NEAR(kept->var_place, 50, 1e-9);
  EXPECT_DOUBLE_EQ(kept->var_interaction, 0);
}

// Known components come back on the average: 400 studies of 5 places, 3 people, 4 repeats with standard
// deviations 0.30, 0.05, 0.04 (interaction) and 0.02.
TEST(GaugeStudy, RecoversKnownVarianceComponents) {
  Rng rng(5201);
  double repeatability = 0, person = 0, interaction = 0, place = 0;
  int covered = 0;
  const int studies = 400;
  for (int study_no = 0; study_no < studies; ++study_no) {
    std::vector<StudyReading> readings;
    double by_person[3];
    for (double& bias : by_person) bias = 0.05 * rng.normal();
    for (int i = 0; i < 5; ++i) {
      const double width = 14 + 0.3 * rng.normal();
      for (int j = 0; j < 3; ++j) {
        const double here = width + by_person[j] + 0.04 * rng.normal();
        for (int k = 0; k < 4; ++k)
          readings.push_back({std::to_string(i), std::to_string(j), here + 0.02 * rng.normal()});
      }
    }
    GaugeStudyOptions keep;
    keep.pool_above_p = 2;
    const auto study = gauge_study(readings, keep);
    ASSERT_TRUE(study.ok());
    repeatability += study->var_repeatability / studies;
    person += study->var_person / studies;
    interaction += study->var_interaction / studies;
    place += study->var_place / studies;
    const DeviationInterval s = study->repeatability_interval_mm;
    if (s.low <= 0.02 && 0.02 <= s.high) ++covered;
  }
  // Standard errors of the averages: 1 %, 6 %, 2 %, 4 % of the values; three of each are allowed.
  EXPECT_NEAR(repeatability, 0.0004, 0.03 * 0.0004);
  EXPECT_NEAR(person, 0.0025, 0.18 * 0.0025);
  EXPECT_NEAR(interaction, 0.0016, 0.07 * 0.0016);
  EXPECT_NEAR(place, 0.09, 0.12 * 0.09);
  EXPECT_NEAR(covered, 380, 13) << "95 % of 400, three standard deviations";
}

TEST(GaugeStudy, OnePersonAloneHasARepeatabilityAndNoReproducibility) {
  std::vector<StudyReading> readings;
  for (const double width : {14.5, 14.0, 13.5})
    for (const double shift : {-0.01, 0.0, 0.01})
      readings.push_back({std::to_string(width), "A", width + shift});
  const auto study = gauge_study(readings);
  ASSERT_TRUE(study.ok()) << study.failure().text;
  EXPECT_NEAR(study->s_repeatability_mm, 0.01, 1e-12);
  EXPECT_NEAR(study->s_reproducibility_mm, 0.01, 1e-12);
  EXPECT_DOUBLE_EQ(study->person.dof, 0);
  EXPECT_DOUBLE_EQ(study->interaction.dof, 0);
  EXPECT_NEAR(study->place.mean_square, 0.75, 1e-9) << "3 repeats times the variance of the places";
}

TEST(GaugeStudy, NamesTheGapAndTheOddReading) {
  std::vector<StudyReading> readings = aiag_readings();
  readings[40].value_mm = 9;
  const auto odd = gauge_study(readings);
  ASSERT_TRUE(odd.ok());
  ASSERT_EQ(odd->suspects.size(), 1U);
  EXPECT_EQ(odd->suspects[0].person, "B");
  EXPECT_EQ(odd->suspects[0].place, "1");
  EXPECT_EQ(odd->suspects[0].number, 2U);

  readings.pop_back();
  const auto gap = gauge_study(readings);
  ASSERT_FALSE(gap.ok());
  EXPECT_EQ(gap.failure().code, "study-not-crossed");
  EXPECT_NE(gap.failure().text.find("C has 2 readings at place 10"), std::string::npos) << gap.failure().text;
  EXPECT_EQ(gauge_study({{"x", "A", 1}, {"x", "A", 2}}).failure().code, "study-too-small");
  EXPECT_EQ(gauge_study({}).failure().code, "study-too-small");
}

}  // namespace
}  // namespace tapersight
