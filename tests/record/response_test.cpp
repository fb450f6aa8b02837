// What a record says about the fence's answer to a move, against fences whose answer is known.
#include "record/response.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "base/rng.h"
#include "record/sled_visits.h"
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
  EXPECT_EQ(verdict_of(0.002, -0.002, 0.0012), MoveVerdict::kDistanceOff);
  EXPECT_EQ(verdict_of(0.002, -0.002, -0.002), MoveVerdict::kDistanceOff);
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
  EXPECT_THAT(words(0.002, -0.002, 0.0012), Contains(HasSubstr("0.40 times as far as it should")));
  EXPECT_THAT(words(0.002, -0.002, 0.0008), Contains(HasSubstr("Measure that distance again")));
  EXPECT_THAT(words(0.002, -0.002, 0.00001), Contains(HasSubstr("Stop here")));
  EXPECT_THAT(words(0.002, -0.002, 0.0002), Not(Contains(HasSubstr("Stop here"))));
  EXPECT_THAT(words(0.002, -0.002, 0.0002), Contains("The last move did what it should (-24.00 thou over 12 "
                                                     "in was due, -21.6 +/- 1.3 thou over 12 in was "
                                                     "seen; plus is counter-clockwise)."));
}

TEST(AnalyseRecord, TellsWhatIsDue) {
  const Tolerance tolerance{2e-4, "0.2mm/m"};
  EXPECT_EQ(analyse_record({}).due, Due::kMeasure);
  EXPECT_EQ(analyse_record({seen(0.002)}).due, Due::kMove);
  EXPECT_EQ(analyse_record({seen(0.002), moved(-0.002)}).due, Due::kMeasure);
  EXPECT_EQ(analyse_record({seen(0.00001)}).due, Due::kNothing);
  EXPECT_TRUE(analyse_record({seen(0.00001)}).stop_here);
  EXPECT_EQ(analyse_record({seen(0.00015)}).due, Due::kMove);
  EXPECT_EQ(analyse_record({seen(0.0001)}, tolerance).due, Due::kNothing);  // square, though not perfect
  EXPECT_EQ(analyse_record({seen(0.0001, 1e-4)}, tolerance).due, Due::kMeasure);  // neither square nor known
  EXPECT_FALSE(analyse_record({seen(0.00001), moved(-0.00001)}).stop_here);
}

// Strips without a move between them are one state: their mean, with the cutting's scatter in the weights, so
// that a strip measured ten times as well does not count a hundred times as much.
TEST(AnalyseRecord, StripsWithoutAMoveBetweenThemAreAveraged) {
  const auto analysis =
      analyse_record({seen(0.0010, 1e-6), seen(0.00102, 1e-5), moved(-0.001), seen(0, 1e-5)});
  ASSERT_EQ(analysis.states.size(), 2u);
  EXPECT_EQ(analysis.states[0].strips, 2);
  EXPECT_NEAR(analysis.states[0].fence.theta, 0.00101, 1e-6);
  EXPECT_EQ(analysis.steps.size(), 1u);
  EXPECT_EQ(analysis.scatter.strips, 2);
  // One strip says no more of the fence than its cutting lets it.
  const FenceError& one = analysis.states[1].fence;
  EXPECT_NEAR(one.u, std::hypot(1e-5, analysis.scatter.sigma), 1e-9);
}

// What is the same in every strip is as large in their mean.
TEST(AnalyseRecord, WhatSheetAndScannerShareDoesNotAverageOut) {
  std::vector<RecordEntry> entries;
  for (int i = 0; i < 25; ++i) {
    MeasurementEntry m = seen(1e-3, 5e-5);
    m.u_shared = 4e-5;  // and 3e-5 of its own
    entries.emplace_back(m);
  }
  const State state = analyse_record(entries).states.at(0);
  EXPECT_NEAR(state.u_shared, 4e-5, 1e-12);
  EXPECT_GT(state.fence.u, 4e-5);
  EXPECT_LT(state.fence.u, 4.2e-5);
}

