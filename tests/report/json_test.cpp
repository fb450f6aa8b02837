// The JSON's names are a promise to scripts: each is asked for by name here, with its value and unit.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <locale>
#include <nlohmann/json.hpp>

#include "report/json.h"
#include "report/sample_report.h"
#include "report/text.h"

namespace tapersight {
namespace {

using nlohmann::json;
using testing::sample_report;

TEST(MeasurementJson, HoldsEveryPromisedFieldWithItsValue) {
  const json j = json::parse(measurement_json(sample_report()));
  EXPECT_EQ(j.at("schema"), "tapersight.measurement.v1");
  EXPECT_EQ(j.at("status"), "measured");
  EXPECT_EQ(j.at("program").at("version"), "9.8.7");
  EXPECT_EQ(j.at("picture").at("file"), "bench-07.jpg");
  EXPECT_EQ(j.at("picture").at("width_px"), 2100);
  EXPECT_EQ(j.at("picture").at("height_px"), 2970);
  const json& calibration = j.at("calibration");
  EXPECT_EQ(calibration.at("model"), "affine");
  EXPECT_EQ(calibration.at("points_used"), 190);
  EXPECT_EQ(calibration.at("residual_rms_px"), 0.03);
  EXPECT_EQ(calibration.at("px_per_mm_x"), 10);
  EXPECT_EQ(calibration.at("px_per_mm_y"), 10);
  EXPECT_EQ(calibration.at("sheet"), "a4");
  const json& strip = j.at("strip");
  EXPECT_EQ(strip.at("length_mm"), 200);
  EXPECT_EQ(strip.at("fence_end_width_mm"), 20.1);
  EXPECT_EQ(strip.at("far_end_width_mm"), 19.9);
  EXPECT_EQ(strip.at("width_u_mm"), 0.05);
  EXPECT_EQ(strip.at("taper"), 0.001);
  EXPECT_EQ(strip.at("taper_u"), 0.0001);
  EXPECT_EQ(strip.at("taper_dof"), 10);
  ASSERT_EQ(strip.at("edges").size(), 2U);
  EXPECT_EQ(strip.at("edges")[1].at("points_used"), 398);
  EXPECT_EQ(strip.at("edges")[1].at("points_left_out"), 3);
  EXPECT_EQ(strip.at("edges")[1].at("roughness_mm"), 0.0127);
  EXPECT_EQ(strip.at("edges")[1].at("bow_mm"), 0.0054);
  EXPECT_EQ(strip.at("edges")[1].at("bow_u_mm"), 0.005);
  EXPECT_EQ(j.at("warnings"),
            json({{{"code", "strip-along-sensor"}, {"text", "The strip lay across the scanner's way."}}}));
}

TEST(MeasurementJson, FenceErrorIsExpandedAndTaperUIsStandard) {
  const json j = json::parse(measurement_json(sample_report()));
  const json& fence = j.at("fence");
  // Near fence, strip falls right: theta = + taper / turns. t_95(10) = 2.23: JCGM 100:2008, table G.2.
  EXPECT_EQ(fence.at("turns"), 4);
  EXPECT_DOUBLE_EQ(fence.at("error"), 0.00025);
  const json& strip = fence.at("this_strip");
  EXPECT_DOUBLE_EQ(strip.at("error_u"), 0.000025);
  EXPECT_NEAR(strip.at("error_U").get<double>(), 2.228 * 0.000025, 1e-8);
  EXPECT_DOUBLE_EQ(strip.at("error_u_shared"), 1e-6 / 4) << "the budget's rows that are not the strip's own";
  // The fence: with 0.4 thou over 12 in of cutting, four degrees of freedom (JCGM 100:2008, G.2b).
  const double cutting = 0.4 / 12000;
  EXPECT_DOUBLE_EQ(fence.at("cutting_scatter").at("u"), cutting);
  EXPECT_EQ(fence.at("cutting_scatter").at("from"), "common practice");
  EXPECT_EQ(fence.at("strips"), 1);
  EXPECT_NEAR(fence.at("error_u").get<double>(), std::hypot(0.000025, cutting), 1e-12);
  const double dof =
      std::pow(std::hypot(0.000025, cutting), 4) / (std::pow(0.000025, 4) / 10 + std::pow(cutting, 4) / 4);
  EXPECT_NEAR(fence.at("dof").get<double>(), dof, 1e-6);
  EXPECT_NEAR(fence.at("error_U").get<double>(), 9.48e-5, 1e-7);
  EXPECT_EQ(fence.at("sense"), "counterclockwise");
  EXPECT_EQ(fence.at("sense_known"), true);
  EXPECT_DOUBLE_EQ(fence.at("over_cut").at("error_mm"), 0.125);  // over 500 mm
  EXPECT_DOUBLE_EQ(fence.at("error_mm_per_m"), 0.25);
  EXPECT_NEAR(fence.at("error_deg").get<double>(), 0.014324, 1e-6);
  const json& correction = j.at("correction");
  EXPECT_DOUBLE_EQ(correction.at("move_mm"), 0.25);  // at 1000 mm
  EXPECT_NEAR(correction.at("move_U_mm").get<double>(), 0.0948, 0.0001);
  EXPECT_EQ(correction.at("end"), "right");
  EXPECT_EQ(correction.at("toward"), "operator");
}

TEST(MeasurementJson, SignFollowsTheSetUp) {
  MeasurementReport report = sample_report();
  report.setup.fence = FenceSide::kFar;
  report.setup.pivot = Side::kRight;
  conclude(report);
  const json j = json::parse(measurement_json(report));
  EXPECT_DOUBLE_EQ(j.at("fence").at("error"), -0.00025);
  EXPECT_EQ(j.at("fence").at("sense"), "clockwise");
  EXPECT_EQ(j.at("correction").at("end"), "left");
  EXPECT_EQ(j.at("options").at("fence"), "far");
}

TEST(MeasurementJson, WithoutPivotDistanceThereIsNoCorrection) {
  MeasurementReport report = sample_report();
  report.setup.pivot_distance_mm.reset();
  report.move.reset();
  conclude(report);
  EXPECT_TRUE(json::parse(measurement_json(report)).at("correction").is_null());
}

TEST(MeasurementJson, InfiniteDegreesOfFreedomAreNull) {
  const json j = json::parse(measurement_json(sample_report()));
  EXPECT_EQ(j.at("strip").at("budget")[0].at("dof"), 10);
  EXPECT_TRUE(j.at("strip").at("budget")[1].at("dof").is_null());
}

TEST(MeasurementJson, RejectedSaysWhyAndNoNumber) {
  MeasurementReport report = sample_report();
  report.measurement = Failure{"no-strip", "No strip.", "Lay one in."};
  const json j = json::parse(measurement_json(report));
  EXPECT_EQ(j.at("status"), "rejected");
  EXPECT_EQ(j.at("reason"), json({{"code", "no-strip"}, {"text", "No strip."}, {"remedy", "Lay one in."}}));
  EXPECT_EQ(j.at("picture").at("width_px"), 2100);
  for (const char* name : {"strip", "fence", "correction", "calibration"})
    EXPECT_FALSE(j.contains(name)) << name;
}

TEST(MeasurementJson, ImplausibleTaperBecomesARejection) {
  MeasurementReport report = sample_report();
  report.measurement->strip.taper = 0.2;
  report.fence.reset();
  conclude(report);
  const json j = json::parse(measurement_json(report));
  EXPECT_EQ(j.at("status"), "rejected");
  EXPECT_EQ(j.at("reason").at("code"), "taper-implausible");
}

TEST(MeasurementJson, KeysStandInOneOrder) {
  std::vector<std::string> keys;
  const auto parsed = nlohmann::ordered_json::parse(measurement_json(sample_report()));
  for (const auto& item : parsed.items()) keys.push_back(item.key());
  EXPECT_THAT(keys, ::testing::ElementsAre("schema", "status", "program", "picture", "options", "calibration",
                                           "strip", "fence", "correction", "ring", "decision", "adjustment",
                                           "bowed", "pivot_distance_doubt", "record", "warnings"));
}

TEST(MeasurementJson, NameThatIsNotUtf8IsStillReadableJson) {
  MeasurementReport report = sample_report();
  report.picture.file = "b\xE4nk.jpg";  // Latin-1
  EXPECT_EQ(json::parse(measurement_json(report)).at("picture").at("file"), "b\uFFFDnk.jpg");
}

TEST(CorrectionJson, HandbookCaseInMillimetres) {
  // Common practice, no published source: .571 and .506 in, 7.5 in apart, 45 in from the pivot: .0975 in.
  WidthsReport widths;
  widths.widths.fence_end_mm = 0.571 * 25.4;
  widths.widths.far_end_mm = 0.506 * 25.4;
  widths.widths.apart_mm = 7.5 * 25.4;
  widths.setup.pivot_distance_mm = 45 * 25.4;
  const auto report = conclude(widths);
  ASSERT_TRUE(report.ok());
  const json j = json::parse(correction_json(*report));
  EXPECT_EQ(j.at("schema"), "tapersight.correction.v1");
  EXPECT_NEAR(j.at("fence").at("error").get<double>(), 0.065 / 7.5 / 4, 1e-12);
  EXPECT_NEAR(j.at("correction").at("move_mm").get<double>() / 25.4, 0.0975, 1e-9);
  EXPECT_EQ(j.at("correction").at("toward"), "operator");
}

// Commas for points and thousands in groups, as half of Europe writes.
struct CommaNumbers : std::numpunct<char> {
  char do_decimal_point() const override { return ','; }
  char do_thousands_sep() const override { return '.'; }
  std::string do_grouping() const override { return "\3"; }
};

TEST(Report, SameBytesUnderAnotherLocale) {
  const MeasurementReport report = sample_report();
  const std::string plain_json = measurement_json(report);
  const std::string plain_text = measurement_text(report);
  const std::locale before = std::locale::global(std::locale(std::locale::classic(), new CommaNumbers));
  const std::string other_json = measurement_json(report);
  const std::string other_text = measurement_text(report);
  std::locale::global(before);
  EXPECT_EQ(plain_json, other_json);
  EXPECT_EQ(plain_text, other_text);
}

}  // namespace
}  // namespace tapersight
