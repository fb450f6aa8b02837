// A class on one sheet: a row a bench, who must adjust and by how much, who must measure again.
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "base/units.h"
#include "page/standing.h"

namespace tapersight {

// One bench, in plain values. Text may be whatever a roster or a folder holds; it is shown as text.
struct ClassRow {
  std::string bench;       // its name: "7", "bench 7"
  bool identified = true;  // false: a strip or a tag that is nobody's; it is not counted as a bench
  std::string student;     // may be empty
  std::string picture;     // the file's name
  Standing standing = Standing::kNotMeasured;
  std::optional<double> error, U;  // rad, counter-clockwise positive, with its expanded uncertainty
  std::string tolerance_text;      // this bench's own, as it was typed; empty: the sheet's
  std::string to_do;               // one sentence: the move, leaving it alone, or a refused picture's remedy
  std::string reason;              // why it was refused; empty otherwise
  std::vector<std::string> warnings;
  std::string thumbnail_jpeg;  // bytes, shown of a refused picture; may be empty
  int thumbnail_width_px = 0, thumbnail_height_px = 0;
  std::string page_file;  // the bench's own page, a path beside the sheet; empty: none
};

struct ClassSheet {
  std::string title;  // "Period 3, 25 November"; may be empty
  std::string program_version;
  Units units = Units::kInch;
  double cut_length_mm = 304.8;             // over which errors are stated, > 0
  std::optional<double> tolerance;          // rad
  std::string tolerance_text;               // as it was typed
  std::vector<ClassRow> rows;               // in bench order
  std::vector<std::string> over_the_class;  // the average, and the caliper's verdict
};

// The row of one measurement; thumbnail and the bench's own words are left to the caller.
ClassRow class_row(const MeasurementReport& report);

// A whole HTML document: the summary first, then who has to do something, then the table with intervals on
// one common scale. Its rows can be sorted where scripts run and stand in the order given where they do not.
// The same bytes for the same input.
std::string class_sheet_html(const ClassSheet& sheet);

// The sheet's script, which its Content-Security-Policy admits by its hash (SHA-256, base64).
std::string class_sheet_script();
std::string class_sheet_script_hash();

}  // namespace tapersight