// Ten strips that differ by 2 thou over 12 in are believed, not the usual 0.4; ten that agree make the
// scatter smaller than usual, though not nothing.
TEST(AnalyseRecord, LearnsTheScatterOfTheCutting) {
  const auto learned = [](double sigma) {
    Rng rng(5);
    double sum = 0;
    for (int trial = 0; trial < 200; ++trial) {
      std::vector<RecordEntry> entries;
      for (int i = 0; i < 10; ++i) entries.emplace_back(seen(sigma * rng.normal()));
      sum += analyse_record(entries).scatter.sigma / 200;
    }
    return sum;
  };
  const double usual = usual_cut_scatter().sigma;
  EXPECT_NEAR(learned(5 * usual) / (5 * usual), std::sqrt(9.0 / 12.5),
              0.06);  // 4 of some 13 degrees are usual
  EXPECT_NEAR(learned(usual) / usual, 1, 0.1);
  EXPECT_LT(learned(0), 0.7 * usual);
}

// The interval of the mean holds the fence, whatever the cutting scatters by (95 % aimed at; 1500 draws).
TEST(AnalyseRecord, TheMeansIntervalHoldsTheFence) {
  Rng rng(6);
  for (const double thou : {0.0, 0.2, 0.5}) {
    for (const int strips : {2, 3, 6}) {
      int held = 0;
      for (int trial = 0; trial < 1500; ++trial) {
        std::vector<RecordEntry> entries;
        for (int i = 0; i < strips; ++i)
          entries.emplace_back(seen(thou * 0.0254 / 304.8 * rng.normal() + kU * rng.normal()));
        const FenceError fence = analyse_record(entries).states[0].fence;
        held += std::fabs(fence.theta) <= fence.U;
      }
      EXPECT_GE(held, 0.93 * 1500) << thou << " " << strips;
    }
  }
}

TEST(AnalyseRecord, TwoMovesBetweenMeasurementsAddUp) {
  const auto analysis = analyse_record({seen(0.003), moved(-0.001), moved(-0.002), seen(0)});
  EXPECT_NEAR(analysis.steps[0].intended, -0.003, 1e-15);
  EXPECT_NEAR(analysis.steps[0].u_intended, 0.005 / kDistance_mm * std::sqrt(2.0), 1e-12);
}

// A step that did not move, where others did, neither spoils the distance nor hides.
TEST(AnalyseRecord, LeavesWhatDidNotMoveOutOfTheResponse) {
  const auto analysis =
      analyse_record({seen(0.004), moved(-0.002), seen(0.0022), moved(-0.0022), seen(0.0022)});
  EXPECT_EQ(analysis.steps[1].verdict, MoveVerdict::kDidNotMove);
  EXPECT_EQ(analysis.response.moves_used, 1);
  EXPECT_NEAR(1 / *analysis.response.turn_per_mm, kDistance_mm / 0.9, 1e-6);
}

// Monte Carlo over records of several steps: the distance is unbiased and scatters by its stated uncertainty,
// when the cutting scatters as is usual.
TEST(Response, StatedUncertaintyIsTheScatter) {
  Rng rng(71);
  const double gain = 0.93, cutting = usual_cut_scatter().sigma;
  const int trials = 3000;
  double sum = 0, squares = 0, u = 0;
  for (int trial = 0; trial < trials; ++trial) {
    std::vector<RecordEntry> entries;
    double theta = 0.004;
    for (int step = 0; step < 4; ++step) {
      entries.push_back(seen(theta + std::hypot(kU, cutting) * rng.normal()));
      const double turn = step % 2 == 0 ? -0.002 : 0.0015;
      entries.push_back(moved(turn));
      theta += gain * (turn + 0.005 / kDistance_mm * rng.normal());
    }
    entries.push_back(seen(theta + std::hypot(kU, cutting) * rng.normal()));
    const Response response = analyse_record(entries).response;
    ASSERT_EQ(response.moves_used, 4);
    const double found = *response.turn_per_mm * kDistance_mm;
    sum += found - gain;
    squares += std::pow(found - gain, 2);
    u += response.u_turn_per_mm * kDistance_mm / trials;
  }
  EXPECT_LT(std::fabs(sum / trials), 4 * u / std::sqrt(trials));
  EXPECT_NEAR(std::sqrt(squares / trials) / u, 1, 0.06);  // 4 standard errors of an sd from 3000 draws
}

