#include <algorithm>
#include <ctime>
#include <filesystem>
#include <memory>
#include <optional>

#include "base/files.h"
#include "base/text.h"
#include "cli/add_options.h"
#include "cli/command.h"
#include "cli/exit_status.h"
#include "cli/outputs.h"
#include "cli/record_options.h"
#include "cli/terminal.h"
#include "options/shop_options.h"
#include "options/sled_options.h"
#include "record/sled_log.h"
#include "report/json.h"
#include "report/read_result.h"
#include "report/text.h"

namespace tapersight {
namespace {

struct AddOptions {
  std::optional<std::string> result, moved_as, move, toward, by, within;
};

struct RecordCommand {
  RecordOptions record;
  SledOptions sled;
  AddOptions add;
  std::string json, out;
};

Result<Toward> parse_toward(const std::string& text) {
  const std::string word = lower_case(trimmed(text));
  if (word == "operator") return Toward::kOperator;
  if (word == "away") return Toward::kAwayFromOperator;
  return Failure{"bad-toward", "\"" + text + "\" does not say which way the fence was moved.",
                 "Write operator or away."};
}

// How exactly a move is made with care, as a standard uncertainty: common practice, no published source.
constexpr double kMoveMadeWithin_mm = kMmPerThou;

Result<double> move_u_mm(const AddOptions& add, Units units) {
  if (!add.within) return kMoveMadeWithin_mm;
  return parse_positive_length(*add.within, units, "--within");
}

Result<RecordEntry> typed_move(const RecordCommand& command, const ResolvedSled& sled,
                               const std::string& now) {
  const AddOptions& add = command.add;
  if (!add.toward || !sled.setup.pivot_distance_mm)
    return Failure{
        "move-incomplete", "A typed move needs its direction and the pivot distance.",
        "Give --toward operator|away and --pivot-distance (and --pivot, when it is on the right)."};
  MoveEntry move;
  move.when = now;
  const auto by = add.by ? parse_adjust_by(*add.by) : Result<AdjustBy>(sled.means.by);
  if (!by) return by.failure();
  move.by = adjust_by_name(*by);
  const auto length = parse_positive_length(*add.move, sled.units, "the move");
  if (!length) return length.failure();
  move.move_mm = *length;
  const auto u_mm = move_u_mm(add, sled.units);
  if (!u_mm) return u_mm.failure();
  move.u_mm = *u_mm;
  move.pivot_distance_mm = *sled.setup.pivot_distance_mm;
  move.end = opposite(sled.setup.pivot);
  const auto toward = parse_toward(*add.toward);
  if (!toward) return toward.failure();
  move.toward = *toward;
  return RecordEntry(move);
}

std::optional<Failure> check_mode(const RecordCommand& command) {
  const AddOptions& add = command.add;
  const int ways = (add.result ? 1 : 0) + (add.moved_as ? 1 : 0) + (add.move ? 1 : 0);
  if (ways > 1 || (ways == 0 && !command.record.note))
    return Failure{"one-entry-needed", "Say what to record: one measurement, one move or a note.",
                   "Give one of --result FILE.json, --moved-as FILE.json, --move LENGTH and --note TEXT."};
  if (add.move) return std::nullopt;
  if (add.toward) return does_nothing("--toward", "without --move");
  if (add.by) return does_nothing("--by", "without --move");
  if (command.sled.pivot) return does_nothing("--pivot", "without --move");
  if (command.sled.pivot_distance) return does_nothing("--pivot-distance", "without --move");
  if (add.within && add.result) return does_nothing("--within", "for a measurement");
  if (add.within && ways == 0) return does_nothing("--within", "for a note");
  return std::nullopt;
}

template <typename Entry>
Result<RecordEntry> as_entry(const Result<Entry>& entry) {
  if (!entry) return entry.failure();
  return RecordEntry(*entry);
}

Result<RecordEntry> new_entry(const RecordCommand& command, const std::string& now) {
  const auto sled = resolve(command.sled);
  if (!sled) return sled.failure();
  const AddOptions& add = command.add;
  if (add.move) return typed_move(command, *sled, now);
  if (!add.result && !add.moved_as) return RecordEntry(NoteEntry{now, *command.record.note});
  const auto json = read_text_file(add.result ? *add.result : *add.moved_as);
  if (!json) return json.failure();
  if (add.result) return as_entry(measurement_from_result(*json, now));
  const auto u_mm = move_u_mm(add, sled->units);
  if (!u_mm) return u_mm.failure();
  return as_entry(move_from_result(*json, now, *u_mm));
}

// The same result twice would count as two strips.
std::optional<Failure> check_not_twice(const std::string& path, const RecordEntry& entry) {
  const auto log = read_sled_log(path);
  if (!log) return std::nullopt;  // append_entry says why, if it matters
  const auto* added = std::get_if<MeasurementEntry>(&entry);
  if (added == nullptr || !is_recorded(log->entries, *added)) return std::nullopt;
  return Failure{"already-recorded", "This result is in the record already.",
                 "Measure a strip that was cut anew."};
}

int run_add(const RecordCommand& command) {
  if (const auto failure = check_mode(command)) return report_wrong_usage(*failure);
  const auto path = record_path(command.record);
  if (!path) return report_wrong_usage(path.failure());
  auto entry = new_entry(command, utc_text(std::time(nullptr)));
  if (entry && command.record.note) std::visit([&](auto& held) { held.note = *command.record.note; }, *entry);
  if (!entry) return report_wrong_usage(entry.failure());
  if (const auto failure = check_not_twice(*path, *entry)) return report_wrong_usage(*failure);
  if (const auto failure = append_entry(*path, *entry)) return report_wrong_usage(*failure);
  const auto trouble = put_out("-", "Recorded in " + *path + ".\n");
  return trouble ? report_failure(*trouble, kFileTrouble) : kMeasured;
}

Result<RecordReport> read_report(const RecordCommand& command) {
  const auto path = record_path(command.record);
  if (!path) return path.failure();
  if (const auto failure = check_outputs({*path, command.sled.config}, {command.json, command.out}))
    return *failure;
  if (const auto failure = check_replaced({command.json})) return *failure;
  const auto sled = resolve(command.sled);
  if (!sled) return sled.failure();
  const auto log = read_sled_log(*path);
  if (!log) return log.failure();
  RecordReport report;
  report.program_version = kProgramVersion;
  report.sled = command.record.sled;
  report.entries = log->entries;
  report.damaged_lines = static_cast<int>(log->damaged.size());
  report.setup = sled->setup;
  report.units = sled->units;
  report.tolerance = sled->tolerance;
  report.means = sled->means;
  return conclude(std::move(report));
}

int run_show(const RecordCommand& command) {
  const auto report = read_report(command);
  if (!report) return report_wrong_usage(report.failure());
  if (!command.json.empty())
    if (const auto trouble = put_out(command.json, record_json(*report)))
      return report_failure(*trouble, kFileTrouble);
  if (command.json == "-") return kMeasured;
  const auto trouble = put_out("-", record_text(*report, out_terminal()));
  return trouble ? report_failure(*trouble, kFileTrouble) : kMeasured;
}

int run_plot(const RecordCommand& command) {
  if (!has_ending(command.out, ".svg"))
    return report_wrong_usage({"bad-file-ending", "\"" + command.out + "\" does not end in .svg.",
                               "The plot is an SVG drawing: let its name say so."});
  const auto report = read_report(command);
  if (!report) return report_wrong_usage(report.failure());
  const std::string svg = record_plot_svg(report->entries, report->sled, report->units, report->tolerance);
  if (const auto trouble = put_out(command.out, svg)) return report_failure(*trouble, kFileTrouble);
  const auto trouble = put_out("-", "Wrote " + command.out + ".\n");
  return trouble ? report_failure(*trouble, kFileTrouble) : kMeasured;
}

int run_undo(const RecordCommand& command) {
  const auto path = record_path(command.record);
  if (!path) return report_wrong_usage(path.failure());
  const auto line = remove_last_entry(*path);
  if (!line) return report_wrong_usage(line.failure());
  const auto entry = from_line(*line);
  const std::string what =
      entry ? record_table({*entry}, Units::kInch).front() : std::string("a line that cannot be read");
  const auto trouble = put_out("-", "Taken out of " + *path + ":\n  " + printable(what) + "\n");
  return trouble ? report_failure(*trouble, kFileTrouble) : kMeasured;
}

// Every record of the folder with its last entry.
int run_list(const RecordCommand& command) {
  const std::string folder = command.record.folder.value_or(".");
  std::error_code error;
  std::vector<std::string> names;
  for (const auto& file : std::filesystem::directory_iterator(folder, error))
    if (has_ending(file.path().filename().string(), ".sled.jsonl")) names.push_back(file.path().string());
  if (error)
    return report_failure(
        {"file-not-readable", "Cannot read the folder \"" + folder + "\".", "Check its name."}, kFileTrouble);
  std::sort(names.begin(), names.end());
  std::string out;
  for (const std::string& name : names) {
    const auto log = read_sled_log(name);
    const std::string file = std::filesystem::path(name).filename().string();
    std::string last = !log                   ? log.failure().text
                       : log->entries.empty() ? std::string("nothing yet")
                                              : record_table({log->entries.back()}, Units::kInch).front();
    put(out, file.substr(0, file.size() - std::string(".sled.jsonl").size()) + ": ", last, out_terminal());
  }
  const auto trouble = put_out("-", out.empty() ? "There is no record in this folder yet.\n" : out);
  return trouble ? report_failure(*trouble, kFileTrouble) : kMeasured;
}

CLI::App* add_part(CLI::App& app, RecordCommand& command, const char* name, const char* help) {
  CLI::App* part = app.add_subcommand(name, help);
  part->add_option("SLED", command.record.sled, "The sled's name, like \"bench 7\"")
      ->type_name("")
      ->required();
  add_record_folder(*part, command.record);
  return part;
}

CLI::App* add_add(CLI::App& app, RecordCommand& command) {
  CLI::App* part = add_part(app, command, "add", "Add a measurement, a move or a note to a sled's record");
  AddOptions& add = command.add;
  part->add_option("--result", add.result, "A measurement: what measure --json or correct --json wrote")
      ->type_name("FILE.json");
  part->add_option("--moved-as", add.moved_as, "A move, made the way this result said")
      ->type_name("FILE.json");
  part->add_option("--move", add.move, "A move that was made, at the pivot distance")->type_name("LENGTH");
  part->add_option("--toward", add.toward, "Which way the end that is not at the pivot went")
      ->type_name("operator|away");
  part->add_option("--by", add.by, "How it was made (feelers)")->type_name("feelers|screw|shims|indicator");
  part->add_option("--within", add.within, "How exactly it was made, a standard uncertainty (1thou)")
      ->type_name("LENGTH");
  part->add_option("--note", command.record.note, "A few words beside it, or by themselves: \"new blade\"")
      ->type_name("TEXT");
  add_sled_options(*part, command.sled, {"units", "pivot", "pivot-distance"});
  part->footer(
      "Example:\n  tapersight record add bench-07 --move .0975 --toward operator --pivot left "
      "--pivot-distance 45in");
  return part;
}

CLI::App* add_show(CLI::App& app, RecordCommand& command) {
  CLI::App* part = add_part(app, command, "show", "Show a sled's record, what it says and what is due");
  part->add_option("--json", command.json, "Also write it as JSON; - for the terminal, alone")
      ->type_name("FILE|-");
  add_sled_options(*part, command.sled, {"units", "pivot", "pivot-distance"});
  add_shop_options(*part, command.sled);
  part->footer("Example:\n  tapersight record show bench-07 --tolerance 2thou/12in");
  return part;
}

CLI::App* add_plot(CLI::App& app, RecordCommand& command) {
  CLI::App* part = add_part(app, command, "plot", "Draw a sled's errors over time with their intervals");
  part->add_option("--out", command.out, "The drawing to write")->type_name("FILE.svg")->required();
  add_sled_options(*part, command.sled, {"units"});
  part->add_option("--tolerance", command.sled.tolerance, "The band to draw (2thou/12in, a usual one)")
      ->type_name("ERROR");
  part->footer("Example:\n  tapersight record plot bench-07 --out bench-07.svg");
  return part;
}

}  // namespace

Command add_record_command(CLI::App& program) {
  const auto command = std::make_shared<RecordCommand>();
  CLI::App* app =
      program.add_subcommand("record", "Keep a sled's measurements and moves, and learn from them");
  app->require_subcommand(1);
  const CLI::App* add = add_add(*app, *command);
  const CLI::App* show = add_show(*app, *command);
  add_plot(*app, *command);
  const CLI::App* undo = add_part(*app, *command, "undo", "Take the last entry out of a sled's record");
  CLI::App* list = app->add_subcommand("list", "List the records of a folder with their last entries");
  add_record_folder(*list, command->record);
  app->footer("tapersight record add|show|plot|undo|list --help tells more.");
  return {app, [command, add, show, undo, list] {
            if (add->parsed()) return run_add(*command);
            if (undo->parsed()) return run_undo(*command);
            if (list->parsed()) return run_list(*command);
            return show->parsed() ? run_show(*command) : run_plot(*command);
          }};
}

}  // namespace tapersight
