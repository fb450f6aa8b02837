// What bench_world says of a world's pictures, from how each of them came out. No pixels, no files.
#pragma once
#include <limits>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace tapersight::testing {

inline constexpr double kThouPerTaper = 7500;  // thou over 7.5 in, per unit of taper

// One measurement of one picture.
struct WorldOutcome {
  std::string refused;  // the failure's code, "exception" where one was thrown; empty: measured
  double taper = 0;
  double u = 0;  // stated standard uncertainty
  double dof = std::numeric_limits<double>::infinity();
  std::vector<std::string> warnings;  // codes

  bool measured() const { return refused.empty(); }
};

struct WorldTrial {
  std::string name;                   // of the picture, the same in every run that makes it
  bool good = true;                   // it can be measured; false: it must be refused
  std::string refusal;                // what a picture that must be refused shows
  bool rough = false;                 // its edges
  double taper = 0;                   // true, of the straight cuts under roughness, waver, kinks and bow
  double taper_as_drawn = 0;          // of the least-squares lines through the edges with all of that;
                                      // the generator's with chips, the traced pictures' without
  std::optional<double> contrast;     // |face - ground|, of white's light
  WorldOutcome plain, typed, turned;  // without bars; check bars typed in; plain again, turned by half a turn
};

inline constexpr double kFaintContrast = 0.25;  // the quarter of white's light

// Warnings that say in so many words that the taper is not affected: a wrong taper beside them is a silent
// one.
bool speaks_of_taper(const std::string& warning);

// Off by more than 3 u and by more than 1 thou over 7.5 in, and no warning that speaks of the taper.
bool silently_wrong(const WorldOutcome& outcome, double true_taper);

struct ErrorFigures {
  int measured = 0;
  double median_thou = 0, worst_thou = 0;  // of |error| over 7.5 in
  double covered = 0;                      // part inside the stated 95 % interval
};

struct ErrorRows {
  ErrorFigures all, smooth, rough, faint;  // faint: contrast below kFaintContrast
  ErrorFigures drawn;                      // all, but against taper_as_drawn
};

struct TurnFigures {
  int both = 0;      // measured both ways: the figures are of these
  int only_one = 0;  // measured one way and refused the other
  double median_thou = 0, worst_thou = 0, median_u = 0, worst_u = 0;  // of |difference|; u: the upright one's
};

struct WorldRow {
  int good = 0, must_refuse = 0;
  int good_refused = 0;                     // without bars
  std::map<std::string, int> codes;         // of those
  std::vector<std::string> wrongly_passed;  // must be refused, but measured
  std::vector<std::string> silent, silent_typed;
  std::vector<std::string> threw;
  ErrorRows plain, typed;
  TurnFigures turned;  // of good pictures
};

WorldRow judge(const std::vector<WorldTrial>& trials);

}  // namespace tapersight::testing
