#include "web/request.h"

#include <exception>
#include <utility>

#include "formats/checks.h"
#include "formats/read_picture.h"
#include "formats/rgba.h"
#include "imaging/trouble.h"
#include "page/style.h"
#include "web/page_words.h"
#include "web/request_parts.h"

namespace tapersight {

ReadLimits page_limits() {
  ReadLimits limits;
  limits.most_pixels = 60e6;
  limits.most_file_bytes = 128U << 20;
  limits.most_memory_bytes = 512U << 20;
  return limits;
}

std::optional<std::string> words_of(const Json& request, const char* name) {
  const std::string text = text_of(request, name);
  return text.empty() ? std::nullopt : std::optional(text);
}

std::string text_of(const Json& request, const char* name) {
  const auto found = request.find(name);
  return found != request.end() && found->is_string() ? found->get<std::string>() : std::string();
}

Failure bad_request(const std::string& what) {
  return {"bad-request", "The page asked for something that is not known: " + what + ".",
          "Open the page anew while you have a network, so that all of it is of one version."};
}

Result<SledOptions> sled_words(const Json& words) {
  SledOptions sled;
  for (const auto& [name, value] : words.items()) {
    const NamedSledOption* option = sled_option_named(name);
    if (option == nullptr || !value.is_string()) return bad_request(name);
    if (const auto text = value.get<std::string>(); !text.empty()) sled.*(option->value) = text;
  }
  return sled;
}

Json json_of(const SledOptions& sled) {
  Json words = Json::object();
  for (const std::string& name : sled_option_names())
    if (const auto& value = sled.*(sled_option_named(name)->value)) words[name] = *value;
  return words;
}

Result<Picture> picture_of(const Json& picture, const Blobs& blobs) {
  const std::size_t blob = picture.at("blob").get<std::size_t>();
  const std::string name = text_of(picture, "name");
  if (blob >= blobs.size()) return bad_request("blob");
  ReadOptions reading;
  reading.limits = page_limits();
  const int width = picture.value("width", 0), height = picture.value("height", 0);
  if (width > 0 && blobs[blob].size() != std::size_t{4} * width * height) return bad_request("width");
  auto read =
      width > 0 ? read_rgba(reinterpret_cast<const std::uint8_t*>(blobs[blob].data()), width, height, reading)
                : read_picture(blobs[blob], reading);
  if (!read) return named(read.failure(), name);
  return picture_of(std::move(*read), name);
}

Json failed(const Failure& failure) {
  return {{"status", "failed"},
          {"code", failure.code},
          {"text", for_the_page(failure.text)},
          {"remedy", for_the_page(failure.remedy)}};
}

namespace {

Json answer_of(const Json& request, const Blobs& blobs) {
  const std::string what = text_of(request, "do");
  if (what == "measure") return measure_request(request, blobs);
  if (what == "class-picture") return class_picture_request(request, blobs);
  if (what == "class-sheet") return class_sheet_request(request, blobs);
  if (what == "sled") return sled_request(request);
  if (what == "record") return record_request(request);
  if (what == "moved") return moved_request(request);
  if (what == "frame") return frame_request(request, blobs);
  if (what == "style") return {{"status", "done"}, {"style", page_style()}};
  return failed(bad_request(what));
}

Json caught(std::string_view request, const Blobs& blobs) {
  try {
    return answer_of(Json::parse(request), blobs);
  } catch (const Json::exception& error) {
    return failed(bad_request(error.what()));
  } catch (const std::exception& error) {
    return failed(failure_of_exception(error));
  }
}

}  // namespace

std::string answer_request(std::string_view request, const Blobs& blobs) {
  return caught(request, blobs).dump(-1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace tapersight
