// A teacher's questions, answered from a batch's results.
#pragma once
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "classroom/class_result.h"
#include "report/lines.h"

namespace tapersight {

// How the fences' errors spread over the class. rad.
struct ClassSpread {
  int benches = 0;
  double mean = 0, standard_deviation = 0;  // the latter 0 for one bench
  double smallest = 0, largest = 0;         // signed
  int smallest_bench = 0, largest_bench = 0;
};
std::optional<ClassSpread> class_spread(const std::vector<ClassResult>& results);

// Is a caliper that all benches share off for everybody?
struct ClassCaliper {
  int benches = 0;                // with readings that could be compared
  std::vector<int> disagreeing;   // their benches
  double taper_difference = 0;    // caliper less picture, mean weighted by 1/u^2
  double U_taper_difference = 0;  // 99.7 %, the spread between benches included
  bool taper_off = false;         // three benches or more, and the mean beyond its interval
  std::optional<double> size_mm;  // mean of the differences of size
  double U_size_mm = 0;           // 99.7 %: the print's scale is common to all and does not average out
  bool size_off = false;          // three benches or more, and the mean beyond its interval
};
std::optional<ClassCaliper> class_caliper(const std::vector<ClassResult>& results);

struct ClassNotes {
  int pictures = 0;                   // in the batch
  int pictures_done = 0;              // less when it was stopped
  std::map<int, std::string> roster;  // its benches with their students; empty without one
  std::vector<int> no_distance;       // of them, those that lack the pivot's distance
  std::vector<std::string> unused_columns;
  std::string folder;  // where the results are
};

// One strip's error, what to do, or what is the matter; one sentence or two.
std::string result_sentence(const ClassResult& result);

// Every picture done, every line measured, none twice.
bool all_measured(const std::vector<ClassResult>& results, const ClassNotes& notes);

// How the class spreads, and what is to be said of a caliper that all share.
std::vector<std::string> spread_sentences(const std::vector<ClassResult>& results, Units units);
std::vector<std::string> caliper_sentences(const std::vector<ClassResult>& results, Units units);

std::string class_text(const std::vector<ClassResult>& results, const ClassNotes& notes, Units units,
                       const Terminal& terminal = {});

}  // namespace tapersight
