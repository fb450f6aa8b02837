#include <algorithm>
#include <cmath>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <system_error>
#include <vector>

#include "assess/assess.h"
#include "caliper/plot.h"
#include "cli/add_options.h"
#include "cli/command.h"
#include "cli/exit_status.h"
#include "cli/outputs.h"
#include "cli/reading_options.h"
#include "cli/record_options.h"
#include "cli/terminal.h"
#include "options/caliper_options.h"
#include "options/picture_words.h"
#include "options/shop_options.h"
#include "options/sled_options.h"
#include "overlay/overlay.h"
#include "page/measurement_page.h"
#include "report/json.h"
#include "report/text.h"
#include "room/load_picture.h"

namespace tapersight {
namespace {

struct MeasureOptions {
  SledOptions sled;
  RingOptions ring;
  RecordOptions record;
  CaliperOptions caliper;
  std::vector<std::string> pictures, reversed;
  std::string picture, json, overlay, page, caliper_plot;
  PictureWords words;
  ReadOptions reading;
  std::optional<std::string> wider;
  bool details = false;
};

std::vector<FurtherPicture> further_pictures(const MeasureOptions& options) {
  std::vector<FurtherPicture> further;
  for (std::size_t i = 1; i < options.pictures.size(); ++i) further.push_back({options.pictures[i], false});
  for (const std::string& file : options.reversed) further.push_back({file, true});
  return further;
}

std::optional<Failure> check_files(const MeasureOptions& options) {
  std::vector<std::string> inputs{options.picture, options.sled.config, options.caliper.file};
  for (const FurtherPicture& another : further_pictures(options)) {
    if (std::find(inputs.begin(), inputs.end(), another.file) != inputs.end())
      return Failure{"picture-twice", "\"" + another.file + "\" is named twice.",
                     "Name each picture once: the same picture again adds nothing."};
    inputs.push_back(another.file);
  }
  if (!options.record.sled.empty()) {
    const auto record = record_path(options.record);
    if (!record) return record.failure();
    inputs.push_back(*record);
  }
  if (auto failure =
          check_outputs(inputs, {options.json, options.overlay, options.page, options.caliper_plot}))
    return failure;
  if (auto failure = check_replaced({options.json, options.overlay, options.page})) return failure;
  if (auto failure = check_html(options.page)) return failure;
  if (options.overlay.empty() || has_ending(options.overlay, ".png")) return std::nullopt;
  return Failure{"bad-file-ending", "\"" + options.overlay + "\" does not end in .png.",
                 "The overlay is a PNG picture: let its name say so."};
}

// Everything that is known before the picture is opened. Failures are wrong usage or file trouble.
Result<MeasurementReport> prepare(const MeasureOptions& options) {
  if (!options.caliper_plot.empty() && !options.caliper.given())
    return does_nothing("--caliper-plot", "without readings of a caliper");
  if (const auto failure = check_files(options)) return *failure;
  if (const auto failure = check_svg(options.caliper_plot)) return *failure;
  const auto sled = resolve(options.sled);
  if (!sled) return sled.failure();
  const auto ring = resolve_ring(options.ring, options.sled);
  if (!ring) return ring.failure();
  const auto picture = picture_options(options.words, sled->units);
  if (!picture) return picture.failure();
  const auto record = record_so_far(options.record, options.picture);
  if (!record) return record.failure();
  MeasurementReport report;
  report.program_version = kProgramVersion;
  report.setup = sled->setup;
  report.units = sled->units;
  report.wishes = {*ring, sled->tolerance, sled->means, *record, sled->even_so};
  report.options = *picture;
  report.reading = options.reading;
  report.picture.file = options.picture;
  report.further = further_pictures(options);
  report.fence_end_assumed = options.words.without_target && !options.words.fence_end_at;
  if (options.wider) report.wider = *options.wider == "fence-end" ? WiderEnd::kFenceEnd : WiderEnd::kFarEnd;
  return report;
}

// For a folder, the command that takes one is named.
Result<Picture> load(const std::string& path, const ReadOptions& reading, DecodingRoom& room) {
  Result<Picture> picture = load_picture(path, reading, &room);
  std::error_code ignored;
  if (picture || !std::filesystem::is_directory(path, ignored)) return picture;
  Failure failure = picture.failure();
  failure.remedy = "Name a picture in it, or measure all of them with 'tapersight batch'.";
  return failure;
}

// Nothing when no page was asked for.
Result<std::string> page_of(const MeasureOptions& options, const MeasurementReport& report,
                            const cv::Mat& grey) {
  return options.page.empty() ? Result<std::string>(std::string()) : measurement_page(grey, report);
}

std::optional<Failure> put_page(const MeasureOptions& options, const std::string& page) {
  return options.page.empty() ? std::nullopt : put_out(options.page, page);
}

int write_rejected(const MeasureOptions& options, const MeasurementReport& report, const cv::Mat& grey) {
  const Failure& why = report.measurement.failure();
  const int status = report_failure(why, kNotMeasurable);
  const auto page = page_of(options, report, grey);
  if (!page) return report_failure(page.failure(), kFileTrouble);
  if (const auto trouble = put_page(options, *page)) return report_failure(*trouble, kFileTrouble);
  if (options.json.empty()) return status;
  const auto trouble = put_out(options.json, measurement_json(report));
  return trouble ? report_failure(*trouble, kFileTrouble) : status;
}

int write_measured(const MeasureOptions& options, const MeasurementReport& report, const cv::Mat& grey) {
  // Everything is made before anything is written.
  std::optional<std::string> overlay;
  if (!options.overlay.empty()) {
    auto drawn = draw_overlay(grey, report);
    if (!drawn) return report_failure(drawn.failure(), kFileTrouble);
    overlay = std::move(*drawn);
  }
  const auto page = page_of(options, report, grey);
  if (!page) return report_failure(page.failure(), kFileTrouble);
  const std::string json = measurement_json(report);
  if (!options.caliper_plot.empty())
    if (const auto trouble = put_out(options.caliper_plot, judgement_svg(*report.caliper, report.units)))
      return report_failure(*trouble, kFileTrouble);
  if (overlay)
    if (const auto trouble = put_out(options.overlay, *overlay))
      return report_failure(*trouble, kFileTrouble);
  if (const auto trouble = put_page(options, *page)) return report_failure(*trouble, kFileTrouble);
  if (!options.json.empty())
    if (const auto trouble = put_out(options.json, json)) return report_failure(*trouble, kFileTrouble);
  if (const auto trouble = keep_in_record(options.record, report.advice))
    return report_failure(*trouble, kFileTrouble);
  if (options.json == "-") return kMeasured;
  const auto trouble = put_out("-", measurement_text(report, out_terminal(), options.details));
  return trouble ? report_failure(*trouble, kFileTrouble) : kMeasured;
}

int run_measure(const MeasureOptions& options) {
  auto asked = prepare(options);
  if (!asked) return report_wrong_usage(asked.failure());
  std::optional<CaliperFile> readings;
  if (options.caliper.given()) {
    auto read = read_caliper_beside_picture(options.caliper, asked->units);
    if (!read) return report_wrong_usage(read.failure());
    readings = std::move(*read);
  }
  const auto room = DecodingRoom::open();  // while there are no threads yet
  if (!room) return report_failure(room.failure(), kFileTrouble);
  ExitStatus status = kWrongUsage;  // of what is said of a picture, once it is read
  std::vector<std::string> files{options.picture};
  for (const FurtherPicture& another : asked->further) files.push_back(another.file);
  const auto read = [&](std::size_t number) {
    auto picture = load(files[number], options.reading, **room);
    if (!picture) status = kFileTrouble;
    return picture;
  };
  const auto assessed = assess(*asked, read, readings);
  if (!assessed) return report_failure(assessed.failure(), status_of(assessed.failure(), status));
  const MeasurementReport& report = assessed->report;
  const cv::Mat& grey = assessed->shown.grey;
  return report.measurement.ok() ? write_measured(options, report, grey)
                                 : write_rejected(options, report, grey);
}

void add_caliper_part(CLI::App& app, MeasureOptions& options) {
  app.add_option(
         "--caliper", options.caliper.file,
         "A file of readings of the same strip, judged beside the picture (see tapersight caliper --help)")
      ->type_name("FILE")
      ->group("The caliper");
  app.add_option("--caliper-plot", options.caliper_plot, "Draw both instruments' intervals")
      ->type_name("FILE.svg")
      ->group("The caliper");
  add_caliper_options(app, options.caliper);
}

void add_picture_options(CLI::App& app, MeasureOptions& options) {
  app.add_option(
         "PICTURE", options.pictures,
         "The scan or photo: JPEG, PNG, TIFF, PDF, HEIC, WebP, BMP or PGM; several of the same strip are "
         "combined")
      ->type_name("")
      ->required();
  app.add_option("--reversed", options.reversed,
                 "A further picture in which the strip lies turned end for end; with it the camera's or "
                 "scanner's own error is found and taken out")
      ->type_name("FILE")
      ->allow_extra_args(false);
  add_page_option(app, options.reading);
  app.add_option("--kind", options.words.kind,
                 "What the picture is, if the program takes it for the wrong one")
      ->type_name("scan|photo")
      ->check(CLI::IsMember({"scan", "photo"}).description(""));
  app.add_option("--take", options.words.take,
                 "Where more than one line could be the strip's edge: the letter of the one that is, as the "
                 "refusal names them")
      ->type_name("LETTER");
  app.add_option("--thickness", options.words.thickness,
                 "The strip's thickness; makes the widths in a photo right (the taper does not need it)")
      ->type_name("LENGTH");
  app.add_option("--wider", options.wider,
                 "Which end of the strip you find wider, by caliper or by eye: held against the picture")
      ->type_name("fence-end|far-end")
      ->check(CLI::IsMember({"fence-end", "far-end"}).description(""));
  app.add_flag("--details", options.details, "Print the steps and all figures as well");
  app.add_option("--json", options.json, "Write the result as JSON; - for the terminal, alone")
      ->type_name("FILE|-");
  app.add_option("--overlay", options.overlay,
                 "Write a picture that shows what was found and how straight the edges are")
      ->type_name("FILE.png");
  app.add_option(
         "--report", options.page,
         "Write one page that shows what to do, how sure that is and what was seen; also of a picture "
         "that cannot be measured. For a PDF print it from a browser: it is laid out for one sheet of paper")
      ->type_name("FILE.html");
  add_bar_options(app, options.words.bar_x, options.words.bar_y);
  const char* without = "A scan without the printed sheet";
  app.add_flag("--without-target", options.words.without_target,
               "Measure by the file's dpi, the strip anywhere on the glass")
      ->group(without);
  app.add_option("--fence-end-at", options.words.fence_end_at,
                 "Where in the picture the strip's fence end lies (bottom)")
      ->type_name("top|bottom|left|right")
      ->group(without);
  app.add_option("--scan-dpi", options.words.scan_dpi, "The scan's resolution, when the file does not say it")
      ->type_name("DPI")
      ->check(CLI::Range(100, 4800).description(""))
      ->group(without);
  app.add_option("--region", options.words.region,
                 "Look for the strip only here: left, top, width, height in pixels")
      ->type_name("X,Y,W,H")
      ->group(without);
}

}  // namespace

Command add_measure_command(CLI::App& program) {
  const auto options = std::make_shared<MeasureOptions>();
  CLI::App* app = program.add_subcommand("measure", "Measure the test strip in a scan or photo");
  add_picture_options(*app, *options);
  add_caliper_part(*app, *options);
  add_sled_options(*app, options->sled);
  add_shop_options(*app, options->sled);
  add_record_options(*app, options->record);
  add_ring_options(*app, options->ring);
  add_limit_options(*app, options->reading.limits);
  app->footer(
      "A LENGTH is written like 7.5in, 7 1/2 in, 190.5mm, 5thou or .571.\n"
      "Exit status: 0 measured, 2 wrong usage, 3 the picture cannot be measured, 4 file trouble.\n"
      "Example:\n  tapersight measure bench-07.jpg --pivot left --pivot-distance 45in --tolerance "
      "2thou/12in --report bench-07.html");
  return {app, [options] {
            options->picture = options->pictures.front();
            if (const auto failure = take_sled(options->record, options->sled))
              return report_wrong_usage(*failure);
            return run_measure(*options);
          }};
}

}  // namespace tapersight
