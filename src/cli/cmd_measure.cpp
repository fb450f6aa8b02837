#include <algorithm>
#include <cmath>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <system_error>
#include <vector>

#include "base/text.h"
#include "batch/pictures.h"
#include "caliper/plot.h"
#include "cli/bar_options.h"
#include "cli/caliper_options.h"
#include "cli/command.h"
#include "cli/exit_status.h"
#include "cli/outputs.h"
#include "cli/reading_options.h"
#include "cli/record_options.h"
#include "cli/shop_options.h"
#include "cli/sled_options.h"
#include "cli/terminal.h"
#include "imaging/picture.h"
#include "page/measurement_page.h"
#include "report/caliper_report.h"
#include "report/json.h"
#include "report/overlay.h"
#include "report/text.h"

namespace tapersight {
namespace {

struct MeasureOptions {
  SledOptions sled;
  RingOptions ring;
  RecordOptions record;
  CaliperOptions caliper;
  std::vector<std::string> pictures, reversed;
  std::string picture, json, overlay, page, caliper_plot;
  std::optional<std::string> bar_x, bar_y, fence_end_at, region;
  std::optional<std::string> kind, thickness, take;
  std::optional<double> scan_dpi;
  ReadOptions reading;
  std::optional<std::string> wider;
  bool without_target = false, details = false;
};

std::vector<FurtherPicture> further_pictures(const MeasureOptions& options) {
  std::vector<FurtherPicture> further;
  for (std::size_t i = 1; i < options.pictures.size(); ++i) further.push_back({options.pictures[i], false});
  for (const std::string& file : options.reversed) further.push_back({file, true});
  return further;
}

constexpr double kMostThicknessMm = 60;

Result<PictureSide> parse_picture_side(const std::string& text) {
  const std::string name = lower_case(text);
  if (name == "top") return PictureSide::kTop;
  if (name == "bottom") return PictureSide::kBottom;
  if (name == "left") return PictureSide::kLeft;
  if (name == "right") return PictureSide::kRight;
  return Failure{"bad-picture-side", "\"" + text + "\" is not a side of the picture.",
                 "Write top, bottom, left or right."};
}

// "A", "a,c" or "AC": one letter or two, a side each.
Result<std::string> parse_letters(const std::string& text) {
  std::string letters;
  for (const char c : text) {
    if (c == ',' || c == ' ') continue;
    const char upper = static_cast<char>(c >= 'a' && c <= 'z' ? c - 'a' + 'A' : c);
    if (upper < 'A' || upper > 'Z' || letters.size() == 2)
      return Failure{"bad-take", "\"" + text + "\" does not name one or two lines by their letters.",
                     "Write the letter of the line that is the edge, like --take B, or one for each side: "
                     "--take B,C."};
    letters += upper;
  }
  if (letters.empty())
    return Failure{"bad-take", "--take needs a letter.",
                   "Write the letter of the line that is the edge: --take B."};
  return letters;
}

// X,Y,W,H in whole pixels.
Result<cv::Rect> parse_region(const std::string& text) {
  const Failure bad{"bad-region", "\"" + text + "\" is not a region of the picture.",
                    "Write left, top, width and height in pixels: 100,200,900,2400."};
  std::vector<int> numbers;
  for (std::size_t at = 0; at <= text.size();) {
    const std::size_t end = std::min(text.find(',', at), text.size());
    const auto number = parse_number(text.substr(at, end - at));
    if (!number || *number < 0 || *number > 1e6 || *number != static_cast<int>(*number)) return bad;
    numbers.push_back(static_cast<int>(*number));
    at = end + 1;
  }
  if (numbers.size() != 4 || numbers[2] == 0 || numbers[3] == 0) return bad;
  return cv::Rect(numbers[0], numbers[1], numbers[2], numbers[3]);
}

// Options that would do nothing in the chosen mode are refused: whoever types one expects it to matter.
std::optional<Failure> check_mode(const MeasureOptions& options) {
  if (!options.caliper_plot.empty() && !options.caliper.given())
    return does_nothing("--caliper-plot", "without readings of a caliper");
  if (options.without_target) {
    if (options.kind)
      return does_nothing("--kind", "without a printed sheet: only a scan can be measured that way");
    if (options.thickness) return does_nothing("--thickness", "without a printed sheet");
    if (options.bar_x) return does_nothing("--bar-x", "without a printed sheet");
    if (options.bar_y) return does_nothing("--bar-y", "without a printed sheet");
    return std::nullopt;
  }
  if (options.fence_end_at)
    return does_nothing("--fence-end-at", "with a printed sheet, which shows the fence end itself");
  if (options.scan_dpi)
    return does_nothing("--scan-dpi", "with a printed sheet, which shows the scale itself");
  if (options.region) return does_nothing("--region", "with a printed sheet, whose channel is the region");
  return std::nullopt;
}

Result<PictureOptions> picture_options(const MeasureOptions& options, Units units) {
  PictureOptions picture;
  picture.without_target = options.without_target;
  if (options.kind) picture.kind = *options.kind == "photo" ? PictureKind::kPhoto : PictureKind::kScan;
  if (options.thickness) {
    const auto thickness = parse_positive_length(*options.thickness, units, "--thickness");
    if (!thickness) return thickness.failure();
    if (*thickness > kMostThicknessMm)
      return Failure{"bad-thickness", "--thickness: no strip is " + *options.thickness + " thick.",
                     "Write the board's thickness with its unit, like 3/4in or 18mm."};
    picture.thickness_mm = *thickness;
  }
  if (options.take) {
    const auto letters = parse_letters(*options.take);
    if (!letters) return letters.failure();
    picture.take = *letters;
  }
  if (const auto failure = set_bars(picture, options.bar_x, options.bar_y, units)) return *failure;
  if (options.fence_end_at) {
    const auto side = parse_picture_side(*options.fence_end_at);
    if (!side) return side.failure();
    picture.fence_end = *side;
  }
  picture.scan_dpi = options.scan_dpi;
  if (options.region) {
    const auto region = parse_region(*options.region);
    if (!region) return region.failure();
    picture.region_px = *region;
  }
  return picture;
}

std::optional<Failure> check_region(const std::optional<cv::Rect>& region, const cv::Size& size) {
  if (!region || (*region & cv::Rect({0, 0}, size)) == *region) return std::nullopt;
  return Failure{"bad-region", "The region reaches beyond the picture.",
                 "The picture is " + std::to_string(size.width) + " x " + std::to_string(size.height) +
                     " pixels; keep X + W and Y + H within that."};
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
  if (const auto failure = check_mode(options)) return *failure;
  if (const auto failure = check_files(options)) return *failure;
  if (const auto failure = check_svg(options.caliper_plot)) return *failure;
  const auto sled = resolve(options.sled);
  if (!sled) return sled.failure();
  const auto ring = resolve_ring(options.ring, options.sled);
  if (!ring) return ring.failure();
  const auto picture = picture_options(options, sled->units);
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
  if (options.wider) report.wider = *options.wider == "fence-end" ? WiderEnd::kFenceEnd : WiderEnd::kFarEnd;
  return report;
}

Result<PictureMeasurement> measured(const Picture& picture, const MeasurementReport& report) {
  PictureOptions options = report.options;
  options.by_camera = picture.by_camera;
  options.deadline = Deadline::in(report.reading.limits.most_seconds);
  return measure_picture(picture.grey, picture.dpi_u, picture.dpi_v, options);
}

// Of all its pixels: a copy of a picture has the same.
std::string fingerprint(const cv::Mat& grey) {
  const cv::Mat whole = grey.isContinuous() ? grey : grey.clone();
  return content_hash({whole.ptr<char>(), whole.total()});
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

// Measures the further pictures and combines them with the report's own. Returns what kept a file from being
// read; a picture that cannot be measured turns the whole measurement into that failure, and is `shown`.
std::optional<Failure> combine_further(MeasurementReport& report, Picture& shown, DecodingRoom& room) {
  if (report.further.empty()) return std::nullopt;
  std::vector<ShownTaper> tapers;
  std::vector<std::string> seen{fingerprint(shown.grey)};
  if (report.measurement) tapers.push_back(shown_taper(report.measurement->strip, false));
  for (const FurtherPicture& another : report.further) {
    if (!report.measurement) return std::nullopt;
    auto picture = load(another.file, report.reading, room);
    if (!picture) return picture.failure();
    std::string pixels = fingerprint(picture->grey);
    if (std::find(seen.begin(), seen.end(), pixels) != seen.end())
      return Failure{"picture-twice", "\"" + another.file + "\" is a copy of another of the pictures.",
                     "Take each picture anew: the same picture again adds nothing."};
    seen.push_back(std::move(pixels));
    const auto another_strip = measured(*picture, report);
    const auto trouble = another_strip ? check_same_strip(*report.measurement, *another_strip, report.units)
                                       : std::optional(another_strip.failure());
    if (trouble) {
      report.measurement = Failure{trouble->code, another.file + ": " + trouble->text, trouble->remedy};
      shown = std::move(*picture);
    } else {
      tapers.push_back(shown_taper(another_strip->strip, another.reversed));
    }
  }
  combine_into(report, tapers);
  return std::nullopt;
}

// `picture` becomes the further one that was refused, if one was.
std::optional<Failure> measure_into(MeasurementReport& report, Picture& picture,
                                    const MeasureOptions& options, DecodingRoom& room) {
  report.measurement = measured(picture, report);
  if (report.measurement) report.cut_corner = find_cut_corner(picture.grey, *report.measurement);
  if (auto trouble = combine_further(report, picture, room)) return trouble;
  if (const auto ends = check_ends(report)) report.measurement = *ends;
  conclude(report);
  if (report.measurement.ok() && report.options.without_target && !options.fence_end_at)
    report.measurement->warnings.push_back(
        {"fence-end-assumed",
         "The end near the bottom of the picture is taken as the fence end. If it is not, say so with "
         "--fence-end-at, or the error comes out the wrong way round."});
  return std::nullopt;
}

// Judges the typed readings beside the measured strip.
std::optional<Failure> judge_caliper_into(MeasurementReport& report, const CaliperFile& readings) {
  if (!report.measurement) return std::nullopt;
  const StripMeasurement& m = report.measurement->strip;
  auto judged = judge_beside(readings, {m.taper, m.u_taper, m.dof, m.fence_end_width_mm, m.far_end_width_mm,
                                        m.u_width_mm, m.length_mm()});
  if (!judged) return judged.failure();
  report.caliper = std::move(*judged);
  return std::nullopt;
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
  auto report = prepare(options);
  if (!report) return report_wrong_usage(report.failure());
  std::optional<CaliperFile> readings;
  if (options.caliper.given()) {
    auto read = read_caliper_beside_picture(options.caliper, report->units);
    if (!read) return report_wrong_usage(read.failure());
    readings = std::move(*read);
  }
  const auto room = DecodingRoom::open();  // while there are no threads yet
  if (!room) return report_failure(room.failure(), kFileTrouble);
  auto picture = load(options.picture, report->reading, **room);
  if (!picture) return report_failure(picture.failure(), status_of(picture.failure(), kFileTrouble));
  report->picture.width_px = picture->grey.cols;
  report->picture.height_px = picture->grey.rows;
  report->picture.dpi_u = picture->dpi_u;
  report->picture.dpi_v = picture->dpi_v;
  if (const auto failure = check_region(report->options.region_px, picture->grey.size()))
    return report_wrong_usage(*failure);
  if (const auto trouble = measure_into(*report, *picture, options, **room))
    return report_failure(*trouble, status_of(*trouble, kFileTrouble));
  if (readings)
    if (const auto failure = judge_caliper_into(*report, *readings)) return report_wrong_usage(*failure);
  return report->measurement.ok() ? write_measured(options, *report, picture->grey)
                                  : write_rejected(options, *report, picture->grey);
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
  app.add_option("--kind", options.kind, "What the picture is, if the program takes it for the wrong one")
      ->type_name("scan|photo")
      ->check(CLI::IsMember({"scan", "photo"}).description(""));
  app.add_option("--take", options.take,
                 "Where more than one line could be the strip's edge: the letter of the one that is, as the "
                 "refusal names them")
      ->type_name("LETTER");
  app.add_option("--thickness", options.thickness,
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
  add_bar_options(app, options.bar_x, options.bar_y);
  const char* without = "A scan without the printed sheet";
  app.add_flag("--without-target", options.without_target,
               "Measure by the file's dpi, the strip anywhere on the glass")
      ->group(without);
  app.add_option("--fence-end-at", options.fence_end_at,
                 "Where in the picture the strip's fence end lies (bottom)")
      ->type_name("top|bottom|left|right")
      ->group(without);
  app.add_option("--scan-dpi", options.scan_dpi, "The scan's resolution, when the file does not say it")
      ->type_name("DPI")
      ->check(CLI::Range(100, 4800).description(""))
      ->group(without);
  app.add_option("--region", options.region,
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
