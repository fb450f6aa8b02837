#include <memory>

#include "cli/add_options.h"
#include "cli/command.h"
#include "cli/exit_status.h"
#include "cli/outputs.h"
#include "cli/terminal.h"
#include "options/sled_options.h"
#include "report/text.h"

namespace tapersight {
namespace {

int run_guide(const SledOptions& options) {
  const auto sled = resolve(options);
  if (!sled) return report_wrong_usage(sled.failure());
  const auto trouble = put_out("-", guide_text(sled->setup, sled->units, out_terminal()));
  return trouble ? report_failure(*trouble, kFileTrouble) : kMeasured;
}

}  // namespace

Command add_guide_command(CLI::App& program) {
  const auto options = std::make_shared<SledOptions>();
  CLI::App* app = program.add_subcommand("guide", "How to cut a good test strip, and how long it has to be");
  add_sled_options(*app, *options, {"units", "fence", "strip-falls"});
  app->footer("Example:\n  tapersight guide --fence near --strip-falls right --units in");
  return {app, [options] { return run_guide(*options); }};
}

}  // namespace tapersight
