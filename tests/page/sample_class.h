// A made-up class whose roster holds whatever a roster may hold.
#pragma once
#include "page/class_sheet.h"
#include "page/pictures.h"
#include "report/sample_report.h"

namespace tapersight::testing {

inline constexpr const char* kScriptName = "<script>document.title='broken'</script>";
inline constexpr const char* kQuotedName = "\"Quick\" & 'Sharp' <b>";
inline constexpr const char* kRightToLeftName = "\u05d3\u05d5\u05d2\u05de\u05d4 (1)";  // Hebrew for "sample"
inline constexpr const char* kOverrideName = "\u202Egnp.7-hcneb";  // turns the writing round
inline constexpr const char* kEmojiName = "\U0001f6e0\ufe0f \U0001f9d1\u200d\U0001f527";

inline ClassRow measured_row(const std::string& bench, const std::string& student, Standing standing,
                             double error, double U, const std::string& to_do) {
  ClassRow row;
  row.bench = bench;
  row.student = student;
  row.picture = bench + ".jpg";
  row.standing = standing;
  row.error = error;
  row.U = U;
  row.to_do = to_do;
  row.page_file = "pages/" + bench + ".html";
  return row;
}

inline ClassSheet sample_class() {
  ClassSheet sheet;
  sheet.title = "Period 3 </title><script>";
  sheet.program_version = "9.8.7";
  sheet.tolerance = 2 * kMmPerThou / 304.8;
  sheet.tolerance_text = "2thou/12in";
  sheet.rows.push_back(measured_row("1", kScriptName, Standing::kSquare, 0.00004, 0.00001,
                                    "Leave the fence as it is: it is square."));
  sheet.rows.push_back(measured_row("2", kQuotedName, Standing::kAdjust, -0.00035, 0.00002,
                                    "Move the right end of the fence 15.7 thou (0.0157 in) toward you."));
  sheet.rows.push_back(measured_row("bench 3", kRightToLeftName, Standing::kUndecided, 0.00016, 0.00003,
                                    "Move the right end of the fence 7.2 thou (0.0072 in) away from you."));
  sheet.rows.back().warnings = {"An edge is not straight."};
  ClassRow refused;
  refused.bench = "javascript:alert(4)";
  refused.student = kOverrideName;
  refused.picture = "bench <4>.jpg";
  refused.reason = "There is more than one strip in the picture.";
  refused.to_do = "Leave only the strip to be measured.";
  refused.page_file = "javascript:alert(4)";
  const Jpeg thumbnail = small_picture(sample_picture(), 160).value();
  refused.thumbnail_jpeg = thumbnail.bytes;
  refused.thumbnail_width_px = thumbnail.width_px;
  refused.thumbnail_height_px = thumbnail.height_px;
  sheet.rows.push_back(refused);
  sheet.rows.push_back(measured_row("5", kEmojiName, Standing::kAdjust, 0.004, 0.0001,
                                    "Move the right end of the fence 180.0 thou (0.1800 in) toward you."));
  return sheet;
}

}  // namespace tapersight::testing
