#include <memory>
#include <optional>

#include "cli/add_options.h"
#include "cli/command.h"
#include "cli/exit_status.h"
#include "cli/outputs.h"
#include "cli/record_options.h"
#include "cli/terminal.h"
#include "fence/plausible.h"
#include "options/shop_options.h"
#include "options/sled_options.h"
#include "report/json.h"
#include "report/text.h"

namespace tapersight {
namespace {

struct CorrectOptions {
  SledOptions sled;
  RingOptions ring;
  RecordOptions record;
  std::optional<std::string> fence_end, far_end, gap_outside, gap_inside;
  std::string apart, json;
  bool details = false;
};

// The lengths that were typed: two widths of a strip, or the two ends of a ring's closing gap.
std::optional<Failure> read_lengths(const CorrectOptions& options, Units units, WidthsReport& report) {
  std::optional<Failure> failure;
  const auto read = [&](double& mm, const std::string& text, const char* what, bool may_be_zero) {
    if (failure) return;
    const auto length = may_be_zero ? parse_length(text, units) : parse_positive_length(text, units, what);
    if (length)
      mm = *length;
    else
      failure = length.failure();
  };
  double apart_mm = 0;
  read(apart_mm, options.apart, "the distance between the two places", false);
  if (options.gap_outside) {
    ClosingGap gap;
    read(gap.outside_mm, *options.gap_outside, "the gap at the outside", true);
    read(gap.inside_mm, *options.gap_inside, "the gap at the inside", true);
    gap.apart_mm = apart_mm;
    report.gap = gap;
  } else {
    read(report.widths.fence_end_mm, *options.fence_end, "the width at the fence end", false);
    read(report.widths.far_end_mm, *options.far_end, "the width at the far end", false);
    const auto doubt = [&](const char* option, const std::string& text, double mm) {
      if (!failure && !options.sled.even_so) failure = doubt_width({option, text, mm, units});
    };
    doubt("--fence-end", *options.fence_end, report.widths.fence_end_mm);
    doubt("--far-end", *options.far_end, report.widths.far_end_mm);
    report.widths.apart_mm = apart_mm;
  }
  return failure;
}

std::optional<Failure> check_mode(const CorrectOptions& options) {
  if ((options.gap_outside || options.gap_inside) && !options.ring.pieces)
    return does_nothing("--gap-outside or --gap-inside", "without --ring-pieces");
  const bool widths = options.fence_end && options.far_end && !options.gap_outside && !options.gap_inside;
  const bool gap = options.gap_outside && options.gap_inside && !options.fence_end && !options.far_end;
  if (widths || gap) return std::nullopt;
  return Failure{"two-widths-needed", "Two widths are needed, one from each place.",
                 "Give --fence-end and --far-end, or for a ring --gap-outside and --gap-inside."};
}

Result<WidthsReport> work_out(const CorrectOptions& options) {
  if (const auto failure = check_mode(options)) return *failure;
  const auto sled = resolve(options.sled);
  if (!sled) return sled.failure();
  const auto ring = resolve_ring(options.ring, options.sled);
  if (!ring) return ring.failure();
  const auto record =
      record_so_far(options.record, std::string(options.gap_outside ? kClosingGap : kTwoWidths));
  if (!record) return record.failure();
  WidthsReport report;
  report.program_version = kProgramVersion;
  report.setup = sled->setup;
  report.units = sled->units;
  report.wishes = {*ring, sled->tolerance, sled->means, *record, sled->even_so};
  if (const auto failure = read_lengths(options, sled->units, report)) return *failure;
  return conclude(std::move(report));
}

std::optional<Failure> check_files(const CorrectOptions& options) {
  std::vector<std::string> inputs{options.sled.config};
  if (!options.record.sled.empty()) {
    const auto record = record_path(options.record);
    if (!record) return record.failure();
    inputs.push_back(*record);
  }
  if (auto failure = check_outputs(inputs, {options.json})) return failure;
  return check_replaced({options.json});
}

int run_correct(const CorrectOptions& options) {
  if (const auto failure = check_files(options)) return report_wrong_usage(*failure);
  const auto report = work_out(options);
  if (!report) return report_wrong_usage(report.failure());
  if (!options.json.empty())
    if (const auto trouble = put_out(options.json, correction_json(*report)))
      return report_failure(*trouble, kFileTrouble);
  if (const auto trouble = keep_in_record(options.record, report->advice))
    return report_failure(*trouble, kFileTrouble);
  if (options.json == "-") return kMeasured;
  const auto trouble = put_out("-", correction_text(*report, out_terminal(), options.details));
  return trouble ? report_failure(*trouble, kFileTrouble) : kMeasured;
}

void add_readings(CLI::App& app, CorrectOptions& options) {
  app.add_option("--fence-end", options.fence_end, "Width at the end that touched the fence")
      ->type_name("LENGTH");
  app.add_option("--far-end", options.far_end, "Width at the other end")->type_name("LENGTH");
  app.add_option("--apart", options.apart, "Distance between the two places where you measured")
      ->type_name("LENGTH")
      ->required();
  app.add_flag("--details", options.details, "Print the steps and all figures as well");
  app.add_option("--json", options.json, "Also write the result as JSON; - for the terminal, alone")
      ->type_name("FILE|-");
}

void add_gap(CLI::App& app, CorrectOptions& options) {
  const char* group = "A mitre checked by a ring's closing gap";
  app.add_option("--gap-outside", options.gap_outside,
                 "Width of the last joint's gap at the ring's outside, the others closed tight; 0 when shut")
      ->type_name("LENGTH")
      ->group(group);
  app.add_option("--gap-inside", options.gap_inside, "The same at the ring's inside")
      ->type_name("LENGTH")
      ->group(group);
}

}  // namespace

Command add_correct_command(CLI::App& program) {
  const auto options = std::make_shared<CorrectOptions>();
  CLI::App* app =
      program.add_subcommand("correct", "Work out the fence's error from two widths read with a caliper");
  add_readings(*app, *options);
  add_sled_options(*app, options->sled);
  add_shop_options(*app, options->sled);
  add_record_options(*app, options->record);
  add_ring_options(*app, options->ring);
  add_gap(*app, *options);
  app->footer(
      "A LENGTH is written like 7.5in, 7 1/2 in, 190.5mm, 5thou or .571.\n"
      "Example:\n  tapersight correct --fence-end .571 --far-end .506 --apart 7.5 --pivot left "
      "--pivot-distance 45in --tolerance 2thou/12in");
  return {app, [options] {
            if (const auto failure = take_sled(options->record, options->sled))
              return report_wrong_usage(*failure);
            return run_correct(*options);
          }};
}

}  // namespace tapersight
