// What a record says about the fence's answer to a move, against fences whose answer is known.
#include "record/response.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "base/rng.h"
#include "support/polygon_cuts.h"

namespace tapersight {
namespace {

using ::testing::Contains;
using ::testing::HasSubstr;
using ::testing::Not;

constexpr double kDistance_mm = 1000;
constexpr double kU = 1e-5;  // rad, of every measurement

MeasurementEntry seen(double theta, double u = kU) {
  MeasurementEntry m;
  m.when = "2031-05-07T09:30:00Z";
  m.source = "strip.jpg";
  m.theta = theta;
  m.u = u;
  return m;
}

// A move that is meant to turn the fence by `turn` (right end, 1 m from the pivot).
MoveEntry moved(double turn, double u_mm = 0.005) {
  MoveEntry m;
  m.when = "2031-05-07T09:40:00Z";
  m.by = "feelers";
  m.move_mm = std::fabs(turn) * kDistance_mm;
  m.u_mm = u_mm;
  m.pivot_distance_mm = kDistance_mm;
  m.end = Side::kRight;
  m.toward = turn > 0 ? Toward::kAwayFromOperator : Toward::kOperator;
  return m;
}

MoveVerdict verdict_of(double before, double turn, double after) {
  return analyse_record({seen(before), moved(turn), seen(after)}).steps.at(0).verdict;
}

TEST(AnalyseRecord, JudgesTheLastMove) {
  EXPECT_EQ(verdict_of(0.002, -0.002, 0.00001), MoveVerdict::kAsExpected);
  EXPECT_EQ(verdict_of(0.002, -0.002, 0.0002),
            MoveVerdict::kAsExpected);  // 10 % off: a distance typed 15 % off may do that
  EXPECT_EQ(verdict_of(0.002, -0.002, 0.0008), MoveVerdict::kDistanceOff);
  EXPECT_EQ(verdict_of(0.002, -0.002, 0.002), MoveVerdict::kDidNotMove);
  EXPECT_EQ(verdict_of(0.002, -0.002, 0.004), MoveVerdict::kWrongWay);
  EXPECT_EQ(verdict_of(0.002, -0.002, 0.0012), MoveVerdict::kSlipped);
  EXPECT_EQ(verdict_of(0.002, -0.002, -0.002), MoveVerdict::kSlipped);
  EXPECT_EQ(verdict_of(0.00001, -0.00001, 0), MoveVerdict::kCannotBeTold);
  EXPECT_EQ(verdict_of(-0.002, 0.002, 0.00001), MoveVerdict::kAsExpected);
  EXPECT_EQ(verdict_of(-0.002, 0.002, -0.004), MoveVerdict::kWrongWay);
}

TEST(AnalyseRecord, SaysSoInShopWords) {
  const auto words = [](double before, double turn, double after) {
    return describe_analysis(analyse_record({seen(before), moved(turn), seen(after)}), Units::kInch);
  };
  EXPECT_THAT(words(0.002, -0.002, 0.004), Contains(HasSubstr("went the wrong way")));
  EXPECT_THAT(words(0.002, -0.002, 0.002), Contains(HasSubstr("slipped, or nobody moved it")));
  EXPECT_THAT(words(0.002, -0.002, 0.0012), Contains(HasSubstr("Something slipped")));
  EXPECT_THAT(words(0.002, -0.002, 0.0008), Contains(HasSubstr("Measure that distance again")));
  EXPECT_THAT(words(0.002, -0.002, 0.00001), Contains(HasSubstr("Stop here")));
  EXPECT_THAT(words(0.002, -0.002, 0.0002), Not(Contains(HasSubstr("Stop here"))));
  EXPECT_THAT(words(0.002, -0.002, 0.0002), Contains("The last move did what it should (-24.00 thou over 12 "
                                                     "in was due, -21.60 +/- 0.33 thou over 12 in was "
                                                     "seen; plus is counter-clockwise)."));
}

TEST(AnalyseRecord, TellsWhatIsDue) {
  const Tolerance tolerance{1e-4, "0.1mm/m"};
  EXPECT_EQ(analyse_record({}).due, Due::kMeasure);
  EXPECT_EQ(analyse_record({seen(0.002)}).due, Due::kMove);
  EXPECT_EQ(analyse_record({seen(0.002), moved(-0.002)}).due, Due::kMeasure);
  EXPECT_EQ(analyse_record({seen(0.00001)}).due, Due::kNothing);
  EXPECT_TRUE(analyse_record({seen(0.00001)}).stop_here);
  EXPECT_EQ(analyse_record({seen(0.00005)}).due, Due::kMove);
  EXPECT_EQ(analyse_record({seen(0.00005)}, tolerance).due, Due::kNothing);  // square, though not perfect
  EXPECT_EQ(analyse_record({seen(0.00005, 5e-5)}, tolerance).due, Due::kMeasure);  // neither square nor known
  EXPECT_FALSE(analyse_record({seen(0.00001), moved(-0.00001)}).stop_here);
}

// Two measurements without a move between them are one state: the weighted mean.
TEST(AnalyseRecord, RepeatsAreAveraged) {
  const auto analysis =
      analyse_record({seen(0.0010, 1e-5), seen(0.0012, 2e-5), moved(-0.001), seen(0, 1e-5)});
  ASSERT_EQ(analysis.states.size(), 2u);
  EXPECT_NEAR(analysis.states[0].theta, 0.0010 * 0.8 + 0.0012 * 0.2, 1e-15);
  EXPECT_NEAR(analysis.states[0].u, 1e-5 * std::sqrt(0.8), 1e-12);
  EXPECT_EQ(analysis.steps.size(), 1u);
  EXPECT_EQ(analyse_record({seen(1e-4, 0), seen(2e-4, 1e-5)}).states[0].theta,
            1e-4);  // one known without doubt
}

TEST(AnalyseRecord, TwoMovesBetweenMeasurementsAddUp) {
  const auto analysis = analyse_record({seen(0.003), moved(-0.001), moved(-0.002), seen(0)});
  EXPECT_NEAR(analysis.steps[0].intended, -0.003, 1e-15);
  EXPECT_NEAR(analysis.steps[0].u_intended, 0.005 / kDistance_mm * std::sqrt(2.0), 1e-12);
}

// A bad step neither spoils the gain nor hides.
TEST(AnalyseRecord, LeavesSlipsOutOfTheResponse) {
  const auto analysis =
      analyse_record({seen(0.004), moved(-0.002), seen(0.0022), moved(-0.0022), seen(0.0022)});
  EXPECT_EQ(analysis.steps[1].verdict, MoveVerdict::kDidNotMove);
  EXPECT_EQ(analysis.response.moves_used, 1);
  EXPECT_NEAR(*analysis.response.measured_gain, 0.9, 1e-9);
}

// Monte Carlo over records of several steps: the gain is unbiased and scatters by its stated uncertainty.
TEST(Response, StatedUncertaintyIsTheScatter) {
  Rng rng(71);
  const double gain = 0.93;
  const int trials = 3000;
  double sum = 0, squares = 0, u = 0;
  for (int trial = 0; trial < trials; ++trial) {
    std::vector<RecordEntry> entries;
    double theta = 0.0012;
    for (int step = 0; step < 4; ++step) {
      entries.push_back(seen(theta + kU * rng.normal()));
      const double turn = step % 2 == 0 ? -0.0004 : 0.0003;
      entries.push_back(moved(turn));
      theta += gain * (turn + 0.005 / kDistance_mm * rng.normal());
    }
    entries.push_back(seen(theta + kU * rng.normal()));
    const Response response = analyse_record(entries).response;
    ASSERT_EQ(response.moves_used, 4);
    sum += *response.measured_gain - gain;
    squares += std::pow(*response.measured_gain - gain, 2);
    u += response.measured_u / trials;
  }
  EXPECT_LT(std::fabs(sum / trials), 4 * u / std::sqrt(trials));
  EXPECT_NEAR(std::sqrt(squares / trials) / u, 1, 0.06);  // 4 standard errors of an sd from 3000 draws
}

TEST(Response, WithoutMovesTheTypedDistanceIsTrustedAsFarAsItGoes) {
  const Response response = analyse_record({seen(0.002)}).response;
  EXPECT_FALSE(response.measured_gain.has_value());
  EXPECT_EQ(response.gain, 1);
  EXPECT_NEAR(response.u, 0.15 / std::sqrt(3.0), 1e-4);
}

// The response's gain divides the next move: a fence that turns 0.9 of what is due has to be moved 1/0.9 as
// far.
TEST(NextMove, TakesTheResponseIntoAccount) {
  SledSetup setup;
  setup.pivot_distance_mm = kDistance_mm;
  const FenceError error = *fence_error({0.004, 4e-6, kInfiniteDof}, setup);
  Response response;
  response.gain = 0.9;
  response.u = 0.01;
  const FenceMove plain = *correction_move(error, setup);
  const FenceMove learned = *next_move(error, setup, response);
  EXPECT_NEAR(learned.move_mm, plain.move_mm / 0.9, 1e-12);
  EXPECT_NEAR(learned.u_mm, learned.move_mm * std::hypot(0.01 / 0.9, 1e-6 / 0.001), 1e-9);
  EXPECT_EQ(learned.end, plain.end);
  EXPECT_EQ(learned.toward, plain.toward);
  EXPECT_EQ(next_move(error, {}, response).failure().code, "no-pivot-distance");
}

// Five cuts with a fence turned by theta on a rough board; the strip's widths read with errors of u(taper).
FenceError cut_and_measure(double theta, const SledSetup& setup, double u_taper, Rng& rng) {
  polygon_cuts::Sled sled;
  sled.theta = theta;
  sled.fence_far = setup.fence == FenceSide::kFar;
  sled.keep_left = setup.strip_falls == Side::kRight;
  const auto widths = polygon_cuts::cut_and_turn(4, sled, 230, 6, rng);
  const double taper = (widths.fence_end_mm - widths.far_end_mm) / widths.apart_mm + u_taper * rng.normal();
  return *fence_error({taper, u_taper, kInfiniteDof}, setup);
}

// A shop without pictures: hidden errors, any set-up, distances typed up to 15 % wrong, moves made to 1 thou,
// strips cut as polygons and measured to 0.3 thou over 7.5 in. Squared to 2 thou over 12 in after at most two
// moves, and never a false "square".
TEST(NextMove, TwoMovesSquareNearlyEverySled) {
  Rng rng(72);
  const Tolerance tolerance = *parse_tolerance("2thou/12in");
  const double u_taper = 0.3 / 7500;
  int squared = 0, false_square = 0;
  const int sleds = 500;
  const auto side = [&] { return rng.integer(0, 1) == 0 ? Side::kLeft : Side::kRight; };
  for (int sled = 0; sled < sleds; ++sled) {
    double theta = rng.uniform(-0.004, 0.004);
    SledSetup setup;
    setup.pivot = side();
    setup.strip_falls = side();
    setup.fence = rng.integer(0, 1) == 0 ? FenceSide::kNear : FenceSide::kFar;
    const double true_distance = rng.uniform(600, 1200);
    setup.pivot_distance_mm = true_distance * rng.uniform(0.85, 1.15);
    std::vector<RecordEntry> entries;
    for (int moves = 0;; ++moves) {
      const FenceError seen_now = cut_and_measure(theta, setup, u_taper, rng);
      entries.emplace_back(measurement_entry(seen_now, "2031-05-07T09:30:00Z", "strip.jpg"));
      const RecordAnalysis analysis = analyse_record(entries, tolerance);
      const FenceError& now = analysis.states.back();
      if (decide(now, tolerance).verdict == Verdict::kSquare && std::fabs(theta) > tolerance.angle)
        ++false_square;
      if (analysis.due == Due::kNothing || moves == 2) break;
      const FenceMove move = *next_move(now, setup, analysis.response);
      const double made_mm = std::fmax(0, move.move_mm + kMmPerThou * rng.normal());
      entries.emplace_back(MoveEntry{"2031-05-07T09:40:00Z", "feelers", move.move_mm, kMmPerThou,
                                     *setup.pivot_distance_mm, move.end, move.toward});
      // What the fence itself does, from the picture of a fence turning about its pivot.
      const double forward_mm = move.toward == Toward::kAwayFromOperator ? made_mm : -made_mm;
      theta += (move.end == Side::kRight ? forward_mm : -forward_mm) / true_distance;
    }
    if (std::fabs(theta) <= tolerance.angle) ++squared;
  }
  EXPECT_GE(squared, sleds * 98 / 100);
  EXPECT_EQ(false_square, 0);
  RecordProperty("squared", squared);
}

TEST(RecordTable, OneLineAnEntryInTheUnitsAskedFor) {
  ASSERT_EQ(::setenv("TZ", "UTC0", 1), 0);
  ::tzset();
  const std::vector<RecordEntry> entries{seen(0.002), moved(-0.002)};
  const auto lines = record_table(entries, Units::kInch);
  EXPECT_EQ(lines.at(0), "2031-05-07 09:30  measured  24.00 +/- 0.24 thou over 12 in  (strip.jpg)");
  EXPECT_EQ(lines.at(1), "2031-05-07 09:40  moved     right end 78.74 +/- 0.39 thou toward you  (feelers)");
  EXPECT_THAT(record_table(entries, Units::kMillimetre)[0], HasSubstr("2.000 +/- 0.020 mm/m"));
  ASSERT_EQ(::setenv("TZ", "EST5", 1), 0);  // a place five hours behind
  ::tzset();
  EXPECT_EQ(record_table(entries, Units::kInch)[0].rfind("2031-05-07 04:30  ", 0), 0U);
  ASSERT_EQ(::setenv("TZ", "UTC0", 1), 0);
  ::tzset();
}

TEST(RecordPlot, DrawsEveryEntryAndEscapesTheName) {
  const std::string svg = record_plot_svg({seen(0.002), moved(-0.002), seen(0.0001), seen(-0.00005)},
                                          "bench <4> & co", Units::kInch);
  EXPECT_THAT(svg, HasSubstr("bench &lt;4&gt; &amp; co"));
  std::size_t circles = 0;
  for (auto at = svg.find("<circle"); at != std::string::npos; at = svg.find("<circle", at + 1)) ++circles;
  EXPECT_EQ(circles, 3u);
  EXPECT_THAT(svg, HasSubstr(">moved<"));
  EXPECT_THAT(svg, HasSubstr("#8a1c5b")) << "an arrow for the move";
  EXPECT_EQ(svg.find("nan"), std::string::npos);
  EXPECT_EQ(svg.substr(svg.size() - 7), "</svg>\n");
  EXPECT_EQ(record_plot_svg({}, "empty", Units::kMillimetre).find("nan"), std::string::npos);
}

}  // namespace
}  // namespace tapersight
