// The record of one sled: a file one line of JSON an entry, which grows at its end. Made for a shop computer
// that is switched off at the wall: an entry is on the disk when append_entry returns, whatever was there
// before stays, and a torn line spoils no other line.
#pragma once
#include <optional>
#include <string>

#include "base/result.h"
#include "record/sled_log_text.h"

namespace tapersight {

// Takes a shared lock while it reads, so that no half-written line is seen.
// Failures: no-record (there is no such file), record-unreadable, not-a-record.
Result<SledLog> read_sled_log(const std::string& path);

// Makes the file if need be. Under an exclusive lock (flock, so between processes): one write at the end,
// then fsync; a torn last line is closed off first so that it stays a line of its own. When the write fails
// half-way (disk full) the file is cut back to what it was. Failures: bad-entry, not-a-record (the file is
// something else and is left alone), record-not-written.
std::optional<Failure> append_entry(const std::string& path, const RecordEntry& entry);

// Takes the last line away, whatever it holds, and returns it without its end. Under the same lock. Failures:
// those of read_sled_log, "record-empty", "record-not-written".
Result<std::string> remove_last_entry(const std::string& path);

}  // namespace tapersight
