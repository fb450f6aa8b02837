#include "bench/shop.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/rng.h"
#include "base/text.h"
#include "base/units.h"
#include "pipeline/measure_picture.h"
#include "record/response.h"
#include "support/polygon_cuts.h"
#include "synth/render_scan.h"

namespace tapersight::shop {
namespace {

constexpr int kTurns = 4;
constexpr double kBoard_mm = 275;  // leaves a strip of about 217 mm
constexpr double kRoughBoard_mm = 6;
constexpr const char* kWhen = "2031-05-07T09:30:00Z";

struct ShopSled {
  double theta = 0;             // rad, hidden
  double true_distance_mm = 0;  // hidden
  SledSetup setup;              // as typed
};

ShopSled hidden_sled(Rng& rng, const ShopOptions& options) {
  const auto side = [&] { return rng.integer(0, 1) == 0 ? Side::kLeft : Side::kRight; };
  ShopSled sled;
  sled.theta = rng.uniform(-options.largest_error, options.largest_error);
  sled.true_distance_mm = rng.uniform(600, 1200);
  sled.setup.turns = kTurns;
  sled.setup.pivot = side();
  sled.setup.strip_falls = side();
  sled.setup.fence = rng.integer(0, 1) == 0 ? FenceSide::kNear : FenceSide::kFar;
  sled.setup.pivot_distance_mm =
      sled.true_distance_mm * rng.uniform(1 - options.distance_off, 1 + options.distance_off);
  return sled;
}

// Cuts a fresh board all round and puts the strip on the scanner, any way it may lie there.
RenderedScan cut_and_scan(const ShopSled& sled, Rng& rng) {
  polygon_cuts::Sled cutting;
  cutting.theta = sled.theta;
  cutting.fence_far = sled.setup.fence == FenceSide::kFar;
  cutting.keep_left = sled.setup.strip_falls == Side::kRight;
  const auto widths = polygon_cuts::cut_and_turn(kTurns, cutting, kBoard_mm, kRoughBoard_mm, rng);
  ScanScene scene = random_scan_scene(rng.next(), SceneProfile::kSmooth);
  scene.dpi = 300;
  scene.window_sheet_mm = fiducial_bounds(sheet_layout(scene.paper));
  scene.window_margin_mm = 2;
  StripScene& strip = scene.strips.front();
  strip.length_mm = widths.apart_mm / 0.7;  // the two places lie 15 % from the ends
  strip.width_mm = (widths.fence_end_mm + widths.far_end_mm) / 2;
  strip.taper = (widths.fence_end_mm - widths.far_end_mm) / widths.apart_mm;
  strip.offset_y_mm = rng.uniform(-0.4, 0.4) * (254 - strip.length_mm);
  return render_scan(scene);
}

// Measures strips until one can be measured.
std::optional<FenceError> measured(const ShopSled& sled, const ShopOptions& options, Rng& rng,
                                   SledStory& story) {
  for (int strip = 0; strip < options.strips_tried; ++strip) {
    const RenderedScan scan = cut_and_scan(sled, rng);
    ++story.pictures;
    const auto measurement = measure_picture(scan.image, 300.0, 300.0);
    if (measurement) {
      const StripMeasurement& found = measurement->strip;
      const auto error = fence_error({found.taper, found.u_taper, found.dof}, sled.setup);
      if (!error) return std::nullopt;
      story.miss.push_back((error->theta - sled.theta) / error->U);
      return *error;
    }
    ++story.refused;
    story.refusals.push_back(measurement.failure().code);
  }
  return std::nullopt;
}

void note_verdict(const ShopSled& sled, const FenceError& now, const ShopOptions& options, SledStory& story) {
  story.verdict = decide(now, options.tolerance).verdict;
  const bool square = std::fabs(sled.theta) <= options.tolerance.angle;
  if (story.verdict == Verdict::kSquare && !square) ++story.false_squares;
  if (story.verdict == Verdict::kNotSquare && square) ++story.false_not_squares;
}

// Moves the fence as told, with the hand's error; it turns by what its true distance makes of it.
MoveEntry move_fence(ShopSled& sled, const FenceMove& told, const ShopOptions& options, Rng& rng) {
  const double made_mm = std::fmax(0, told.move_mm + options.move_u_mm * rng.normal());
  const double forward_mm = told.toward == Toward::kAwayFromOperator ? made_mm : -made_mm;
  sled.theta += (told.end == Side::kRight ? forward_mm : -forward_mm) / sled.true_distance_mm;
  return {kWhen,    "feelers",  told.move_mm, options.move_u_mm, *sled.setup.pivot_distance_mm,
          told.end, told.toward};
}

}  // namespace

SledStory square_one_sled(std::uint64_t bench, const ShopOptions& options) {
  Rng rng(bench);
  ShopSled sled = hidden_sled(rng, options);
  SledStory story;
  story.bench = bench;
  story.error_before = sled.theta;
  std::vector<RecordEntry> record;
  for (;;) {
    const auto now = measured(sled, options, rng, story);
    if (!now) break;
    record.emplace_back(measurement_entry(*now, kWhen, "strip"));
    const RecordAnalysis analysis = analyse_record(record, options.tolerance);
    const FenceError& fence = analysis.states.back().fence;
    note_verdict(sled, fence, options, story);
    if (analysis.due != Due::kMove || story.moves == options.most_moves) break;
    const NextDistance next = next_distance(analysis.response, *sled.setup.pivot_distance_mm);
    if (next.ask) sled.setup.pivot_distance_mm = *next.seems_mm;  // as the person types it then
    const auto told = next_move(fence, sled.setup, analysis.response);
    if (!told || !told->direction_is_known) break;
    record.emplace_back(move_fence(sled, *told, options, rng));
    ++story.moves;
  }
  story.error_after = sled.theta;
  return story;
}

ShopTable summary(const std::vector<SledStory>& stories, const ShopOptions& options) {
  ShopTable table;
  for (const SledStory& story : stories) {
    ++table.sleds;
    if (std::fabs(story.error_after) <= options.tolerance.angle) ++table.squared;
    if (story.verdict == Verdict::kSquare) ++table.said_square;
    if (story.verdict == Verdict::kNotSquare) ++table.said_not_square;
    if (story.verdict == Verdict::kCannotBeTold) ++table.left_open;
    table.false_squares += story.false_squares;
    table.false_not_squares += story.false_not_squares;
    table.pictures += story.pictures;
    table.refused += story.refused;
    ++table.by_moves[std::min(story.moves, 3)];
    table.measurements += static_cast<int>(story.miss.size());
    for (const double miss : story.miss) table.outside_interval += std::fabs(miss) > 1 ? 1 : 0;
    table.largest_left = std::max(table.largest_left, std::fabs(story.error_after));
  }
  return table;
}

namespace {

std::string thou_over_foot(double rad) {
  return fixed(rad * kMmPerFoot / kMmPerThou, 2);
}

std::string row(const std::string& what, const std::string& value) {
  std::string line = what;
  if (line.size() < 58) line += std::string(58 - line.size(), ' ');
  return line + value + "\n";
}

}  // namespace

std::string story_line(const SledStory& story) {
  std::string line = "bench " + std::to_string(story.bench) + ": " + thou_over_foot(story.error_before) +
                     " -> " + thou_over_foot(story.error_after) + " thou over 12 in, " +
                     std::to_string(story.moves) + " moves, " + std::string(verdict_name(story.verdict));
  for (const std::string& code : story.refusals) line += ", refused: " + code;
  if (story.false_squares > 0) line += ", FALSE SQUARE";
  return line + "\n";
}

std::string table_text(const ShopTable& table) {
  const auto count = [](int n) { return std::to_string(n); };
  const auto part = [](int n, int of) {
    return std::to_string(n) + " of " + std::to_string(of) + "  (" + fixed(100.0 * n / std::max(of, 1), 1) +
           " %)";
  };
  return row("sleds squared to the tolerance, truly", part(table.squared, table.sleds)) +
         row("  without a move / one move / two moves",
             count(table.by_moves[0]) + " / " + count(table.by_moves[1]) + " / " + count(table.by_moves[2])) +
         row("last verdict square / cannot be told / not square", count(table.said_square) + " / " +
                                                                      count(table.left_open) + " / " +
                                                                      count(table.said_not_square)) +
         row("\"square\" said of a fence that was not", count(table.false_squares)) +
         row("\"not square\" said of a fence that was", count(table.false_not_squares)) +
         row("largest error left, thou over 12 in", thou_over_foot(table.largest_left)) +
         row("pictures refused", part(table.refused, table.pictures)) +
         row("95 % intervals that missed the truth", part(table.outside_interval, table.measurements));
}

}  // namespace tapersight::shop
