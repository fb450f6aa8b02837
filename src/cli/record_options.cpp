#include "cli/record_options.h"

#include <ctime>
#include <filesystem>

#include "options/shop_options.h"
#include "record/sled_log.h"

namespace tapersight {

void add_record_folder(CLI::App& command, RecordOptions& options) {
  command.add_option("--record-folder", options.folder, "The folder of the records (the present one)")
      ->type_name("FOLDER")
      ->group("The record");
}

void add_record_options(CLI::App& command, RecordOptions& options) {
  command
      .add_option("--record", options.sled,
                  "The sled's name: keep the result in its record, and learn from it how the fence answers")
      ->type_name("SLED")
      ->group("The record");
  command
      .add_option("--sled", options.file_of,
                  "The sled's name: use what 'tapersight setup' wrote for it, and keep its record")
      ->type_name("SLED")
      ->group("The record");
  command.add_option("--note", options.note, "A few words to keep in the record beside this measurement")
      ->type_name("TEXT")
      ->group("The record");
  add_record_folder(command, options);
}

Result<std::string> sled_file(const RecordOptions& options, const std::string& sled) {
  const auto record = sled_file_name(sled);
  if (!record) return record.failure();
  const std::string name = std::filesystem::path(*record).stem().string() + ".toml";
  return options.folder ? (std::filesystem::path(*options.folder) / name).string() : name;
}

std::optional<Failure> take_sled(RecordOptions& options, SledOptions& sled) {
  if (!options.file_of) return std::nullopt;
  if (!sled.config.empty()) return does_nothing("--config", "beside --sled, which names the sled's file");
  if (!options.sled.empty()) return does_nothing("--record", "beside --sled, which names the record as well");
  const auto file = sled_file(options, *options.file_of);
  if (!file) return file.failure();
  std::error_code ignored;
  if (!std::filesystem::exists(*file, ignored))
    return Failure{"no-sled-file",
                   "There is no file " + *file + " for the sled \"" + *options.file_of + "\" yet.",
                   "Answer four questions once: tapersight setup " + *options.file_of};
  sled.config = *file;
  options.sled = *options.file_of;
  return std::nullopt;
}

Result<std::string> record_path(const RecordOptions& options) {
  const auto name = sled_file_name(options.sled);
  if (!name || !options.folder) return name;
  return (std::filesystem::path(*options.folder) / *name).string();
}

Result<std::optional<RecordSoFar>> record_so_far(const RecordOptions& options, const std::string& source) {
  if (options.sled.empty()) {
    if (options.folder) return does_nothing("--record-folder", "without --record or --sled");
    if (options.note) return does_nothing("--note", "without --record or --sled");
    return std::optional<RecordSoFar>();
  }
  const auto path = record_path(options);
  if (!path) return path.failure();
  RecordSoFar record;
  record.sled = options.sled;
  record.when = utc_text(std::time(nullptr));
  record.source = source;
  if (options.note) {
    if (const auto failure = validate(NoteEntry{record.when, *options.note})) return *failure;
    record.note = *options.note;
  }
  const auto log = read_sled_log(*path);
  if (!log && log.failure().code != "no-record") return log.failure();
  if (log) {
    record.entries = log->entries;
    record.damaged_lines = static_cast<int>(log->damaged.size());
  }
  return std::optional<RecordSoFar>(record);
}

std::optional<Failure> keep_in_record(const RecordOptions& options, const ShopAdvice& advice) {
  if (!advice.record || advice.record->recorded_already) return std::nullopt;
  const auto path = record_path(options);
  if (!path) return path.failure();
  return append_entry(*path, advice.record->entry);
}

}  // namespace tapersight
