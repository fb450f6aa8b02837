// Where a sled's record lies, and how a measuring command takes part in it.
#pragma once
#include <CLI/CLI.hpp>
#include <optional>
#include <string>

#include "assess/measurement_report.h"
#include "base/result.h"
#include "options/sled_options.h"

namespace tapersight {

struct RecordOptions {
  std::string sled;                    // its name; empty: no record
  std::optional<std::string> file_of;  // --sled: of this one the file and the record
  std::optional<std::string> note;     // to keep with the entry
  std::optional<std::string> folder;   // of the records; unset: where one is
};

// Adds --record and --record-folder to a measuring command.
void add_record_options(CLI::App& command, RecordOptions& options);
void add_record_folder(CLI::App& command, RecordOptions& options);

// For --sled: names the sled's file as the config file, and its record. Failures: bad-sled-name,
// "no-sled-file", "option-does-nothing" (--config or --record beside it).
std::optional<Failure> take_sled(RecordOptions& options, SledOptions& sled);

// The sled's file, which 'tapersight setup' writes: "bench-07.sled.toml". Failure: bad-sled-name.
Result<std::string> sled_file(const RecordOptions& options, const std::string& sled);

// The record's file. Failure: bad-sled-name.
Result<std::string> record_path(const RecordOptions& options);

// The entries so far, none when there is no record yet; `source` tells where this measurement comes from.
// Failures: bad-sled-name, record-unreadable, not-a-record, option-does-nothing.
Result<std::optional<RecordSoFar>> record_so_far(const RecordOptions& options, const std::string& source);

// Puts the measurement into the record, when there is one. Failures: those of append_entry.
std::optional<Failure> keep_in_record(const RecordOptions& options, const ShopAdvice& advice);

}  // namespace tapersight