TEST(NextDistance, WithoutMovesTheTypedOneIsTrustedAsFarAsItGoes) {
  const NextDistance next = next_distance(analyse_record({seen(0.002)}).response, 1000);
  EXPECT_EQ(next.distance_mm, 1000);
  EXPECT_NEAR(next.u_mm, 1000 * 0.15 / std::sqrt(3.0), 0.1);
  EXPECT_FALSE(next.seems_mm || next.ask);
}

Response turning(double distance_mm, int moves, double u_relative = 0.02) {
  Response response;
  response.turn_per_mm = 1 / distance_mm;
  response.u_turn_per_mm = u_relative / distance_mm;
  response.moves_used = moves;
  return response;
}

// A length is learned, so what was typed for the moves does not matter, and typing it anew does.
TEST(NextDistance, AveragesWhatAgreesWithTheTypedOne) {
  const NextDistance near = next_distance(turning(1080, 1), 1000);
  EXPECT_GT(near.distance_mm, 1070);
  EXPECT_LT(near.distance_mm, 1080);
  EXPECT_FALSE(near.seems_mm);
  EXPECT_NEAR(next_distance(turning(1080, 1), 1080).distance_mm, 1080, 1e-9);
}

// A move that turned too far is believed; one that turned too little may have slipped. 2 / (1/1000 + 1/2500).
TEST(NextDistance, OneMoveThatDisagreesIsBelievedWithCare) {
  EXPECT_NEAR(next_distance(turning(400, 1), 1000).distance_mm, 400, 1e-9);
  EXPECT_NEAR(next_distance(turning(2500, 1), 1000).distance_mm, 1428.571, 1e-3);
  EXPECT_FALSE(next_distance(turning(2500, 1), 1000).ask);
  EXPECT_FALSE(next_distance(turning(400, 1), 1000).ask);
}

TEST(NextDistance, TwoMovesThatAgreeAreBelievedAndThePersonIsAsked) {
  const Response response = turning(500, 2);
  const NextDistance next = next_distance(response, 1143);
  ASSERT_TRUE(next.ask);
  EXPECT_NEAR(*next.seems_mm, 500, 1e-9);
  SledSetup setup;
  setup.pivot_distance_mm = 1143;
  const FenceError error = *fence_error({0.004, 4e-6, kInfiniteDof}, setup);
  EXPECT_EQ(next_move(error, setup, response).failure().code, "distance-doubtful");
  EXPECT_THAT(ask_for_distance(next, 1143, Units::kInch),
              HasSubstr("Your pivot distance seems to be 19.69 +/- 0.77 in, not 45 in."));
  EXPECT_THAT(ask_for_distance(next, 1143, Units::kInch), HasSubstr("give --pivot-distance 19.7in"));
  setup.pivot_distance_mm = 500;  // typed anew
  EXPECT_TRUE(next_move(error, setup, response).ok());
  Response apart = response;
  apart.moves_agree = false;
  EXPECT_FALSE(next_distance(apart, 1143).ask);
}

