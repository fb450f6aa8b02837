// What the requests share. Only for this folder.
#pragma once
#include <nlohmann/json.hpp>
#include <optional>
#include <string>

#include "base/result.h"
#include "imaging/picture.h"
#include "options/sled_options.h"
#include "web/request.h"

namespace tapersight {

using Json = nlohmann::ordered_json;

// A picture of 50 million pixels on a phone of 2 GB: what the limits leave to a browser's page.
ReadLimits page_limits();

// The text behind a name, nothing where there is none or an empty one.
std::optional<std::string> words_of(const Json& request, const char* name);
std::string text_of(const Json& request, const char* name);  // empty where there is none

// Failure "bad-request": a name that no sled has.
Result<SledOptions> sled_words(const Json& words);
Json json_of(const SledOptions& sled);

// Failures: those of read_picture and read_rgba with the picture's name, "bad-request".
Result<Picture> picture_of(const Json& picture, const Blobs& blobs);

Json failed(const Failure& failure);
Failure bad_request(const std::string& what);

// One request each: measure_request.cpp, class_request.cpp, sled_request.cpp,
// frame_request.cpp.
Json measure_request(const Json& request, const Blobs& blobs);
Json class_picture_request(const Json& request, const Blobs& blobs);
Json class_sheet_request(const Json& request, const Blobs& blobs);
Json sled_request(const Json& request);
Json record_request(const Json& request);
Json moved_request(const Json& request);
Json frame_request(const Json& request, const Blobs& blobs);

}  // namespace tapersight
