#include <memory>
#include <optional>

#include "base/text.h"
#include "cli/command.h"
#include "cli/exit_status.h"
#include "cli/outputs.h"
#include "cli/paper_option.h"
#include "options/shop_options.h"
#include "print/draw_sheet.h"
#include "target/describe_sheet.h"

namespace tapersight {
namespace {

constexpr double kUsualDpi = 600;
constexpr double kLeastDpi = 50;
constexpr double kMostDpi = 2400;

struct TargetOptions {
  std::string paper, out;
  std::optional<std::string> dpi;
  bool wide = false;
  bool describe = false;
  bool dark = false;
};

Result<SheetFormat> format_of(const std::string& name) {
  if (has_ending(name, ".pdf")) return SheetFormat::kPdf;
  if (has_ending(name, ".svg")) return SheetFormat::kSvg;
  if (has_ending(name, ".png")) return SheetFormat::kPng;
  return Failure{"bad-file-ending", "\"" + name + "\" does not say what kind of file it is.",
                 "Let the name end in .pdf, .svg or .png."};
}

Result<double> parse_dpi(const std::optional<std::string>& text) {
  if (!text) return kUsualDpi;
  const auto dpi = parse_number(*text);
  if (dpi && *dpi >= kLeastDpi && *dpi <= kMostDpi) return *dpi;
  return Failure{"bad-dpi", "\"" + *text + "\" is not a resolution that can be drawn.",
                 "Write a number from 50 to 2400, like --dpi 600."};
}

int run_target(const TargetOptions& options) {
  const auto paper = parse_paper(options.paper);
  if (!paper) return report_wrong_usage(paper.failure());
  const SheetLayout& layout = sheet_layout(*paper, options.wide ? Channel::kWide : Channel::kOneStrip);
  if (options.describe == !options.out.empty())
    return report_wrong_usage({"out-or-describe", "Say what to make: a file or a description.",
                               "Give either --out FILE.pdf|.svg|.png or --describe."});
  if (options.dark && options.wide)
    return report_wrong_usage(does_nothing("--dark-channel", "for the wide sheet, whose channel is cut out"));
  if (options.describe) {
    if (options.dark) return report_wrong_usage(does_nothing("--dark-channel", "with --describe"));
    if (options.dpi) return report_wrong_usage(does_nothing("--dpi", "with --describe"));
    const auto trouble = put_out("-", describe_sheet(layout));
    return trouble ? report_failure(*trouble, kFileTrouble) : kMeasured;
  }
  const auto format = format_of(options.out);
  if (!format) return report_wrong_usage(format.failure());
  if (options.dpi && *format != SheetFormat::kPng)
    return report_wrong_usage(does_nothing("--dpi", "for .pdf and .svg, which are drawn to scale"));
  const auto dpi = parse_dpi(options.dpi);
  if (!dpi) return report_wrong_usage(dpi.failure());
  const auto bytes =
      draw_sheet(layout, *format, *dpi, options.dark ? ChannelGround::kDark : ChannelGround::kOpen);
  if (!bytes) return report_failure(bytes.failure(), kFileTrouble);
  if (const auto trouble = put_out(options.out, *bytes)) return report_failure(*trouble, kFileTrouble);
  const std::string done =
      "Wrote " + options.out + ". Print it at actual size (100 %), then check both bars with a rule.\n";
  const auto trouble = put_out("-", done);
  return trouble ? report_failure(*trouble, kFileTrouble) : kMeasured;
}

}  // namespace

Command add_target_command(CLI::App& program) {
  const auto options = std::make_shared<TargetOptions>();
  CLI::App* app = program.add_subcommand("target", "Write the sheet to print, for the scanner's glass");
  app->add_option("--paper", options->paper, "The paper to print on")->type_name("a4|letter")->required();
  app->add_flag("--wide", options->wide,
                "The sheet for several strips side by side, each with its tag (see tapersight tags)");
  app->add_flag("--dark-channel", options->dark,
                "Print the channel black: for photos of light wood, such as pine, maple or MDF");
  app->add_option("--out", options->out, "The file to write: PDF, SVG or PNG")
      ->type_name("FILE.pdf|.svg|.png");
  app->add_option("--dpi", options->dpi, "Pixels per inch of a PNG, 50 to 2400 (600)")->type_name("N");
  app->add_flag("--describe", options->describe, "Print the sheet's layout as JSON instead");
  app->footer("Example:\n  tapersight target --paper letter --out sheet.pdf");
  return {app, [options] { return run_target(*options); }};
}

}  // namespace tapersight
