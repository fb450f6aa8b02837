// What a person reads of the judgement: the sentence fits the fault, and every number has unit and
// uncertainty.
#include "caliper/describe.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "base/text.h"
#include "caliper/caliper_json.h"
#include "caliper/plot.h"

namespace tapersight {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::Not;

CaliperReadings readings() {
  CaliperReadings r;
  for (const double in : {.571, .570, .572, .571, .5715}) r.fence_end_mm.push_back(in * kMmPerInch);
  for (const double in : {.506, .505, .507, .506, .506}) r.far_end_mm.push_back(in * kMmPerInch);
  r.distance_mm = 7.5 * kMmPerInch;
  return r;
}

PictureTaper picture(double difference_thou) {
  PictureTaper p;
  p.taper = difference_thou / 7500;
  p.u_taper = 0.3 / 7500;
  p.dof = 22;
  p.widths = PictureWidths{.572 * kMmPerInch, (.572 - difference_thou / 1000) * kMmPerInch, 0.005, 0.04};
  return p;
}

CaliperJudgement judged(const CaliperReadings& r, const std::optional<PictureTaper>& p) {
  return judge_caliper(r, {}, p).value();
}

std::string joined(const CaliperWords& words) {
  std::string text;
  for (const auto* lines : {&words.sentences, &words.table, &words.advice})
    for (const std::string& line : *lines) text += line + "\n";
  return text;
}

TEST(Describe, AgreementIsSaidWithItsFigure) {
  const auto j = judged(readings(), picture(64.6));
  EXPECT_EQ(verdict_sentence(j, Units::kInch),
            "You can trust this caliper for the taper: its difference agrees with the picture's (E_n = " +
                fixed(*j.normalised_error, 2) + ").");
}

TEST(Describe, AnOffsetIsSaidNotToMatter) {
  CaliperReadings r = readings();
  r.closed_jaws_mm = {0.2032, 0.2032, 0.2159, 0.2032, 0.2032};
  EXPECT_THAT(verdict_sentence(judged(r, picture(64.6)), Units::kInch),
              AllOf(HasSubstr("zero is off by 8.1 thou"), HasSubstr("the taper is not affected")));
}

TEST(Describe, DisagreementOffersTheReversalAndGivesNoCombinedValue) {
  const auto j = judged(readings(), picture(80));
  EXPECT_THAT(verdict_sentence(j, Units::kMillimetre),
              AllOf(HasSubstr("Do not use this caliper for the taper"), HasSubstr("0.38 mm apart")));
  const std::string text = joined(describe_judgement(j, Units::kMillimetre));
  EXPECT_THAT(text, AllOf(HasSubstr("turn the strip end for end"), Not(HasSubstr("\n  both"))));
}

TEST(Describe, ScatterWeaknessAndSizeEachHaveTheirSentence) {
  CaliperReadings loose = readings();
  loose.fence_end_mm[0] += 0.2;
  loose.fence_end_mm[1] -= 0.2;
  loose.far_end_mm[0] += 0.2;
  loose.far_end_mm[2] -= 0.2;
  EXPECT_THAT(verdict_sentence(judged(loose, std::nullopt), Units::kInch),
              AllOf(HasSubstr("do not repeat well enough"), HasSubstr("only a second instrument")));
  PictureTaper sharp = picture(64.6);
  sharp.u_taper /= 10;
  EXPECT_THAT(verdict_sentence(judged(readings(), sharp), Units::kInch), HasSubstr("so that says little"));
  PictureTaper small = picture(64.6);
  small.widths->fence_end_mm -= 0.3;
  small.widths->far_end_mm -= 0.3;
  const auto size = judged(readings(), small);
  EXPECT_THAT(verdict_sentence(size, Units::kInch), HasSubstr("both widths read"));
  EXPECT_THAT(joined(describe_judgement(size, Units::kInch)), HasSubstr("Close the jaws"));
}

TEST(Describe, ALeftOutReadingIsNamedWithItsTestAndItsSlip) {
  CaliperReadings r = readings();
  r.fence_end_mm[3] = .751 * kMmPerInch;
  EXPECT_EQ(describe_judgement(judged(r, std::nullopt), Units::kInch).sentences.at(1),
            "Left out: reading 4 at the fence end, 0.7510 in, where the others read about 0.5712 in; two "
            "digits look "
            "swapped (0.5710 in?). Generalised ESD test, level 0.4 %.");
}

TEST(Describe, TheTableHoldsBothTapersAndTheSourceOfTheLimit) {
  const std::string text = joined(describe_judgement(judged(readings(), picture(64.6)), Units::kInch));
  EXPECT_THAT(text, AllOf(HasSubstr("caliper     65.1 +/- "), HasSubstr("picture     64.60 +/- 0.62 thou"),
                          HasSubstr("in per inch"), HasSubstr("usual for a digital one, from memory")));
}

TEST(Describe, ThePlanReadsAsASentence) {
  PlanRequest request;
  request.scatter_mm = 0.02;
  const auto plan = plan_readings(request, 0).value();
  const auto lines = describe_plan(plan, "2 thou over 12 in", 100, Units::kInch).sentences;
  EXPECT_EQ(lines[0], "To decide 2 thou over 12 in with this caliper take " +
                          std::to_string(plan.advised.readings) +
                          " readings an end on a strip of at least 6.5 in.");
  EXPECT_THAT(lines[1], HasSubstr("too short for that, even with 10 readings an end"));
}

TEST(Describe, TheStudySaysRepeatabilityAndNamesItsRows) {
  std::vector<StudyReading> study;
  for (int place = 0; place < 3; ++place)
    for (int person = 0; person < 2; ++person)
      for (int repeat = 0; repeat < 2; ++repeat)
        study.push_back({std::to_string(place), person ? "B" : "A",
                         14 - 0.5 * place + 0.0254 * (repeat + ((place + person) % 2))});
  const std::string text = joined(describe_study(gauge_study(study).value(), Units::kInch));
  EXPECT_THAT(text, AllOf(HasSubstr("One reading repeats to "), HasSubstr("places x people"),
                          HasSubstr("(thou^2)"), HasSubstr("true difference of the places")));
  const std::string metric = joined(describe_study(gauge_study(study).value(), Units::kMillimetre));
  EXPECT_THAT(metric, HasSubstr("((0.001 mm)^2)"));
  EXPECT_THAT(metric, ::testing::Not(HasSubstr(" um"))) << "one unit of length: mm";
}

TEST(Json, HoldsTheJudgementWithNullsForWhatWasNotMeasured) {
  const auto j = judged(readings(), picture(64.6));
  const auto json = nlohmann::json::parse(judgement_json(j));
  EXPECT_EQ(json["agreement"], "agrees");
  EXPECT_TRUE(json["faults"].empty());
  EXPECT_TRUE(json["zero"].is_null());
  EXPECT_DOUBLE_EQ(json["caliper"]["taper"].get<double>(), j.taper.taper);
  EXPECT_DOUBLE_EQ(json["combined"]["U"].get<double>(), j.best->U);
  const auto alone = nlohmann::json::parse(judgement_json(judged(readings(), std::nullopt)));
  EXPECT_TRUE(alone["picture"].is_null());
  EXPECT_TRUE(alone["normalised_error"].is_null());
  PlanRequest request;
  EXPECT_EQ(nlohmann::json::parse(plan_json(plan_readings(request, 0).value()))["rows"].size(), 8U);
}

TEST(Json, ANameThatIsNotUtf8DoesNotBreakTheStudy) {
  const auto study = gauge_study({{"1", "\xE4", 1}, {"1", "\xE4", 2}, {"2", "\xE4", 1}, {"2", "\xE4", 3}});
  EXPECT_EQ(nlohmann::json::parse(study_json(study.value()))["repeats"], 2);
}

int count(const std::string& text, const std::string& what) {
  int found = 0;
  for (auto at = text.find(what); at != std::string::npos; at = text.find(what, at + 1)) ++found;
  return found;
}

// Marks differ in shape and line: circles, squares on broken lines, one diamond.
TEST(Plot, ShowsBothInstrumentsAtBothEndsAndInTheDifference) {
  const std::string svg = judgement_svg(judged(readings(), picture(64.6)), Units::kInch);
  EXPECT_EQ(count(svg, "<circle"), 3);
  EXPECT_EQ(count(svg, "stroke-dasharray"), 3);
  EXPECT_EQ(count(svg, "fill=\"white\" stroke="), 3);
  EXPECT_EQ(count(svg, "<path"), 1);
  EXPECT_EQ(count(svg, "<svg"), 1);
  EXPECT_EQ(svg.substr(svg.size() - 7), "</svg>\n");
  EXPECT_THAT(svg, HasSubstr("64.60 +/- 0.62 thou"));
  EXPECT_EQ(svg, judgement_svg(judged(readings(), picture(64.6)), Units::kInch)) << "same input, same bytes";
}

TEST(Plot, DrawsOnlyWhatThereIs) {
  const std::string alone = judgement_svg(judged(readings(), std::nullopt), Units::kMillimetre);
  EXPECT_EQ(count(alone, "<circle"), 3);
  EXPECT_EQ(count(alone, "stroke-dasharray"), 0);
  EXPECT_THAT(alone, Not(HasSubstr("picture")));
  const std::string apart = judgement_svg(judged(readings(), picture(80)), Units::kMillimetre);
  EXPECT_EQ(count(apart, "<path"), 0) << "no combined value when they disagree";
}

}  // namespace
}  // namespace tapersight