TEST(NextMove, IsWorkedOutWithTheLearnedDistance) {
  SledSetup setup;
  setup.pivot_distance_mm = kDistance_mm;
  const FenceError error = *fence_error({0.004, 4e-6, kInfiniteDof}, setup);
  const Response response = turning(1100, 1);
  const NextDistance next = next_distance(response, kDistance_mm);
  const FenceMove plain = *correction_move(error, setup);
  const FenceMove learned = *next_move(error, setup, response);
  EXPECT_NEAR(learned.move_mm, plain.move_mm * next.distance_mm / kDistance_mm, 1e-12);
  EXPECT_NEAR(learned.u_mm, std::hypot(next.distance_mm * 1e-6, 0.001 * next.u_mm), 1e-9);
  EXPECT_EQ(learned.end, plain.end);
  EXPECT_EQ(learned.toward, plain.toward);
  EXPECT_EQ(next_move(error, {}, response).failure().code, "no-pivot-distance");
}

TEST(NextMove, IsNeverLargerThanTheLastWhenThatMadeItWorse) {
  const std::vector<RecordEntry> entries{seen(0.001), moved(-0.001), seen(0.002)};
  const RecordAnalysis analysis = analyse_record(entries);
  EXPECT_TRUE(analysis.response.last_made_it_worse);
  SledSetup setup;
  setup.pivot_distance_mm = kDistance_mm;
  EXPECT_NEAR(next_move(analysis.states.back().fence, setup, analysis.response)->move_mm, 1, 1e-9);
}

// Typed distances from a third of the true one to three times it, and cutting that does not scatter: every
// sled is within the tolerance after at most four moves, and none runs away. tests/bench/record_bench.cpp
// does the same with many more.
TEST(NextMove, SquaresASledWhoseDistanceWasTypedWrong) {
  Rng rng(73);
  const Tolerance tolerance = usual_tolerance(Units::kInch);
  for (const double typed : {0.3, 0.4, 0.6, 1.0, 1.5, 2.2, 3.0})
    for (int i = 0; i < 100; ++i) {
      testing::VisitedSled sled;
      sled.theta = (i % 2 == 0 ? -1 : 1) * rng.uniform(3, 15) * testing::kThouPerFoot;
      sled.typed_over_true = typed;
      const testing::VisitOutcome out = testing::visit(sled, tolerance, rng);
      EXPECT_TRUE(out.stopped) << typed << " after " << out.moves << " moves";
      EXPECT_LE(std::fabs(out.theta_in_four), tolerance.angle) << typed;
      EXPECT_LE(std::fabs(out.theta), tolerance.angle) << typed;
      EXPECT_LE(out.worst, 2.2 * out.before_worst) << typed;
    }
}

// Cutting that scatters by 0.5 thou: the stop fires within three moves, and "square" is hardly ever false.
TEST(NextMove, StopsWhenOnlyTheCuttingScatters) {
  Rng rng(74);
  const Tolerance tolerance = usual_tolerance(Units::kInch);
  int stopped = 0, false_square = 0;
  constexpr int kSleds = 1000;
  for (int i = 0; i < kSleds; ++i) {
    testing::VisitedSled sled;
    sled.theta = rng.uniform(-10, 10) * testing::kThouPerFoot;
    sled.typed_over_true = rng.uniform(0.85, 1.15);
    sled.cut_scatter = 0.5 * testing::kThouPerFoot;
    const testing::VisitOutcome out = testing::visit(sled, tolerance, rng);
    stopped += out.stopped && out.moves <= 3;
    false_square += out.false_square;
  }
  EXPECT_GE(stopped, 0.95 * kSleds);
  EXPECT_LE(false_square, 0.025 * kSleds);
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
      const FenceError& now = analysis.states.back().fence;
      if (decide(now, tolerance).verdict == Verdict::kSquare && std::fabs(theta) > tolerance.angle)
        ++false_square;
      if (analysis.due == Due::kNothing || moves == 2) break;
      if (const NextDistance next = next_distance(analysis.response, *setup.pivot_distance_mm); next.ask)
        setup.pivot_distance_mm = *next.seems_mm;
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
