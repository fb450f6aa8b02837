// One strip, from its pictures to the report page. Answer: {status: "measured" | "rejected", title, result,
// page, line}: what to do in one sentence, the result's JSON as the program writes it, the page, and the line
// that the sled's record gets (empty: none, or it is there already). A refused picture's answer has {code,
// text, remedy} as well.
#include <utility>

#include "assess/assess.h"
#include "base/text.h"
#include "options/picture_words.h"
#include "page/measurement_page.h"
#include "page/standing.h"
#include "record/sled_log_text.h"
#include "report/json.h"
#include "report/text.h"
#include "web/page_words.h"
#include "web/request_parts.h"

namespace tapersight {
namespace {

PictureWords picture_words(const Json& request) {
  const Json said = request.value("picture", Json::object());
  PictureWords words;
  words.kind = words_of(said, "kind");
  words.thickness = words_of(said, "thickness");
  words.take = words_of(said, "take");
  words.bar_x = words_of(said, "bar-x");
  words.bar_y = words_of(said, "bar-y");
  words.without_target = said.value("without-target", false);
  words.fence_end_at = words_of(said, "fence-end-at");
  if (const auto dpi = words_of(said, "scan-dpi")) words.scan_dpi = parse_number(*dpi);
  return words;
}

Result<std::optional<WiderEnd>> wider_end(const Json& request) {
  const auto wider = words_of(request.value("picture", Json::object()), "wider");
  if (!wider) return std::optional<WiderEnd>();
  if (*wider == "fence-end") return std::optional(WiderEnd::kFenceEnd);
  if (*wider == "far-end") return std::optional(WiderEnd::kFarEnd);
  return bad_request(*wider);
}

Result<std::optional<RecordSoFar>> record_so_far(const Json& request, const std::string& source) {
  if (!request.contains("record")) return std::optional<RecordSoFar>();
  const Json& said = request.at("record");
  RecordSoFar record;
  record.sled = text_of(said, "sled");
  record.when = text_of(said, "when");
  record.source = source;
  record.note = text_of(said, "note");
  if (!record.note.empty())
    if (const auto failure = validate(NoteEntry{record.when, record.note})) return *failure;
  const auto log = parse_sled_log(record.sled, text_of(said, "lines"));
  if (!log) return log.failure();
  record.entries = log->entries;
  record.damaged_lines = static_cast<int>(log->damaged.size());
  return std::optional(record);
}

// Everything that is known before a picture is opened.
Result<MeasurementReport> asked_for(const Json& request) {
  MeasurementReport report;
  const auto words = sled_words(request.value("sled", Json::object()));
  if (!words) return words.failure();
  const auto sled = resolve({}, *words);
  if (!sled) return sled.failure();
  const PictureWords said = picture_words(request);
  const auto options = picture_options(said, sled->units);
  if (!options) return options.failure();
  const auto wider = wider_end(request);
  if (!wider) return wider.failure();
  report.program_version = TAPERSIGHT_VERSION;
  report.setup = sled->setup;
  report.units = sled->units;
  report.wishes.tolerance = sled->tolerance;
  report.wishes.means = sled->means;
  report.options = *options;
  report.reading.limits = page_limits();
  report.wider = *wider;
  report.fence_end_assumed = said.without_target && !said.fence_end_at;
  for (const Json& picture : request.at("pictures")) {
    if (&picture == &request.at("pictures").front())
      report.picture.file = text_of(picture, "name");
    else
      report.further.push_back({text_of(picture, "name"), picture.value("reversed", false)});
  }
  const auto record = record_so_far(request, report.picture.file);
  if (!record) return record.failure();
  report.wishes.record = *record;
  return report;
}

std::string new_line(const MeasurementReport& report) {
  const auto& record = report.advice.record;
  return !record || record->recorded_already ? std::string() : to_line(record->entry);
}

}  // namespace

Json measure_request(const Json& request, const Blobs& blobs) {
  const auto asked = asked_for(request);
  if (!asked) return failed(asked.failure());
  const Json& pictures = request.at("pictures");
  const auto assessed =
      assess(*asked, [&](std::size_t number) { return picture_of(pictures.at(number), blobs); });
  if (!assessed) return failed(assessed.failure());
  const MeasurementReport& report = assessed->report;
  const auto page = measurement_page(assessed->shown.grey, report);
  if (!page) return failed(page.failure());
  Json answer = report.measurement ? Json::object() : failed(report.measurement.failure());
  answer["status"] = report.measurement ? "measured" : "rejected";
  answer["title"] = what_to_do(report) + ".";
  answer["result"] = measurement_json(report);
  answer["page"] = for_the_page_in_markup(*page);
  answer["line"] = report.measurement ? new_line(report) : std::string();
  return answer;
}

}  // namespace tapersight
