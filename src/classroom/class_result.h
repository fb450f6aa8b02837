// One line of a batch's results: a strip, or what is to be said of a picture or a tag without one.
//
// Schema "tapersight.class.v1", one JSON object a line (results.jsonl):
//   class       name of the class, "" without
//   picture     the picture's name
//   strip       1, 2, ... from left to right on the sheet as printed; 0: the picture as a whole, or a tag
//   bench       number or null
//   student     as the roster has it, "" without
//   named_by    "tag", "file-name" or null
//   status      "measured" or "reported"
//   reason      {code, text, remedy} when reported
//   overlay     the overlay's file, from the results' folder; or null
//   thumbnail   of a strip or picture that was not measured: the picture made small, likewise; or null
//   measurement the measurement, schema tapersight.measurement.v1; or null
//   bench_twice true when another line has the same bench: which of them counts is not for the program to say
#pragma once
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "assess/measurement_report.h"
#include "base/result.h"
#include "base/units.h"

namespace tapersight {

enum class NamedBy { kNothing, kTag, kFileName };

// What is known when a line is made.
struct ResultLine {
  std::string group;  // the class
  std::string picture;
  int strip = 0;
  std::optional<int> bench;
  std::string student;  // of the roster, may be empty
  NamedBy named_by = NamedBy::kNothing;
  std::optional<Failure> reason;
  std::string overlay, thumbnail;             // empty: none
  const MeasurementReport* report = nullptr;  // set when measured
};
std::string result_json(const ResultLine& line);  // one line, without its end

enum class Todo { kAdjust, kLeaveAlone, kMeasureAgain, kReported };
const char* todo_name(Todo todo);  // "adjust", "leave alone", "measure again", "reported"

struct CaliperFinding {
  bool disagrees = false;
  double taper_difference = 0, u_taper_difference = 0;  // caliper less picture
  std::optional<double> size_mm, U_size_mm;             // mean width, caliper less picture
};

// A line read back: what summary and table need of it.
struct ClassResult {
  std::string json;  // the line itself
  std::string group, picture, student, named_by, overlay, thumbnail;
  int strip = 0;
  std::optional<int> bench;
  std::optional<Failure> reason;
  bool twice = false;  // set by mark_twice

  bool measured = false;  // the next are for measured strips
  Units units = Units::kInch;
  double error = 0, error_U = 0;  // of the fence, rad
  bool sense_known = false;
  std::string sense;  // "counterclockwise", ...
  std::optional<double> tolerance_rad;
  std::string verdict, tolerance;              // empty without a tolerance
  std::optional<double> settled_by_length_mm;  // of a longer strip, when the verdict is open
  std::optional<double> move_mm, move_U_mm;    // with a pivot distance
  std::string move_end, move_toward;
  std::string means;             // "use the .010 leaf"; empty when nothing is to be moved
  double cut_length_mm = 304.8;  // over which the error is stated
  SledSetup setup;
  double taper = 0, taper_u = 0, length_mm = 0, fence_end_width_mm = 0, far_end_width_mm = 0;
  double bow_mm[2] = {0, 0};
  bool bowed = false;
  std::vector<std::string> warnings;  // codes
  std::optional<CaliperFinding> caliper;

  Todo todo() const;
};

// Failure "not-a-class-result".
Result<ClassResult> read_result_line(const std::string& json);

// By class, picture and strip; marks benches of one class that come twice (in the json as well).
void put_in_order(std::vector<ClassResult>& results);

// A bench of the roster that no line names.
struct AbsentBench {
  int bench = 0;
  std::string student;  // may be empty
};
std::vector<AbsentBench> absent_benches(const std::vector<ClassResult>& results,
                                        const std::map<int, std::string>& roster);
inline constexpr const char* kAbsentText = "No picture shows a strip of this bench.";
inline constexpr const char* kAbsentRemedy = "Scan it.";

std::string results_jsonl(const std::vector<ClassResult>& results);
// RFC 4180, mm and mm/m; benches without a strip at the end.
std::string results_csv(const std::vector<ClassResult>& results, const std::vector<AbsentBench>& absent = {});

}  // namespace tapersight
