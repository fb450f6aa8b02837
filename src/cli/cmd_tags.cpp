#include <memory>

#include "base/text.h"
#include "cli/command.h"
#include "cli/exit_status.h"
#include "cli/outputs.h"
#include "cli/paper_option.h"
#include "print/draw_tags.h"

namespace tapersight {
namespace {

struct TagsOptions {
  std::string from = "1", to, paper = "letter", out;
};

Result<int> parse_bench(const std::string& text) {
  const auto number = parse_number(text);
  if (number && *number >= kLeastBench && *number <= kMostBench && *number == static_cast<int>(*number))
    return static_cast<int>(*number);
  return Failure{"bad-bench", "\"" + text + "\" is not a bench number.",
                 "Write a whole number from 1 to 599."};
}

int run_tags(const TagsOptions& options) {
  const auto from = parse_bench(options.from);
  if (!from) return report_wrong_usage(from.failure());
  const auto to = parse_bench(options.to);
  if (!to) return report_wrong_usage(to.failure());
  const auto paper = parse_paper(options.paper);
  if (!paper) return report_wrong_usage(paper.failure());
  const bool pdf = has_ending(options.out, ".pdf");
  if (!pdf && !has_ending(options.out, ".svg"))
    return report_wrong_usage({"bad-file-ending",
                               "\"" + options.out + "\" does not say what kind of file it is.",
                               "Let the name end in .pdf or .svg."});
  const auto bytes = draw_tags(*from, *to, *paper, pdf);
  if (!bytes) return report_wrong_usage(bytes.failure());
  if (const auto trouble = put_out(options.out, *bytes)) return report_failure(*trouble, kFileTrouble);
  const auto trouble =
      put_out("-", "Wrote " + options.out + ". Print it at actual size (100 %) and cut the tags out.\n");
  return trouble ? report_failure(*trouble, kFileTrouble) : kMeasured;
}

}  // namespace

Command add_tags_command(CLI::App& program) {
  const auto options = std::make_shared<TagsOptions>();
  CLI::App* app = program.add_subcommand("tags", "Write the tags that say whose strip it is");
  app->add_option("--from", options->from, "The first bench number, 1 to 599 (1)")->type_name("N");
  app->add_option("--to", options->to, "The last one")->type_name("N")->required();
  app->add_option("--paper", options->paper, "The paper to print on (letter)")->type_name("a4|letter");
  app->add_option("--out", options->out, "The file to write: PDF or SVG")
      ->type_name("FILE.pdf|.svg")
      ->required();
  app->footer(
      "A tag lies face down at the fence end of its strip, its pointer touching the strip.\n"
      "Example:\n  tapersight tags --from 1 --to 24 --out tags.pdf");
  return {app, [options] { return run_tags(*options); }};
}

}  // namespace tapersight
