// A sled and its record. Answers:
//   sled    {words, file, file_name, record_name, drawing (SVG), says}
//   record  {entries, damaged, says, plot (SVG)}
//   moved   {line}
#include <utility>

#include "base/markup.h"
#include "page/sled_sketch.h"
#include "record/response.h"
#include "record/sled_log_text.h"
#include "report/read_result.h"
#include "report/record_report.h"
#include "report/text.h"
#include "report/words.h"
#include "web/page_words.h"
#include "web/request_parts.h"

namespace tapersight {
namespace {

// How exactly a move is made with care, as a standard uncertainty: as tapersight record has it.
constexpr double kMoveMadeWithin_mm = kMmPerThou;

constexpr std::size_t kRecordEnding = 6;  // ".jsonl"

Result<SledOptions> words_or_file(const Json& request, const std::string& name) {
  if (const auto file = words_of(request, "file")) return parse_sled_file(name, *file);
  return sled_words(request.value("words", Json::object()));
}

}  // namespace

Json sled_request(const Json& request) {
  const std::string name = text_of(request, "name");
  const auto record_name = sled_file_name(name);
  if (!record_name) return failed(record_name.failure());
  const auto words = words_or_file(request, name);
  if (!words) return failed(words.failure());
  const auto sled = resolve({}, *words);
  if (!sled) return failed(sled.failure());
  SledSketch sketch;
  sketch.setup = sled->setup;
  sketch.units = sled->units;
  const std::string says = "The sled from above: " + setup_words(sled->setup, {});
  return {{"status", "done"},
          {"words", json_of(*words)},
          {"file", sled_file_text(name + ", from the Tapersight page; change it as you like", *words)},
          {"file_name", record_name->substr(0, record_name->size() - kRecordEnding) + ".toml"},
          {"record_name", *record_name},
          {"drawing", sled_drawing(sketch, typeset(says)).html()},
          {"says", typeset(says)}};
}

Json record_request(const Json& request) {
  const auto words = sled_words(request.value("sled", Json::object()));
  if (!words) return failed(words.failure());
  const auto sled = resolve({}, *words);
  if (!sled) return failed(sled.failure());
  RecordReport report;
  report.sled = text_of(request, "name");
  const auto log = parse_sled_log(report.sled, text_of(request, "lines"));
  if (!log) return failed(log.failure());
  report.program_version = TAPERSIGHT_VERSION;
  report.entries = log->entries;
  report.damaged_lines = static_cast<int>(log->damaged.size());
  report.setup = sled->setup;
  report.units = sled->units;
  report.tolerance = sled->tolerance;
  report.means = sled->means;
  const auto concluded = conclude(std::move(report));
  if (!concluded) return failed(concluded.failure());
  Terminal narrow;
  narrow.columns = 60;
  return {
      {"status", "done"},
      {"entries", log->entries.size()},
      {"damaged", log->damaged.size()},
      {"says", for_the_page(record_text(*concluded, narrow))},
      {"plot", record_plot_svg(concluded->entries, concluded->sled, concluded->units, concluded->tolerance)}};
}

Json moved_request(const Json& request) {
  const auto entry =
      move_from_result(text_of(request, "result"), text_of(request, "when"), kMoveMadeWithin_mm);
  if (!entry) return failed(entry.failure());
  return {{"status", "done"}, {"line", to_line(*entry)}};
}

}  // namespace tapersight
