// A test picture and its truth, as they stand side by side in a folder.
#pragma once
#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>

namespace tapersight {

// NAME.jpg with `bytes`, NAME.truth.json with `truth`, the picture's file name and what is expected of it;
// one line on the terminal says so, with `about`. False, and said, when a file cannot be written.
bool write_testimage(const std::filesystem::path& folder, const std::string& name, const std::string& bytes,
                     const std::string& expect, const std::string& about, nlohmann::json truth);

}  // namespace tapersight
