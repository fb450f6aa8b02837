// What a batch has done so far: one line a picture, written when its overlays are, so that a batch that was
// killed goes on where it was.
#pragma once
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"

namespace tapersight {

// A picture's results are used again while the key stays as it was.
struct BatchKey {
  std::string content;                 // hash of the file's bytes: times and sizes lie after copying
  std::string settings;                // of the program's version and the options for all
  std::map<int, std::string> benches;  // digest of the set-up of each bench that the lines depend on
};

struct LogEntry {
  std::string picture;  // its name in the batch
  BatchKey key;
  std::vector<std::string> lines;
};

std::string to_line(const LogEntry& entry);                        // without its end
std::optional<LogEntry> entry_from_line(const std::string& line);  // nothing for a torn or strange line

// By the picture's name; a later entry stands above an earlier one. Torn lines are left out.
std::map<std::string, LogEntry> read_batch_log(const std::string& text);

// Appends entries, each on the disk before append() returns. Safe to be called by several threads.
class BatchLog {
 public:
  // Failure "file-not-writable".
  static Result<std::unique_ptr<BatchLog>> open(const std::string& path);
  ~BatchLog();
  BatchLog(const BatchLog&) = delete;
  BatchLog& operator=(const BatchLog&) = delete;
  std::optional<Failure> append(const LogEntry& entry);

 private:
  BatchLog(std::string path, int descriptor) : path_(std::move(path)), descriptor_(descriptor) {}
  std::mutex mutex_;
  std::string path_;
  int descriptor_;
};

}  // namespace tapersight
