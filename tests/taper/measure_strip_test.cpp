// From traced edges to the taper: exact on perfect edges whatever the pose, blind to what moves both edges
// alike and to chips, honest about its interval on correlated roughness, and refusing what is no strip.
#include "taper/measure_strip.h"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <string>

#include "base/rng.h"
#include "numeric/student_t.h"

namespace tapersight {
namespace {

constexpr double kPxPerMm = 300 / 25.4;
constexpr double kLengthMm = 230, kWidthMm = 15;
constexpr int kLinesPerPoint = 2;

struct Strip {
  double taper = 0.002, turn_rad = 0.01;
  // Outward, mm, of the point number `i` on a side; and what moves both edges to the right.
  std::function<double(int side, int i, double position_mm)> rough = [](int, int, double) { return 0.0; };
  std::function<double(double position_mm)> shared = [](double) { return 0.0; };
};

SheetMap plain_map() {
  PlaneMap map;
  map.centre_px = {1200, 1700};
  map.scale_px = {1200, 1700};
  map.coefficients.resize(3, 2);
  map.coefficients << 1200 / kPxPerMm, 1700 / kPxPerMm, 1200 / kPxPerMm, 0, 0, 1700 / kPxPerMm;
  return map;
}

struct Traced {
  EdgeTrace trace;
  StripOutline outline;
};

// A strip down the picture, its fence end at the bottom: side 1 is the right one.
Traced traced(const Strip& strip) {
  Traced t;
  t.outline.centre_mm = {100, 140};
  t.outline.along = Eigen::Vector2d(std::sin(strip.turn_rad), std::cos(strip.turn_rad));
  t.outline.far_mm = -kLengthMm / 2;
  t.outline.fence_mm = kLengthMm / 2;
  const SheetMap map = plain_map();
  const int lines = static_cast<int>(kLengthMm * kPxPerMm / kLinesPerPoint);
  t.trace.lines_per_point = kLinesPerPoint;
  for (int i = 0; i < lines; ++i) {
    const double position = -kLengthMm / 2 + (i + 0.5) * kLengthMm / lines;
    t.trace.line_px.push_back(kLinesPerPoint * i);
    for (int side = 0; side < 2; ++side) {
      const double outward = side == 1 ? 1 : -1;
      const double across =
          outward * (kWidthMm / 2 + strip.taper * position / 2 + strip.rough(side, i, position)) +
          strip.shared(position);
      EdgePoint p;
      p.picture_px = map.picture_from_sheet(t.outline.point(position, across));
      p.sigma_px = 0.05;
      p.contrast = 0.5;
      p.valid = true;
      t.trace.points[side].push_back(p);
    }
  }
  t.outline.side_at_mm[0] = -kWidthMm / 2;
  t.outline.side_at_mm[1] = kWidthMm / 2;
  return t;
}

StripFitOptions options() {
  StripFitOptions o;
  o.pixel_mm = 1 / kPxPerMm;
  o.figure_px = 0;  // points without wood
  return o;
}

Result<StripMeasurement> measured(const Strip& strip) {
  const Traced t = traced(strip);
  return measure_strip(t.trace, plain_map(), t.outline, options());
}

TEST(MeasureStrip, PerfectEdgesGiveTheTaperItself) {
  for (const double taper : {-0.01, 0.0, 0.0021})
    for (const double turn : {-0.1, 0.0, 0.04}) {
      Strip strip;
      strip.taper = taper;
      strip.turn_rad = turn;
      const auto m = measured(strip);
      ASSERT_TRUE(m.ok()) << m.failure().code;
      EXPECT_NEAR(m->taper, taper, 1e-9);
      EXPECT_NEAR(m->fence_end_width_mm, kWidthMm + taper * kLengthMm / 2, 1e-6);
      EXPECT_NEAR(m->far_end_width_mm, kWidthMm - taper * kLengthMm / 2, 1e-6);
    }
}

TEST(MeasureStrip, WhatMovesBothEdgesAlikeCancels) {
  Strip strip;
  strip.shared = [](double position) {
    return 0.05 * std::sin(position / 9) + 2e-5 * position * position;  // jitter and a bent way, mm
  };
  const auto m = measured(strip);
  ASSERT_TRUE(m.ok());
  EXPECT_NEAR(m->taper, strip.taper, 2e-6);
  EXPECT_LT(m->edge_correlation, -0.95) << "outward of both, so opposite";
}

const BudgetRow* row_of(const StripMeasurement& m, const std::string& source) {
  for (const BudgetRow& row : m.budget)
    if (row.source == source) return &row;
  return nullptr;
}

// What the sheet shows of a changing scale could all be the scanner's: the interval holds that much, and no
// more than it where nothing is seen but the usual.
TEST(MeasureStrip, AScaleThatIsSeenToChangeIsInTheInterval) {
  const Traced t = traced(Strip());
  StripFitOptions o = options();
  EXPECT_EQ(row_of(*measure_strip(t.trace, plain_map(), t.outline, o), "scale-gradient"), nullptr);
  o.on_sheet_in_scan = true;
  const double unseen = row_of(*measure_strip(t.trace, plain_map(), t.outline, o), "scale-gradient")->u;
  EXPECT_NEAR(unseen, kWidthMm * kUsualGradientPerMm * std::sqrt(0.8 / 2), 1e-3 * unseen);
  for (const double seen : {4e-6, -27e-6}) {
    o.cross_gradient_per_mm = seen;
    const auto m = measure_strip(t.trace, plain_map(), t.outline, o);
    ASSERT_TRUE(m.ok());
    const BudgetRow& row = *row_of(*m, "scale-gradient");
    EXPECT_TRUE(row.of_instrument) << "the strip turned end for end takes it out";
    EXPECT_GT(t_factor(0.95, row.dof) * row.u, kWidthMm * std::abs(seen));
    EXPECT_LT(row.u, kWidthMm * std::abs(seen));
  }
}

// Edges that keep to a column of pixels all the way carry what the fit misses there into the taper; edges
// that cross many do not.
TEST(MeasureStrip, EdgesAlongThePixelsAreLessCertain) {
  StripFitOptions o = options();
  o.on_sheet_in_scan = true;
  const auto phase_u = [&](double turn_rad, double taper) {
    Strip strip;
    strip.turn_rad = turn_rad;
    strip.taper = taper;
    const Traced t = traced(strip);
    return row_of(*measure_strip(t.trace, plain_map(), t.outline, o), "phase")->u;
  };
  // A fifth of a pixel over the strip, both edges: 0.015 px times 2 pi / 5 over the length, times sqrt(2).
  const double fifth_of_pixel = 0.2 / kPxPerMm / kLengthMm;
  const double expected = 0.015 / kPxPerMm * 2 * M_PI / 5 / kLengthMm * std::sqrt(2.0);
  EXPECT_NEAR(phase_u(fifth_of_pixel, 0), expected, 0.08 * expected);
  EXPECT_LT(phase_u(0.03, 0), 0.2 * expected);
  EXPECT_LT(phase_u(0, 0), 1e-3 * expected)
      << "the same phase everywhere moves the edge and does not turn it";
}

TEST(MeasureStrip, AChipIsLeftOutWithItsSurroundings) {
  Strip strip;
  Rng rng(3);
  strip.rough = [&](int side, int, double position) {
    const double chip = side == 1 && position > 80 && position < 84 ? -0.4 : 0;
    return chip + 0.004 * rng.normal();
  };
  const auto m = measured(strip);
  ASSERT_TRUE(m.ok());
  EXPECT_NEAR(m->taper, strip.taper, 4 * m->u_taper);
  EXPECT_LT(m->u_taper, 5e-6);
  for (const EdgeResidual& r : m->edges[1].residuals) {
    const bool near = r.position_mm > 79.7 && r.position_mm < 84.3;
    EXPECT_FALSE(near && r.used) << r.position_mm;
  }
}

TEST(MeasureStrip, BowIsTheMiddlesHeightOverTheChord) {
  Strip strip;
  strip.rough = [](int side, int, double position) {
    const double x = position / (kLengthMm / 2);
    return side == 1 ? 0.04 * (1 - x * x) : 0;
  };
  const auto m = measured(strip);
  ASSERT_TRUE(m.ok());
  // The ends' 2 mm are left out, so the chord is that much shorter.
  const double used = std::pow(1 - 2 * 2 / kLengthMm, 2);
  EXPECT_NEAR(m->edges[1].bow_mm, 0.04 * used, 5e-4);
  EXPECT_NEAR(m->edges[0].bow_mm, 0, 1e-6);
}

// Sprung wood is hollow on one side by as much as it stands out on the other, and an even curve is one edge's
// own whatever the other does. What kinks on one side alone may be a side wall that was taken for the edge
// along a part of it, and then the interval is too wide for any use.
TEST(MeasureStrip, ALargeBowOfOneEdgeIsBelievedWhereItIsEven) {
  const auto bowed = [](double left_mm, double right_mm) {
    Strip strip;
    strip.rough = [=](int side, int, double position) {
      const double x = position / (kLengthMm / 2);
      return (side == 1 ? right_mm : left_mm) * (1 - x * x);
    };
    return measured(strip);
  };
  const auto sprung = bowed(-0.1, 0.1);
  ASSERT_TRUE(sprung.ok()) << sprung.failure().code;
  EXPECT_TRUE(is_bowed(sprung->edges[0]) && is_bowed(sprung->edges[1]));
  EXPECT_NEAR(sprung->taper, Strip().taper, 1e-6);
  for (const double bow_mm : {-0.3, -0.1, 0.1, 0.3}) {
    const auto one_side = bowed(0, bow_mm);
    ASSERT_TRUE(one_side.ok()) << bow_mm << " mm: " << one_side.failure().code;
    EXPECT_NEAR(one_side->taper, Strip().taper, 1e-6);
    EXPECT_NEAR(one_side->edges[1].bow_mm, bow_mm, 0.05 * std::abs(bow_mm));  // the ends are left out
  }
  const auto kinked = [](double at) {
    Strip strip;
    strip.rough = [=](int side, int, double position) {
      return side == 1 ? 0.1 * (1 - std::abs(position / (kLengthMm / 2) - at)) : 0;
    };
    return measured(strip);
  };
  for (const double at : {-0.3, 0.0, 0.4}) {
    const auto two_lines = kinked(at);
    ASSERT_TRUE(two_lines.ok()) << at;
    EXPECT_GT(two_lines->u_of("bow"), 5e-4) << at;  // beyond what a scan is measured to (pipeline/stages.h)
  }
}

// Ten micrometres rms, correlated over 1 mm (an Ornstein-Uhlenbeck process): the usual standard error of a
// slope is several times too small there; the stated interval must hold the truth as often as it says.
TEST(MeasureStrip, TheIntervalHoldsTheTruthOnCorrelatedRoughness) {
  const int strips = 200;
  int inside = 0;
  double square = 0, stated = 0;
  for (int n = 0; n < strips; ++n) {
    Rng rng(static_cast<std::uint64_t>(1000 + n));
    double state[2] = {0.010 * rng.normal(), 0.010 * rng.normal()};
    const double keep = std::exp(-kLinesPerPoint / kPxPerMm / 1.0);
    Strip strip;
    strip.rough = [&](int side, int, double) {
      return state[side] = keep * state[side] + 0.010 * std::sqrt(1 - keep * keep) * rng.normal();
    };
    const auto m = measured(strip);
    ASSERT_TRUE(m.ok());
    const double error = m->taper - strip.taper;
    inside += std::abs(error) <= t_factor(0.95, m->dof) * m->u_taper;
    square += error * error;
    stated += m->u_taper * m->u_taper;
  }
  // Binomial: 95 % of 200, three standard deviations either way.
  EXPECT_GE(inside, 181);
  EXPECT_LE(inside, 199);
  EXPECT_NEAR(std::sqrt(stated / square), 1, 0.2);
}

TEST(MeasureStrip, RefusesWhatIsNoStrip) {
  Strip bent;
  bent.rough = [](int side, int, double position) {
    return (side == 1 ? 1 : -1) * 1.5e-4 * position * position;
  };
  EXPECT_EQ(measured(bent).failure().code, "edge-not-straight");

  Strip ragged;
  ragged.rough = [](int side, int, double position) {
    return side == 0 && position > 10 ? -0.5 * (position - 10) / 20 : 0.0;
  };
  EXPECT_FALSE(measured(ragged).ok());

  Traced gone = traced({});
  for (std::size_t i = 0; i < gone.trace.points[0].size(); ++i) gone.trace.points[0][i].valid = i % 50 == 0;
  EXPECT_EQ(measure_strip(gone.trace, plain_map(), gone.outline, options()).failure().code, "edge-not-found");
}

std::string outcome(const Result<StripMeasurement>& m) {
  return m ? "measured" : m.failure().code;
}

// What to do about it differs: cut a clean strip, or light it better.
TEST(MeasureStrip, TellsAnEdgeThatHardlyShowsFromATornOne) {
  const auto failing = [](const std::function<bool(double position_mm)>& hidden) {
    Traced t = traced({});
    auto& points = t.trace.points[1];
    for (std::size_t i = 0; i < points.size(); ++i)
      points[i].valid = !hidden(-kLengthMm / 2 + (static_cast<double>(i) + 0.5) * kLengthMm /
                                                     static_cast<double>(points.size()));
    return measure_strip(t.trace, plain_map(), t.outline, options());
  };
  EXPECT_EQ(outcome(failing([](double p) { return std::fmod(p + kLengthMm, 1.0) < 0.5; })), "edge-not-found");
  EXPECT_EQ(outcome(failing([](double p) { return p > -25 && p < 45; })), "edge-not-found");
  EXPECT_EQ(outcome(failing([](double p) { return p > -20 && p < 20; })), "measured");

  Strip torn;
  torn.rough = [](int side, int i, double position) {
    return side == 1 && std::fmod(position + kLengthMm, 4.0) < 1.2 ? -1.5 - std::sin(7.0 * i) : 0.0;
  };
  EXPECT_EQ(outcome(measured(torn)), "edge-too-ragged");
}

}  // namespace
}  // namespace tapersight
