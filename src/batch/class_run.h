// A batch in its output folder: what is measured, logged, taken up again, and written at the end.
//
//   results.csv, results.jsonl   one line a strip (class_result.h)
//   overlays/                    one picture a measured strip
//   batch-log.jsonl              what is done, for the next run (batch_log.h)
#pragma once
#include <atomic>
#include <functional>
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "batch/batch_log.h"
#include "batch/measure_file.h"
#include "classroom/class_result.h"

namespace tapersight {

// What happened to one picture.
struct PictureDone {
  std::size_t index = 0;  // in the pictures given
  const PictureFile* file = nullptr;
  bool used_again = false;           // measured by an earlier run, and unchanged
  std::vector<ClassResult> results;  // its lines
};

class ClassRun {
 public:
  // Makes the folder, takes it for this run alone, and clears away what a killed run left half written.
  // Pictures are decoded in `room`; null: in this process. Without `resume` whatever was measured before is
  // measured again. Failures: "file-not-writable", "folder-in-use".
  static Result<std::unique_ptr<ClassRun>> open(const std::string& folder, ClassSetup setup,
                                                DecodingRoom* room, bool resume);
  ~ClassRun();
  ClassRun(const ClassRun&) = delete;
  ClassRun& operator=(const ClassRun&) = delete;

  // Measures the pictures on `jobs` threads, at most `jobs` of them in memory, until `stop` becomes true.
  // `done` is called in the pictures' order. These pictures are then the batch's. Returns how many were done.
  // Failure: what could not be written.
  Result<std::size_t> measure(const std::vector<PictureFile>& pictures, int jobs,
                              const std::atomic<bool>& stop,
                              const std::function<void(const PictureDone&)>& done);

  std::vector<ClassResult> results() const;  // in order, of the pictures done

  // Writes results.csv, results.jsonl and the log anew, in order, and removes overlays of earlier runs that
  // belong to no result. Failure "file-not-writable".
  std::optional<Failure> finish();

 private:
  ClassRun(std::string folder, ClassSetup setup, DecodingRoom* room)
      : folder_(std::move(folder)), setup_(std::move(setup)), room_(room) {}
  bool still_holds(const LogEntry& entry, const std::string& content) const;
  Result<bool> one(const PictureFile& file, LogEntry& entry);

  std::string folder_;
  ClassSetup setup_;
  DecodingRoom* room_;
  int lock_ = -1;
  std::unique_ptr<BatchLog> log_;
  std::map<std::string, LogEntry> known_;  // what may be used again
  std::map<std::string, LogEntry> done_;   // of the present pictures
  std::vector<std::string> old_overlays_;
};

// Results of several runs, put together: the lines of results.jsonl files; overlays are named from `folder`.
// Failures: "file-not-readable", "not-a-class-result".
Result<std::vector<ClassResult>> merge_results(const std::vector<std::string>& files,
                                               const std::string& folder);

// Writes results.csv and results.jsonl. Failure "file-not-writable".
std::optional<Failure> write_results(const std::string& folder, const std::vector<ClassResult>& results,
                                     const std::vector<AbsentBench>& absent);

// Makes the folder and those above it. Failure "file-not-writable".
std::optional<Failure> make_folder(const std::string& folder);

}  // namespace tapersight
