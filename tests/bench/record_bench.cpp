// What a sled's record leads to: bench_record [SEED]. Typed pivot distances from 0.3 to 3 times the true one,
// cutting that scatters, and how often what is advised to settle a decision settles it. The seed is drawn
// anew and printed, so that no figure comes from one that something was chosen on.
#include <cstdio>
#include <cstdlib>
#include <random>

#include "fence/cut_scatter.h"
#include "record/sled_visits.h"

using namespace tapersight;
using namespace tapersight::testing;

namespace {

constexpr int kSleds = 2000;

void typed_distances(const Tolerance& tolerance, double scatter_thou, Rng& rng) {
  std::printf(
      "\nTyped pivot distance over the true one; errors of 3 to 15 thou over 12 in, cutting %.1f thou\n",
      scatter_thou);
  std::printf(
      "  typed/true   within after <= 4 moves   stopped by then   most moves   ever over 3 x the start\n");
  for (const double typed : {0.3, 0.4, 0.5, 0.7, 0.85, 1.0, 1.2, 1.5, 2.0, 2.2, 2.5, 3.0}) {
    int within = 0, most = 0, stopped = 0, diverged = 0;
    for (int i = 0; i < kSleds; ++i) {
      VisitedSled sled;
      sled.theta = (rng.uniform() < 0.5 ? -1 : 1) * rng.uniform(3, 15) * kThouPerFoot;
      sled.typed_over_true = typed;
      sled.cut_scatter = scatter_thou * kThouPerFoot;
      const VisitOutcome out = visit(sled, tolerance, rng);
      within += std::fabs(out.theta_in_four) <= tolerance.angle;
      stopped += out.stopped && out.moves <= 4;
      most = out.moves > most ? out.moves : most;
      diverged += out.worst > 3 * out.before_worst;
    }
    std::printf("  %10.2f %23.1f %% %15.1f %% %12d %25d\n", typed, 100.0 * within / kSleds,
                100.0 * stopped / kSleds, most, diverged);
  }
}

void stopping(const Tolerance& tolerance, Rng& rng) {
  std::printf("\nThe stop; distances typed within 15 %%, errors of 0 to 10 thou over 12 in\n");
  std::printf("  cutting, thou   stops in 3 moves   false \"square\"   square said   within in the end\n");
  for (const double scatter : {0.0, 0.2, 0.5, 0.8}) {
    int stopped = 0, wrong = 0, square = 0, within = 0;
    for (int i = 0; i < kSleds; ++i) {
      VisitedSled sled;
      sled.theta = rng.uniform(-10, 10) * kThouPerFoot;
      sled.typed_over_true = rng.uniform(0.85, 1.15);
      sled.cut_scatter = scatter * kThouPerFoot;
      const VisitOutcome out = visit(sled, tolerance, rng);
      stopped += out.stopped && out.moves <= 3;
      wrong += out.false_square;
      square += out.square_said;
      within += std::fabs(out.theta) <= tolerance.angle;
    }
    std::printf("  %13.1f %16.1f %% %14.2f %% %11.1f %% %17.1f %%\n", scatter, 100.0 * stopped / kSleds,
                100.0 * wrong / kSleds, 100.0 * square / kSleds, 100.0 * within / kSleds);
  }
}

// The mean of several strips: does its interval hold the fence?
void averages(Rng& rng) {
  std::printf("\nThe mean of strips without a move between: intervals that hold the fence's error\n");
  std::printf("  cutting, thou    2 strips    3 strips    5 strips    8 strips\n");
  for (const double scatter : {0.0, 0.2, 0.4, 0.5, 0.8, 1.6}) {
    std::printf("  %13.1f", scatter);
    for (const int strips : {2, 3, 5, 8}) {
      int held = 0;
      for (int i = 0; i < kSleds; ++i) {
        std::vector<RecordEntry> entries;
        for (int k = 0; k < strips; ++k) {
          MeasurementEntry seen;
          seen.u = 0.06 * kThouPerFoot;
          seen.theta = (scatter * rng.normal() + 0.06 * rng.normal()) * kThouPerFoot;
          entries.emplace_back(seen);
        }
        const FenceError fence = analyse_record(entries).states.back().fence;
        held += std::fabs(fence.theta) <= fence.U;
      }
      std::printf(" %8.1f %%", 100.0 * held / kSleds);
    }
    std::printf("\n");
  }
}

// An open decision, and then what was advised: did it settle it?
void advice(const Tolerance& tolerance, Rng& rng) {
  std::printf("\nAdvice to cut more strips, and whether that settled it (said: 9 times in 10)\n");
  std::printf("  cutting, thou   open   advised   settled\n");
  for (const double scatter : {0.2, 0.4, 0.6}) {
    int open = 0, advised = 0, settled = 0;
    for (int i = 0; i < 20 * kSleds; ++i) {
      const double theta = rng.uniform(0, 4) * kThouPerFoot;
      const auto cut = [&] {
        MeasurementEntry seen;
        seen.u = 0.06 * kThouPerFoot;
        seen.theta = theta + (scatter * rng.normal() + 0.06 * rng.normal()) * kThouPerFoot;
        return RecordEntry(seen);
      };
      std::vector<RecordEntry> entries{cut()};
      const auto decided = [&] {
        const State state = analyse_record(entries).states.back();
        PresentMeasurement present;
        present.strips = state.strips;
        present.u_own = state.fence.u * std::sqrt(state.strips);
        present.dof_own = state.fence.dof;
        return decide(state.fence, tolerance, present);
      };
      const SquarenessDecision now = decided();
      if (now.verdict != Verdict::kCannotBeTold) continue;
      ++open;
      if (!now.settled || now.settled->more_strips == 0) continue;
      ++advised;
      for (int k = 0; k < now.settled->more_strips; ++k) entries.push_back(cut());
      settled += decided().verdict != Verdict::kCannotBeTold;
    }
    std::printf("  %13.1f %6d %9d %8.1f %%\n", scatter, open, advised,
                advised > 0 ? 100.0 * settled / advised : 0.0);
  }
}

}  // namespace

int main(int argc, char** argv) {
  const std::uint64_t seed = argc > 1 ? std::strtoull(argv[1], nullptr, 10) : std::random_device{}();
  std::printf("seed %llu, %d sleds a row\n", static_cast<unsigned long long>(seed), kSleds);
  Rng rng(seed);
  const Tolerance tolerance = usual_tolerance(Units::kInch);
  typed_distances(tolerance, 0, rng);
  typed_distances(tolerance, 0.4, rng);
  stopping(tolerance, rng);
  averages(rng);
  advice(tolerance, rng);
  return 0;
}
