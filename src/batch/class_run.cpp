#include "batch/class_run.h"

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <mutex>
#include <new>
#include <nlohmann/json.hpp>
#include <set>
#include <system_error>

#include "base/content_hash.h"
#include "base/files.h"
#include "batch/in_order.h"

namespace tapersight {
namespace {

namespace fs = std::filesystem;

constexpr const char* kLogName = "batch-log.jsonl";
constexpr const char* kPartMark = ".part-";  // of write_file_whole

std::vector<ClassResult> parsed(const LogEntry& entry) {
  std::vector<ClassResult> results;
  for (const std::string& line : entry.lines)
    if (auto result = read_result_line(line)) results.push_back(std::move(*result));
  return results;
}

std::vector<std::string> overlays_of(const LogEntry& entry) {
  std::vector<std::string> names;
  for (const ClassResult& result : parsed(entry))
    for (const std::string* name : {&result.overlay, &result.thumbnail})
      if (!name->empty()) names.push_back(*name);
  return names;
}

// "overlays/NAME", NAME as safe_file_name makes it: a log is a file like any other, and may say anything.
bool is_our_overlay(const std::string& name) {
  const std::string folder = std::string(kOverlayFolder) + "/";
  return name.rfind(folder, 0) == 0 &&
         safe_file_name(name.substr(folder.size())) == name.substr(folder.size());
}

// What write_file_whole had begun when the program was killed.
void clear_half_written(const std::string& folder, bool results_only) {
  std::error_code error;
  for (fs::directory_iterator at(folder, error); !error && at != fs::directory_iterator();
       at.increment(error)) {
    const std::string name = at->path().filename().string();
    const std::size_t mark = name.rfind(kPartMark);
    if (mark == std::string::npos || name.size() != mark + std::string(kPartMark).size() + 6) continue;
    const std::string whole = name.substr(0, mark);
    std::error_code ignored;
    if (!results_only || whole == "results.csv" || whole == "results.jsonl" || whole == kLogName ||
        whole == "class.html")
      fs::remove(at->path(), ignored);
  }
}

Failure in_use(const std::string& folder) {
  return {"folder-in-use", "Another batch is writing into \"" + folder + "\".",
          "Wait for it, or give another folder."};
}

}  // namespace

std::optional<Failure> make_folder(const std::string& folder) {
  std::error_code error;
  fs::create_directories(folder, error);
  if (!error && fs::is_directory(folder, error) && ::access(folder.c_str(), W_OK | X_OK) == 0)
    return std::nullopt;
  const std::string why = error                      ? error.message()
                          : fs::is_directory(folder) ? "no permission"
                                                     : "it is no folder";
  return Failure{"file-not-writable", "Cannot write into the folder \"" + folder + "\": " + why + ".",
                 "Check the folder's name and its permissions."};
}

Result<std::unique_ptr<ClassRun>> ClassRun::open(const std::string& folder, ClassSetup setup,
                                                 DecodingRoom* room, bool resume) {
  const std::string overlays = folder + "/" + kOverlayFolder;
  for (const std::string& each : {folder, overlays})
    if (auto failure = make_folder(each)) return *failure;
  std::unique_ptr<ClassRun> run(new ClassRun(folder, std::move(setup), room));
  run->lock_ = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (run->lock_ < 0 || ::flock(run->lock_, LOCK_EX | LOCK_NB) != 0) return in_use(folder);
  clear_half_written(folder, true);
  clear_half_written(overlays, false);
  const std::string log = folder + "/" + kLogName;
  if (const auto text = read_file(log)) run->known_ = read_batch_log(*text);
  for (const auto& [name, entry] : run->known_)
    for (const std::string& overlay : overlays_of(entry)) run->old_overlays_.push_back(overlay);
  if (!resume) run->known_.clear();
  // Rewritten whole, so that a torn last line does not swallow the next one.
  std::string kept;
  for (const auto& [name, entry] : run->known_) kept += to_line(entry) + "\n";
  if (const auto written = write_file_whole(log, kept); !written) return written.failure();
  auto opened = BatchLog::open(log);
  if (!opened) return opened.failure();
  run->log_ = std::move(*opened);
  return run;
}

ClassRun::~ClassRun() {
  if (lock_ >= 0) ::close(lock_);
}

bool ClassRun::still_holds(const LogEntry& entry, const std::string& content) const {
  if (entry.key.content != content || entry.key.settings != setup_.digest) return false;
  for (const auto& [bench, digest] : entry.key.benches)
    if (setup_.digest_of(bench) != digest) return false;
  for (const std::string& overlay : overlays_of(entry)) {
    std::error_code ignored;
    if (!fs::is_regular_file(folder_ + "/" + overlay, ignored)) return false;
  }
  return parsed(entry).size() == entry.lines.size();
}

// Fills in `entry`; returns whether it was used again.
Result<bool> ClassRun::one(const PictureFile& file, LogEntry& entry) {
  std::string content = "unreadable";
  try {
    if (const auto hash = content_hash_of_file(file.path, setup_.reading.limits.most_file_bytes))
      content = *hash;
  } catch (const std::bad_alloc&) {  // measure_file says so
  }
  const auto known = known_.find(file.name);
  if (known != known_.end() && still_holds(known->second, content)) {
    entry = known->second;
    return true;
  }
  auto outcome = measure_file(file, setup_, room_, folder_);
  if (!outcome) return outcome.failure();
  entry.picture = file.name;
  entry.key = {content, setup_.digest, {}};
  for (const int bench : outcome->benches) entry.key.benches[bench] = setup_.digest_of(bench);
  entry.lines = std::move(outcome->lines);
  if (auto failure = log_->append(entry)) return *failure;
  return false;
}

Result<std::size_t> ClassRun::measure(const std::vector<PictureFile>& pictures, int jobs,
                                      const std::atomic<bool>& stop,
                                      const std::function<void(const PictureDone&)>& done) {
  std::vector<LogEntry> entries(pictures.size());
  std::vector<char> again(pictures.size(), 0);
  std::atomic<bool> end{false};
  std::mutex mutex;
  std::optional<Failure> trouble;
  run_in_order(
      pictures.size(), jobs, end,
      [&](std::size_t i) {
        if (stop) end = true;
        if (end) return;
        const auto reused = one(pictures[i], entries[i]);
        if (reused) {
          again[i] = *reused;
          return;
        }
        const std::lock_guard<std::mutex> lock(mutex);
        if (!trouble) trouble = reused.failure();
        end = true;
      },
      [&](std::size_t i) {
        if (!entries[i].picture.empty()) done({i, &pictures[i], again[i] != 0, parsed(entries[i])});
      });
  done_.clear();
  for (LogEntry& entry : entries)
    if (!entry.picture.empty()) done_[entry.picture] = std::move(entry);
  for (const auto& [name, entry] : done_) known_[name] = entry;
  if (trouble) return *trouble;
  return done_.size();
}

std::vector<ClassResult> ClassRun::results() const {
  std::vector<ClassResult> all;
  for (const auto& [name, entry] : done_)
    for (ClassResult& result : parsed(entry)) all.push_back(std::move(result));
  put_in_order(all);
  return all;
}

std::optional<Failure> ClassRun::finish() {
  const std::vector<ClassResult> all = results();
  std::map<int, std::string> roster;
  for (const auto& [bench, said] : setup_.benches) roster[bench] = said.student;
  if (auto failure = write_results(folder_, all, absent_benches(all, roster))) return failure;
  // Pictures that were not come to keep their places in the log for the next run.
  std::string log;
  for (const auto& [name, entry] : known_) log += to_line(entry) + "\n";
  if (const auto written = write_file_whole(folder_ + "/" + kLogName, log); !written)
    return written.failure();
  auto opened = BatchLog::open(folder_ + "/" + kLogName);
  if (!opened) return opened.failure();
  log_ = std::move(*opened);
  std::set<std::string> needed;
  for (const auto& [name, entry] : known_)
    for (const std::string& overlay : overlays_of(entry)) needed.insert(overlay);
  for (const std::string& overlay : old_overlays_) {
    std::error_code ignored;
    if (needed.count(overlay) == 0 && is_our_overlay(overlay)) fs::remove(folder_ + "/" + overlay, ignored);
  }
  return std::nullopt;
}

std::optional<Failure> write_results(const std::string& folder, const std::vector<ClassResult>& results,
                                     const std::vector<AbsentBench>& absent) {
  const std::pair<const char*, std::string> files[] = {{"results.csv", results_csv(results, absent)},
                                                       {"results.jsonl", results_jsonl(results)}};
  for (const auto& [name, bytes] : files)
    if (const auto written = write_file_whole(folder + "/" + name, bytes); !written) return written.failure();
  return std::nullopt;
}

Result<std::vector<ClassResult>> merge_results(const std::vector<std::string>& files,
                                               const std::string& folder) {
  std::vector<ClassResult> all;
  std::error_code error;
  for (const std::string& file : files) {
    const auto text = read_file(file);
    if (!text) return text.failure();
    const fs::path from = fs::absolute(fs::path(file).parent_path(), error);
    for (std::size_t at = 0; at < text->size();) {
      const std::size_t end = std::min(text->find('\n', at), text->size());
      const std::string line = text->substr(at, end - at);
      at = end + 1;
      if (line.empty()) continue;
      auto result = read_result_line(line);
      if (!result)
        return Failure{result.failure().code, "\"" + file + "\" has a line that is not a batch result.",
                       result.failure().remedy};
      auto json = nlohmann::ordered_json::parse(result->json);
      for (const auto& [field, name] :
           {std::pair{"overlay", &result->overlay}, std::pair{"thumbnail", &result->thumbnail}})
        if (!name->empty()) {
          *name = (from / *name)
                      .lexically_normal()
                      .lexically_relative(fs::absolute(folder, error).lexically_normal())
                      .generic_string();
          json[field] = *name;
        }
      result->json = json.dump();
      all.push_back(std::move(*result));
    }
  }
  put_in_order(all);
  return all;
}

}  // namespace tapersight
