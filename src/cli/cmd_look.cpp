#include <filesystem>
#include <memory>
#include <string>
#include <system_error>
#include <vector>

#include "cli/command.h"
#include "cli/exit_status.h"
#include "cli/outputs.h"
#include "cli/show_page.h"
#include "options/sled_options.h"
#include "page/html.h"
#include "room/load_picture.h"

namespace tapersight {
namespace {

struct LookOptions {
  std::string picture, config;
};

// The very command that a person would type, so that both give the same page and the same text.
int measure_to_page(const LookOptions& options, const std::string& config, const std::string& page) {
  CLI::App program;
  const Command measure = add_measure_command(program);
  std::vector<std::string> words{options.picture, page,
                                 "--report"};  // the last word first, as CLI11 wants it
  if (!config.empty()) words.insert(words.end(), {config, "--config"});
  words.emplace_back("measure");
  program.parse(std::move(words));
  return measure.run();
}

// What kept `measure` from writing a page: it has been told on stderr, which nobody sees behind a double
// click.
Failure reason_for_no_page(const LookOptions& options, const std::string& config, DecodingRoom& room) {
  SledOptions sled;
  sled.config = config;
  if (const auto resolved = resolve(sled); !resolved) return resolved.failure();
  if (const auto picture = load_picture(options.picture, {}, &room); !picture) return picture.failure();
  return {"no-page", "The picture could not be measured.",
          "Run tapersight measure on it in a terminal: it says why."};
}

std::string page_of_failure(const LookOptions& options, const Failure& why) {
  PageFrame frame;
  frame.title = "Not measured: " + isolated(options.picture);
  Markup body = words_in("h1", "Not measured");
  body += element("p", foreign(options.picture));
  body += paragraphs({why.text, why.remedy});
  return whole_page(frame, element("main", body));
}

int run_look(const LookOptions& options) {
  const auto page = cached_page(options.picture);
  if (!page) return report_failure(page.failure(), kFileTrouble);
  const std::string config = options.config.empty() ? usual_sled_file() : options.config;
  const auto room = DecodingRoom::open();  // while there are no threads yet
  if (!room) return report_failure(room.failure(), kFileTrouble);
  std::error_code ignored;
  std::filesystem::remove(*page, ignored);  // of an earlier look, so that it cannot be taken for this one's
  const int status = measure_to_page(options, config, *page);
  if (!std::filesystem::exists(*page, ignored)) {
    const Failure why = reason_for_no_page(options, config, **room);
    if (const auto trouble = put_out(*page, page_of_failure(options, why)))
      return report_failure(*trouble, kFileTrouble);
  }
  if (const auto trouble = show_page(*page)) return report_failure(*trouble, kFileTrouble);
  return status;
}

}  // namespace

Command add_look_command(CLI::App& program) {
  const auto options = std::make_shared<LookOptions>();
  CLI::App* app = program.add_subcommand("look", "Measure a picture and open its report in the browser");
  app->add_option("PICTURE", options->picture, "The scan or photo")->type_name("")->required();
  app->add_option("--config", options->config,
                  "The sled's file (~/.config/tapersight/sled.toml, when there is one)")
      ->type_name("FILE");
  app->footer(
      "It measures as tapersight measure does, keeps the report in ~/.cache/tapersight and opens it with\n"
      "xdg-open. XDG_CONFIG_HOME and XDG_CACHE_HOME name other folders.\n"
      "Exit status: 0 measured, 2 wrong usage, 3 the picture cannot be measured, 4 file trouble.\n"
      "Example:\n  tapersight look bench-07.jpg --config sled-07.toml");
  return {app, [options] { return run_look(*options); }};
}

}  // namespace tapersight
