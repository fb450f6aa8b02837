#include "fence/describe.h"
#include "report/lines.h"
#include "report/text.h"

namespace tapersight {
namespace {

std::string damaged_text(int lines) {
  return std::to_string(lines) + (lines == 1 ? " line" : " lines") +
         " of the record cannot be read (torn by a power cut, or changed by hand). They are left out here "
         "and stay "
         "in the file.";
}

}  // namespace

std::string record_text(const RecordReport& report, const Terminal& terminal) {
  std::string out = "The record of " + report.sled + "\n";
  for (const std::string& line : record_table(report.entries, report.units)) put(out, "  ", line, terminal);
  std::vector<std::string> says = describe_analysis(report.analysis, report.units);
  if (!report.analysis.states.empty()) says.push_back(scatter_words(report.analysis.scatter, report.units));
  put_all(out, "What it says", says, terminal);
  if (report.decision)
    put_all(out, "Square enough?", describe_decision(*report.decision, *report.tolerance, 0, report.units),
            terminal);
  if (report.move) {
    std::vector<std::string> move = describe_move(*report.move, report.setup, report.units);
    move.push_back(
        trust_in_distance(report.analysis.response, *report.setup.pivot_distance_mm, report.units));
    put_all(out, "The next move", move, terminal);
  }
  if (!report.ask_distance.empty()) put_all(out, "The next move", {report.ask_distance}, terminal);
  put_numbered(out, "What to do, in order", report.steps, terminal);
  if (report.damaged_lines > 0) put_all(out, "Note", {damaged_text(report.damaged_lines)}, terminal);
  return out;
}

}  // namespace tapersight
