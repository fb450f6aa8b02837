// A class: each picture by itself, so that the page can say how far it is and keep only one in memory; then
// the sheet of all. A picture's answer: {lines, thumbnails: [{name, jpeg (base64), width, height}], done:
// [sentence]}. The sheet's: {page, slips, csv, jsonl, summary}.
#include <utility>

#include "base/markup.h"
#include "classroom/class_page.h"
#include "classroom/class_setup.h"
#include "classroom/class_summary.h"
#include "classroom/picture_lines.h"
#include "web/page_words.h"
#include "web/request_parts.h"

namespace tapersight {
namespace {

Result<ResolvedClass> class_of(const Json& request) {
  const Json said = request.value("class", Json::object());
  const auto sled = sled_words(said.value("sled", Json::object()));
  if (!sled) return sled.failure();
  ClassOptions options;
  options.program_version = TAPERSIGHT_VERSION;
  options.sled = *sled;
  options.group = text_of(said, "group");
  options.bar_x = words_of(said, "bar-x");
  options.bar_y = words_of(said, "bar-y");
  options.limits = page_limits();
  return resolve_class(options, text_of(said, "roster"));
}

Result<std::vector<ClassResult>> results_of(const Json& lines) {
  std::vector<ClassResult> results;
  for (const Json& line : lines) {
    auto result = read_result_line(line.get<std::string>());
    if (!result) return result.failure();
    results.push_back(std::move(*result));
  }
  put_in_order(results);
  return results;
}

std::map<std::string, Jpeg> thumbnails_of(const Json& request, const Blobs& blobs) {
  std::map<std::string, Jpeg> thumbnails;
  for (const Json& each : request.value("thumbnails", Json::array())) {
    const auto blob = each.at("blob").get<std::size_t>();
    if (blob < blobs.size())
      thumbnails[text_of(each, "name")] = {blobs[blob], each.at("width"), each.at("height")};
  }
  return thumbnails;
}

ClassNotes notes_of(const ResolvedClass& resolved, int pictures) {
  ClassNotes notes;
  notes.pictures = notes.pictures_done = pictures;
  for (const auto& [bench, said] : resolved.setup.benches) {
    notes.roster[bench] = said.student;
    if (said.no_distance) notes.no_distance.push_back(bench);
  }
  notes.unused_columns = resolved.unused_columns;
  return notes;
}

}  // namespace

Json class_picture_request(const Json& request, const Blobs& blobs) {
  const auto resolved = class_of(request);
  if (!resolved) return failed(resolved.failure());
  const Json& picture = request.at("picture");
  Json thumbnails = Json::array();
  PictureKeeper keeper;
  keeper.thumbnail = [&](const cv::Mat& grey, const std::string& name) -> Result<std::string> {
    const auto jpeg = small_picture(grey);
    if (!jpeg) return jpeg.failure();
    thumbnails.push_back({{"name", name},
                          {"jpeg", base64(jpeg->bytes)},
                          {"width", jpeg->width_px},
                          {"height", jpeg->height_px}});
    return name;
  };
  const auto outcome =
      lines_of_picture(picture_of(picture, blobs), text_of(picture, "name"), resolved->setup, keeper);
  if (!outcome) return failed(outcome.failure());
  Json sentences = Json::array();
  for (const std::string& line : outcome->lines)
    if (const auto result = read_result_line(line))
      sentences.push_back(for_the_page(result_sentence(*result)));
  return {{"status", "done"}, {"lines", outcome->lines}, {"thumbnails", thumbnails}, {"done", sentences}};
}

Json class_sheet_request(const Json& request, const Blobs& blobs) {
  const auto resolved = class_of(request);
  if (!resolved) return failed(resolved.failure());
  const auto results = results_of(request.at("lines"));
  if (!results) return failed(results.failure());
  const ClassNotes notes = notes_of(*resolved, request.at("pictures"));
  ClassPageOptions options;
  options.title = resolved->setup.group;
  options.program_version = TAPERSIGHT_VERSION;
  options.units = resolved->units;
  options.cut_length_mm = resolved->cut_length_mm;
  options.thumbnails = thumbnails_of(request, blobs);
  return {{"status", "done"},
          {"page", for_the_page_in_markup(class_page(*results, notes, options))},
          {"slips", class_slips(*results, notes, options)},
          {"csv", results_csv(*results, absent_benches(*results, notes.roster))},
          {"jsonl", results_jsonl(*results)},
          {"all_measured", all_measured(*results, notes)}};
}

}  // namespace tapersight
