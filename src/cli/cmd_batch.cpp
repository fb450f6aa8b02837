#include <algorithm>
#include <atomic>
#include <chrono>
#include <csignal>
#include <filesystem>
#include <map>
#include <memory>
#include <opencv2/core/utility.hpp>
#include <thread>

#include "base/text.h"
#include "batch/class_run.h"
#include "batch/settled.h"
#include "batch/thumbnails.h"
#include "classroom/class_page.h"
#include "classroom/class_setup.h"
#include "classroom/class_summary.h"
#include "cli/add_options.h"
#include "cli/command.h"
#include "cli/exit_status.h"
#include "cli/outputs.h"
#include "cli/progress.h"
#include "cli/reading_options.h"
#include "cli/terminal.h"
#include "options/bar_options.h"
#include "options/shop_options.h"

namespace tapersight {
namespace {

struct BatchOptions {
  ClassOptions for_class;
  std::vector<std::string> inputs, merge;
  std::string out;
  std::optional<std::string> jobs;
  bool resume = false, watch = false, slips = false;
};

std::atomic<bool> g_stop{false};  // set by Ctrl-C: a signal can reach nothing else

extern "C" void ask_to_stop(int signal) {
  g_stop = true;
  std::signal(signal, SIG_DFL);  // a second one ends the program at once
}

Result<int> parse_jobs(const std::optional<std::string>& text) {
  if (!text) return static_cast<int>(std::max(1U, std::thread::hardware_concurrency()));
  const auto number = parse_number(*text);
  if (number && *number >= 1 && *number <= 256 && *number == static_cast<int>(*number))
    return static_cast<int>(*number);
  return Failure{"bad-jobs", "\"" + *text + "\" is not a number of jobs.",
                 "Write a whole number from 1 to 256."};
}

std::string what_came_of(const PictureDone& done) {
  std::string line = done.file->name + ": ";
  if (done.used_again) line += "done before; ";
  bool first = true;
  for (const ClassResult& r : done.results) {
    line += (first ? "" : ", ") + (r.bench ? "bench " + std::to_string(*r.bench) + " " : std::string()) +
            (r.measured ? "measured"
             : r.reason ? r.reason->code
                        : "reported");
    first = false;
  }
  return printable(line);
}

// Says what came of the batch, and how the program ends.
int tell(const std::vector<ClassResult>& results, const ClassNotes& notes, Units units) {
  if (const auto trouble = put_out("-", class_text(results, notes, units, out_terminal())))
    return report_failure(*trouble, kFileTrouble);
  return all_measured(results, notes) ? kMeasured : kNotMeasurable;
}

std::optional<Failure> write_page(const std::vector<ClassResult>& results, const ClassNotes& notes,
                                  const BatchOptions& options, const ResolvedClass& resolved) {
  ClassPageOptions page;
  page.title = options.for_class.group;
  page.program_version = kProgramVersion;
  page.units = resolved.units;
  page.cut_length_mm = resolved.cut_length_mm;
  page.thumbnails = read_thumbnails(options.out, results);
  if (options.slips)
    if (auto failure = put_out(options.out + "/slips.html", class_slips(results, notes, page)))
      return failure;
  return put_out(options.out + "/class.html", class_page(results, notes, page));
}

void put_roster(const ClassSetup& setup, ClassNotes& notes) {
  for (const auto& [bench, said] : setup.benches) {
    notes.roster[bench] = said.student;
    if (said.no_distance) notes.no_distance.push_back(bench);
  }
}

// What is written into the folder must be none of the files that are read.
std::optional<Failure> check_folder(const BatchOptions& options, std::vector<std::string> inputs) {
  for (const std::string& file : {options.for_class.roster, options.for_class.sled.config})
    inputs.push_back(file);
  std::vector<std::string> outputs;
  for (const char* name : {"results.csv", "results.jsonl", "class.html", "slips.html", "batch-log.jsonl"})
    outputs.push_back(options.out + "/" + name);
  return check_outputs(inputs, outputs);
}

// Overlays of earlier runs are cleared away: no picture may lie among them.
std::optional<Failure> check_pictures(const BatchOptions& options, const std::vector<PictureFile>& pictures) {
  namespace fs = std::filesystem;
  for (const PictureFile& picture : pictures) {
    std::error_code ignored;
    if (fs::equivalent(fs::path(options.out) / kOverlayFolder, fs::absolute(picture.path).parent_path(),
                       ignored))
      return Failure{"would-overwrite", "\"" + picture.path + "\" lies where the overlays are written.",
                     "Move the picture to a folder of its own, or give another folder with --out."};
  }
  return std::nullopt;
}

int run_merge(const BatchOptions& options) {
  if (!options.inputs.empty() || options.resume || options.watch || options.jobs)
    return report_wrong_usage({"merge-alone", "--merge puts results together and measures nothing.",
                               "Leave pictures, --resume, --watch and --jobs out."});
  if (const auto failure = make_folder(options.out)) return report_failure(*failure, kFileTrouble);
  const auto resolved = resolve_class(options.for_class);
  if (!resolved) return report_wrong_usage(resolved.failure());
  ClassNotes notes;
  put_roster(resolved->setup, notes);
  if (const auto failure = check_folder(options, options.merge)) return report_wrong_usage(*failure);
  const auto results = merge_results(options.merge, options.out);
  if (!results) return report_wrong_usage(results.failure());
  if (const auto failure = write_results(options.out, *results, absent_benches(*results, notes.roster)))
    return report_failure(*failure, kFileTrouble);
  std::map<std::pair<std::string, std::string>, int> pictures;
  for (const ClassResult& r : *results) ++pictures[{r.group, r.picture}];
  notes.pictures = notes.pictures_done = static_cast<int>(pictures.size());
  notes.folder = options.out;
  if (const auto failure = write_page(*results, notes, options, *resolved))
    return report_failure(*failure, kFileTrouble);
  return tell(*results, notes, resolved->units);
}

// Writes what is done.
std::optional<Failure> write_all(ClassRun& run, const ResolvedClass& resolved, const BatchOptions& options,
                                 const ClassNotes& notes) {
  if (auto failure = run.finish()) return failure;
  return write_page(run.results(), notes, options, resolved);
}

ClassNotes notes_of(const ResolvedClass& resolved, const BatchOptions& options, std::size_t pictures,
                    std::size_t done) {
  ClassNotes notes;
  notes.pictures = static_cast<int>(pictures);
  notes.pictures_done = static_cast<int>(done);
  put_roster(resolved.setup, notes);
  notes.unused_columns = resolved.unused_columns;
  notes.folder = options.out;
  return notes;
}

void wait_a_second() {
  for (int tenth = 0; tenth < 10 && !g_stop; ++tenth)
    std::this_thread::sleep_for(std::chrono::milliseconds(100));
}

int run_watch(ClassRun& run, const ResolvedClass& resolved, const BatchOptions& options, int jobs) {
  std::fputs("Watching; end with Ctrl-C.\n", stderr);
  SettledFiles settled;
  std::map<std::string, FileLook> measured;  // as they looked then
  std::size_t done = 0;
  bool told = false;
  for (; !g_stop; wait_a_second()) {
    const auto pictures = find_pictures(options.inputs);
    // A stick that was pulled, a share that is away: what was measured stands, and it may come back.
    const bool gone = !pictures && pictures.failure().code != "no-pictures";
    if (gone && !told) std::fputs((pictures.failure().text + " Waiting for it.\n").c_str(), stderr);
    told = gone;
    if (gone) continue;
    const auto ready = pictures ? settled.of(*pictures) : std::vector<PictureFile>();
    std::map<std::string, FileLook> looks;
    for (const PictureFile& picture : ready)
      if (const auto look = look_at(picture.path)) looks[picture.path] = *look;
    if (!(looks == measured)) {
      std::size_t fresh = 0;
      const auto worked = run.measure(ready, jobs, g_stop, [&](const PictureDone& picture) {
        if (picture.used_again) return;
        ++fresh;
        std::fputs((what_came_of(picture) + "\n").c_str(), stderr);
      });
      if (!worked) return report_failure(worked.failure(), kFileTrouble);
      done = *worked;
      measured = looks;
      if (const auto failure = write_all(run, resolved, options, notes_of(resolved, options, done, done)))
        return report_failure(*failure, kFileTrouble);
    }
  }
  const ClassNotes notes = notes_of(resolved, options, done, done);
  if (const auto failure = write_all(run, resolved, options, notes))
    return report_failure(*failure, kFileTrouble);
  return tell(run.results(), notes, resolved.units);
}

int run_batch(const BatchOptions& options) {
  if (!options.merge.empty()) return run_merge(options);
  if (options.inputs.empty())
    return report_wrong_usage({"no-pictures", "There are no pictures to measure.",
                               "Name a folder of scans, or the scans themselves."});
  if (options.for_class.roster.empty())
    return report_wrong_usage({"no-roster", "The roster is missing.", "Give it with --roster roster.csv."});
  const auto jobs = parse_jobs(options.jobs);
  if (!jobs) return report_wrong_usage(jobs.failure());
  const auto resolved = resolve_class(options.for_class);
  if (!resolved) return report_wrong_usage(resolved.failure());
  const auto pictures = find_pictures(options.inputs);
  if (!pictures && !(options.watch && pictures.failure().code == "no-pictures"))
    return report_wrong_usage(pictures.failure());
  if (const auto failure = check_folder(options, {})) return report_wrong_usage(*failure);
  if (pictures)
    if (const auto failure = check_pictures(options, *pictures)) return report_wrong_usage(*failure);
  const auto room = DecodingRoom::open();  // while there are no threads yet
  if (!room) return report_failure(room.failure(), kFileTrouble);
  cv::setNumThreads(1);  // the pictures are shared out among the jobs, not the parts of one
  auto run = ClassRun::open(options.out, resolved->setup, room->get(), options.resume || options.watch);
  if (!run) return report_failure(run.failure(), kFileTrouble);
  std::signal(SIGINT, ask_to_stop);
  std::signal(SIGTERM, ask_to_stop);
  if (options.watch) return run_watch(**run, *resolved, options, *jobs);
  std::optional<Progress> progress(std::in_place, pictures->size());
  const auto done = (*run)->measure(*pictures, *jobs, g_stop, [&](const PictureDone& picture) {
    progress->step(what_came_of(picture), picture.used_again);
  });
  progress.reset();
  if (!done) return report_failure(done.failure(), kFileTrouble);
  const ClassNotes notes = notes_of(*resolved, options, pictures->size(), *done);
  if (const auto failure = write_all(**run, *resolved, options, notes))
    return report_failure(*failure, kFileTrouble);
  return tell((*run)->results(), notes, resolved->units);
}

}  // namespace

Command add_batch_command(CLI::App& program) {
  const auto options = std::make_shared<BatchOptions>();
  options->for_class.program_version = kProgramVersion;
  CLI::App* app = program.add_subcommand("batch", "Measure the strips of a whole class");
  app->add_option("PICTURES", options->inputs, "A folder of scans, or the scans")->type_name("");
  app->add_option("--roster", options->for_class.roster, "The benches, one a line, as CSV")
      ->type_name("FILE.csv");
  app->add_option("--out", options->out, "The folder for results and overlays")
      ->type_name("FOLDER")
      ->required();
  app->add_option("--class", options->for_class.group,
                  "The class's name, for when several classes are put together")
      ->type_name("NAME");
  app->add_option("--jobs", options->jobs, "Pictures measured at a time (as many as there are cores)")
      ->type_name("N");
  app->add_flag("--resume", options->resume, "Go on where a run ended, using again what is unchanged");
  app->add_flag("--slips", options->slips,
                "Also write slips.html: a small page for each bench, to be cut apart");
  app->add_flag("--watch", options->watch, "Measure pictures as the scanner drops them, until Ctrl-C");
  app->add_option("--merge", options->merge, "Put results.jsonl files of several runs together instead")
      ->type_name("FILES");
  add_bar_options(*app, options->for_class.bar_x, options->for_class.bar_y);
  add_sled_options(*app, options->for_class.sled);
  add_shop_options(*app, options->for_class.sled);
  add_limit_options(*app, options->for_class.limits);
  app->footer(
      "The roster's first line names its columns: bench, perhaps student, and any of the options above and "
      "of the caliper's\n"
      "(fence-end-readings, far-end-readings, closed-jaws, ...), which then hold for that bench.\n"
      "A strip belongs to the bench of its tag, or of the file's name (bench-07.jpg, 07.jpg).\n"
      "Memory: at most about 70 MB, and for each job 50 MB and 2 bytes a pixel of its picture; 550 MB more "
      "for a\n"
      "picture in which the sheet is not found among thousands of small things.\n"
      "Exit status: 0 all measured, 3 not all, 2 wrong usage, 4 file trouble.\n"
      "Example:\n  tapersight batch scans --roster roster.csv --out results --tolerance 2thou/12in");
  return {app, [options] { return run_batch(*options); }};
}

}  // namespace tapersight
