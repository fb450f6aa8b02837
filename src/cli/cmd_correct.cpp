#include <memory>

#include "cli/command.h"
#include "cli/exit_status.h"
#include "cli/outputs.h"
#include "cli/sled_options.h"
#include "report/json.h"
#include "report/text.h"

namespace tapersight {
namespace {

struct CorrectOptions {
  SledOptions sled;
  std::string fence_end, far_end, apart, json;
};

Result<WidthsReport> work_out(const CorrectOptions& options) {
  const auto sled = resolve(options.sled);
  if (!sled) return sled.failure();
  WidthsReport report;
  report.program_version = kProgramVersion;
  report.setup = sled->setup;
  report.units = sled->units;
  const auto read = [&](double& mm, const std::string& text, const char* what) -> std::optional<Failure> {
    const auto length = parse_positive_length(text, sled->units, what);
    if (!length) return length.failure();
    mm = *length;
    return std::nullopt;
  };
  if (auto f = read(report.widths.fence_end_mm, options.fence_end, "the width at the fence end")) return *f;
  if (auto f = read(report.widths.far_end_mm, options.far_end, "the width at the far end")) return *f;
  if (auto f = read(report.widths.apart_mm, options.apart, "the distance between the two widths")) return *f;
  return conclude(std::move(report));
}

int run_correct(const CorrectOptions& options) {
  if (const auto failure = check_outputs({options.sled.config}, {options.json}))
    return report_wrong_usage(*failure);
  const auto report = work_out(options);
  if (!report) return report_wrong_usage(report.failure());
  if (!options.json.empty())
    if (const auto trouble = put_out(options.json, correction_json(*report)))
      return report_failure(*trouble, kFileTrouble);
  if (options.json == "-") return kMeasured;
  const auto trouble = put_out("-", correction_text(*report));
  return trouble ? report_failure(*trouble, kFileTrouble) : kMeasured;
}

}  // namespace

Command add_correct_command(CLI::App& program) {
  const auto options = std::make_shared<CorrectOptions>();
  CLI::App* app =
      program.add_subcommand("correct", "Work out the fence's error from two widths read with a caliper");
  app->add_option("--fence-end", options->fence_end, "Width at the end that touched the fence")
      ->type_name("LENGTH")
      ->required();
  app->add_option("--far-end", options->far_end, "Width at the other end")->type_name("LENGTH")->required();
  app->add_option("--apart", options->apart, "Distance between the two places where you measured")
      ->type_name("LENGTH")
      ->required();
  app->add_option("--json", options->json, "Also write the result as JSON; - for the terminal, alone")
      ->type_name("FILE|-");
  add_sled_options(*app, options->sled);
  app->footer(
      "A LENGTH is written like 7.5in, 7 1/2 in, 190.5mm, 5thou or .571.\n"
      "Example:\n  tapersight correct --fence-end .571 --far-end .506 --apart 7.5 --pivot left "
      "--pivot-distance 45in");
  return {app, [options] { return run_correct(*options); }};
}

}  // namespace tapersight
