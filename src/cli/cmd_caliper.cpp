#include <memory>

#include "caliper/plot.h"
#include "cli/add_options.h"
#include "cli/command.h"
#include "cli/exit_status.h"
#include "cli/outputs.h"
#include "cli/terminal.h"
#include "options/caliper_options.h"
#include "options/sled_options.h"
#include "report/json.h"

namespace tapersight {
namespace {

struct CaliperCommand {
  CaliperOptions caliper;
  SledOptions sled;  // only units and turns can be typed here
  std::string tolerance = "2thou/12in";
  std::string json, plot;
};

Result<CaliperReport> judge(const CaliperCommand& options) {
  const auto sled = resolve(options.sled);
  if (!sled) return sled.failure();
  const auto tolerance = parse_tolerance(options.tolerance);
  if (!tolerance) return tolerance.failure();
  const auto file = read_caliper(options.caliper, sled->units);
  if (!file) return file.failure();
  auto report = report_caliper(*file, *tolerance, sled->setup.turns);
  if (!report) return report.failure();
  if (!options.plot.empty() && !report->judgement)
    return Failure{"option-does-nothing", "--plot does nothing without readings at the two ends of a strip.",
                   "Leave it out, or give the readings."};
  report->program_version = kProgramVersion;
  report->units = sled->units;
  return report;
}

int run_caliper(const CaliperCommand& options) {
  if (const auto failure = check_outputs({options.caliper.file}, {options.json, options.plot}))
    return report_wrong_usage(*failure);
  if (const auto failure = check_replaced({options.json})) return report_wrong_usage(*failure);
  if (const auto failure = check_svg(options.plot)) return report_wrong_usage(*failure);
  const auto report = judge(options);
  if (!report) return report_wrong_usage(report.failure());
  if (!options.plot.empty())
    if (const auto trouble = put_out(options.plot, judgement_svg(*report->judgement, report->units)))
      return report_failure(*trouble, kFileTrouble);
  if (!options.json.empty())
    if (const auto trouble = put_out(options.json, caliper_json(*report)))
      return report_failure(*trouble, kFileTrouble);
  if (options.json == "-") return kMeasured;
  const auto trouble = put_out("-", caliper_text(*report, out_terminal()));
  return trouble ? report_failure(*trouble, kFileTrouble) : kMeasured;
}

}  // namespace

Command add_caliper_command(CLI::App& program) {
  const auto options = std::make_shared<CaliperCommand>();
  CLI::App* app = program.add_subcommand("caliper", "Tell whether a caliper's readings can be believed");
  app->add_option("FILE", options->caliper.file, "Readings, one thing a line: fence end, .571, .570")
      ->type_name("");
  app->add_option("--strip-length", options->caliper.strip_length, "Length of the strip")
      ->type_name("LENGTH");
  app->add_option("--tolerance", options->tolerance,
                  "How square the fence has to be, for the plan (2thou/12in)")
      ->type_name("LENGTH/LENGTH");
  app->add_option("--turns", options->sled.turns, "How often the board was turned: five cuts are 4 turns (4)")
      ->type_name("K");
  app->add_option("--units", options->sled.units, "Units of what you read, and of a bare number (in)")
      ->type_name("in|mm");
  app->add_option("--json", options->json, "Also write the result as JSON; - for the terminal, alone")
      ->type_name("FILE|-");
  app->add_option("--plot", options->plot, "Draw the widths and their difference with their intervals")
      ->type_name("FILE.svg");
  add_caliper_options(*app, options->caliper);
  app->footer(
      "A file may hold: fence end, far end, closed jaws, block, block size, strip length, readings at,\n"
      "caliper, resolution, limit, units, and a gauge study (study, PLACE, PERSON, readings).\n"
      "Beside a picture of the same strip: tapersight measure PICTURE --caliper FILE.\n"
      "Example:\n  tapersight caliper --strip-length 8in --fence-end-readings .571,.570,.572 "
      "--far-end-readings "
      ".506,.505,.507");
  return {app, [options] { return run_caliper(*options); }};
}

}  // namespace tapersight
