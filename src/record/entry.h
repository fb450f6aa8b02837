// What the record of a sled holds: measurements of its fence, and the moves that were made. One entry is one
// line of JSON with a checksum, so that a line which a power cut tore or a hand changed is told from a whole
// one.
#pragma once
#include <ctime>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "base/result.h"
#include "fence/fence_error.h"

namespace tapersight {

struct MeasurementEntry {
  std::string when;    // UTC, "2031-05-07T09:30:00Z"
  std::string source;  // the picture's name, or what was typed
  int turns = 4;
  double theta = 0;           // rad, counter-clockwise positive
  double u = 0;               // rad, standard uncertainty, >= 0
  double dof = kInfiniteDof;  // > 0
  // The part of u that another strip on the same sheet and scanner would have as well: 0 <= u_shared <= u.
  double u_shared = 0;
  std::string note{};  // what the person wrote beside it
};

struct MoveEntry {
  std::string when;
  std::string by;                // "feelers", ...
  double move_mm = 0;            // as made, >= 0
  double u_mm = 0;               // standard uncertainty of making it, >= 0
  double pivot_distance_mm = 0;  // as typed, > 0
  Side end = Side::kRight;       // the end that was moved
  Toward toward = Toward::kNowhere;
  std::string note{};

  // By how much the move should turn the fence if the typed distance is right: rad, counter-clockwise
  // positive.
  double intended_turn() const;
};

// Something to remember by itself: "new blade".
struct NoteEntry {
  std::string when;
  std::string note;  // not empty, at most kMostNote bytes, one line
};
inline constexpr std::size_t kMostNote = 200;

// Sources of what was typed rather than seen in a picture.
inline constexpr std::string_view kTwoWidths = "two widths";
inline constexpr std::string_view kClosingGap = "closing gap";

using RecordEntry = std::variant<MeasurementEntry, MoveEntry, NoteEntry>;

// `of_strip`: without the cutting scatter.
MeasurementEntry measurement_entry(const FenceError& of_strip, std::string when, std::string source,
                                   double u_shared = 0);

// Whether this result stands in the record already, and would count as a second strip: the same picture's
// anywhere, the same typed readings as the last entry.
bool is_recorded(const std::vector<RecordEntry>& entries, const MeasurementEntry& entry);

// Failure: bad-entry (a number that cannot be, a time that is not of the form above, a note of more than a
// line).
std::optional<Failure> validate(const RecordEntry& entry);

// One line without its end, beginning with kRecordPrefix; invalid UTF-8 in a name is replaced.
std::string to_line(const RecordEntry& entry);
inline constexpr std::string_view kRecordPrefix = R"({"schema":"tapersight.record.v1")";

// Failures: line-damaged (not whole or changed by hand), line-unknown (whole, but of a kind not known here).
Result<RecordEntry> from_line(std::string_view line);

std::string utc_text(std::time_t time);

}  // namespace tapersight
