#include <iostream>
#include <memory>
#include <string>

#include "base/files.h"
#include "base/text.h"
#include "cli/add_options.h"
#include "cli/command.h"
#include "cli/exit_status.h"
#include "cli/outputs.h"
#include "cli/record_options.h"
#include "cli/terminal.h"
#include "page/sled_sketch.h"
#include "report/words.h"

namespace tapersight {
namespace {

struct SetupOptions {
  RecordOptions record;
  std::string sled;
  SledOptions units;
};

// One question: what stands before it, and what counts as its two answers.
struct Question {
  const char* drawing;
  const char* text;
  const char *first, *second;
};

constexpr Question kFence{
    "\n"
    "   near                    far\n"
    "   +-----------+           ===================  fence\n"
    "   |   board   | |           +-----------+ |\n"
    "   +-----------+ |           |   board   | |\n"
    "  ================= fence    +-----------+ |\n"
    "        you                        you\n",
    "1. Where does the fence stand: on your side of the board (near), or on the far side (far)?", "near",
    "far"};
constexpr Question kFalls{
    "\n"
    "   right                   left\n"
    "   +-----------+ | +-+     +-+ | +-----------+\n"
    "   |   board   | | | |     | | | |   board   |\n"
    "   +-----------+ | +-+     +-+ | +-----------+\n"
    "              blade  strip  strip  blade\n",
    "2. To which side of the blade does the strip fall: right or left?", "right", "left"};
constexpr Question kPivot{
    "\n"
    "   left                        right\n"
    "  (o)==================[ ]    [ ]==================(o)\n"
    "   pivot     screw you loosen   screw you loosen     pivot\n",
    "3. Which end of the fence stays put, on its pivot screw: left or right?", "left", "right"};

Failure not_finished() {
  return {"setup-not-finished", "The questions were not answered to the end, so nothing was written.",
          "Start again; Enter alone takes what is in brackets."};
}

bool read_answer(std::string& answer) {
  if (!std::getline(std::cin, answer)) return false;
  answer = lower_case(trimmed(answer));
  return true;
}

// Asks until the answer is one of the two; Enter alone takes the first.
Result<std::string> ask(const Question& question) {
  if (auto failure = put_out("-", question.drawing)) return *failure;
  for (;;) {
    if (auto failure = put_out("-", std::string(question.text) + " [" + question.first + "] "))
      return *failure;
    std::string answer;
    if (!read_answer(answer)) return not_finished();
    if (answer.empty()) return std::string(question.first);
    for (const char* word : {question.first, question.second})
      if (answer == word || answer == std::string(1, word[0])) return std::string(word);
    if (auto failure =
            put_out("-", "Write " + std::string(question.first) + " or " + question.second + ".\n"))
      return *failure;
  }
}

// The length's own words, so that the file shows what was typed.
Result<std::string> ask_distance(Units units) {
  const std::string unit(units_name(units));
  for (;;) {
    if (auto failure = put_out(
            "-", "\n4. How far is it from the pivot screw's middle to where you move the fence, like " +
                     std::string(units == Units::kInch ? "45in" : "1140mm") + "? "))
      return *failure;
    std::string answer;
    if (!read_answer(answer)) return not_finished();
    SledOptions tried;
    tried.units = unit;
    tried.pivot_distance = answer;
    const auto sled = resolve(tried);
    if (sled) return plain_length_text(*sled->setup.pivot_distance_mm, units);
    if (auto failure = put_out("-", sled.failure().text + "\n")) return *failure;
  }
}

std::string drawing_page(const std::string& sled, const SledSetup& setup, Units units) {
  SledSketch sketch;
  sketch.setup = setup;
  sketch.units = units;
  const std::string words = "The sled from above: " + setup_words(setup, {});
  PageFrame frame;
  frame.title = "The sled " + sled;
  return whole_page(
      frame, element("main", words_in("h1", "The sled " + sled) +
                                 element("section", sled_drawing(sketch, words) + words_in("p", words))));
}

int run_setup(const SetupOptions& options) {
  const auto file = sled_file(options.record, options.sled);
  if (!file) return report_wrong_usage(file.failure());
  const std::string page = file->substr(0, file->size() - 5) + ".html";
  if (const auto failure = check_replaced({*file, page})) return report_wrong_usage(*failure);
  const auto units = parse_units(options.units.units.value_or("in"));
  if (!units) return report_wrong_usage(units.failure());
  SledOptions told;
  told.units = std::string(units_name(*units));
  for (const auto& [question, answer] :
       {std::pair{&kFence, &told.fence}, std::pair{&kFalls, &told.strip_falls},
        std::pair{&kPivot, &told.pivot}}) {
    const auto answered = ask(*question);
    if (!answered) return report_wrong_usage(answered.failure());
    *answer = *answered;
  }
  const auto distance = ask_distance(*units);
  if (!distance) return report_wrong_usage(distance.failure());
  told.pivot_distance = *distance;
  const auto sled = resolve(told);
  if (!sled) return report_wrong_usage(sled.failure());
  if (const auto trouble = put_out(
          *file, sled_file_text(options.sled + ", written by tapersight setup; change it as you like", told)))
    return report_failure(*trouble, kFileTrouble);
  if (const auto trouble = put_out(page, drawing_page(options.sled, sled->setup, *units)))
    return report_failure(*trouble, kFileTrouble);
  std::string out;
  put(out, "",
      "Wrote " + *file + ", and " + page +
          ": look whether the drawing is your sled. From now on: tapersight "
          "measure PICTURE --sled " +
          options.sled,
      out_terminal());
  const auto trouble = put_out("-", "\n" + out);
  return trouble ? report_failure(*trouble, kFileTrouble) : kMeasured;
}

}  // namespace

Command add_setup_command(CLI::App& program) {
  const auto options = std::make_shared<SetupOptions>();
  CLI::App* app = program.add_subcommand("setup", "Ask once how a sled is built, and keep it in a file");
  app->add_option("SLED", options->sled, "The sled's name, like bench-07")->type_name("")->required();
  add_sled_options(*app, options->units, {"units"});
  app->remove_option(app->get_option("--config"));
  add_record_folder(*app, options->record);
  app->footer("Example:\n  tapersight setup bench-07");
  return {app, [options] { return run_setup(*options); }};
}

}  // namespace tapersight
