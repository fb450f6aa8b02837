#include "fence/describe.h"
#include "report/lines.h"
#include "report/text.h"

namespace tapersight {
namespace {

std::string damaged_text(int lines) {
  return std::to_string(lines) + (lines == 1 ? " line" : " lines") +
         " of the record cannot be read (torn by a power cut, or changed by hand): left out here, and left "
         "in "
         "the file.";
}

}  // namespace

std::string record_text(const RecordReport& report) {
  std::string out = "The record of " + report.sled + "\n";
  for (const std::string& line : record_table(report.entries, report.units)) put(out, "  ", line);
  put_all(out, "What it says", describe_analysis(report.analysis, report.units));
  if (report.decision)
    put_all(out, "Within the tolerance?",
            describe_decision(*report.decision, *report.tolerance, 0, report.units));
  if (report.move) put_all(out, "The next move", describe_move(*report.move, report.setup, report.units));
  put_numbered(out, "What to do, in order", report.steps);
  if (report.damaged_lines > 0) put_all(out, "Mind", {damaged_text(report.damaged_lines)});
  return out;
}

}  // namespace tapersight
