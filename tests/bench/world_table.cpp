#include <cstdarg>
#include <cstdio>

#include "bench/world_report.h"

namespace tapersight::testing {
namespace {

__attribute__((format(printf, 1, 2))) std::string line(const char* format, ...) {
  char text[256];
  va_list arguments;
  va_start(arguments, format);
  std::vsnprintf(text, sizeof text, format, arguments);
  va_end(arguments);
  return std::string(text) + "\n";
}

// A figure in its column; "-" where there is nothing that it could be of.
std::string cell(double value, int width, int decimals, bool known) {
  char text[40];
  if (known)
    std::snprintf(text, sizeof text, "%*.*f", width, decimals, value);
  else
    std::snprintf(text, sizeof text, "%*s", width, "-");
  return text;
}

std::string counts_of(const std::string& world, const WorldRow& row) {
  const TurnFigures& t = row.turned;
  const bool known = t.both > 0;
  const std::string turned = cell(t.median_thou, 9, 3, known) + cell(t.worst_thou, 9, 3, known) +
                             cell(t.median_u, 7, 2, known) + cell(t.worst_u, 7, 2, known);
  return line("%-15s %4d %4d %5d %4d %4zu %5zu %5zu %5d %4d%s", world.c_str(), row.good + row.must_refuse,
              row.good, row.good_refused, row.must_refuse, row.wrongly_passed.size(), row.silent.size(),
              row.silent_typed.size(), t.both, t.only_one, turned.c_str());
}

std::string cells(const ErrorFigures& f) {
  const bool known = f.measured > 0;
  return cell(f.median_thou, 9, 3, known) + cell(f.worst_thou, 9, 3, known) +
         cell(100 * f.covered, 9, 1, known);
}

std::string errors_of(const std::string& name, const ErrorFigures& plain, const ErrorFigures& typed) {
  if (plain.measured == 0 && typed.measured == 0) return "";
  return line("%-24s %6d%s    %8d%s", name.c_str(), plain.measured, cells(plain).c_str(), typed.measured,
              cells(typed).c_str());
}

std::string list_of(const char* what, const std::vector<std::string>& names) {
  std::string text;
  for (const std::string& name : names) text += "    " + std::string(what) + ": " + name + "\n";
  return text;
}

}  // namespace

std::string world_table(const WorldRun& run) {
  std::string counts = line("seed %llu, %d good pictures a generated world",
                            static_cast<unsigned long long>(run.seed), run.count);
  counts +=
      "\n                           good must-refuse silent wrong  good ones turned by half a turn"
      "\nworld            all good ref'd  all meas plain  bars  both  one   median    worst  med/u worst/u\n";
  std::string errors =
      "\nErrors of the taper, thou over 7.5 in, of good pictures that are measured: against the straight\n"
      "cuts; \"as drawn\": against the least-squares lines through the edges, waver, chips and all (the\n"
      "traced pictures' and the program leave chips out)\n"
      "                         without check bars                     check bars typed\n"
      "world                     meas.   median    worst  in 95 %       meas.   median    worst  in 95 %\n";
  std::string notes = "\nRefusals of good pictures (without bars), and what went wrong\n";
  for (const WorldTrials& world : run.worlds) {
    const WorldRow row = judge(world.trials);
    counts += counts_of(world.world, row);
    errors += errors_of(world.world, row.plain.all, row.typed.all);
    errors += errors_of("    smooth edges", row.plain.smooth, row.typed.smooth);
    errors += errors_of("    rough edges", row.plain.rough, row.typed.rough);
    errors += errors_of("    faint, under 1/4", row.plain.faint, row.typed.faint);
    errors += errors_of("    all, as drawn", row.plain.drawn, row.typed.drawn);
    notes += world.world + "\n";
    for (const auto& [code, count] : row.codes) notes += line("    %s x %d", code.c_str(), count);
    notes += list_of("must be refused, MEASURED", row.wrongly_passed);
    notes += list_of("SILENT WRONG", row.silent);
    notes += list_of("SILENT WRONG with bars", row.silent_typed);
    notes += list_of("EXCEPTION", row.threw);
  }
  return counts + errors + notes;
}

}  // namespace tapersight::testing
