#include "tools/write_testimage.h"

#include <iostream>

#include "base/files.h"

namespace tapersight {
namespace {

bool wrote(const std::filesystem::path& path, const std::string& bytes) {
  const auto trouble = write_file_whole(path.string(), bytes);
  if (!trouble) std::cerr << trouble.failure().text << ' ' << trouble.failure().remedy << '\n';
  return trouble.ok();
}

}  // namespace

bool write_testimage(const std::filesystem::path& folder, const std::string& name, const std::string& bytes,
                     const std::string& expect, const std::string& about, nlohmann::json truth) {
  std::error_code error;
  std::filesystem::create_directories(folder, error);
  truth["file"] = name + ".jpg";
  truth["expect"] = expect;
  if (!wrote(folder / (name + ".jpg"), bytes)) return false;
  if (!wrote(folder / (name + ".truth.json"), truth.dump(2) + "\n")) return false;
  std::cout << folder.filename().string() << '/' << name << ".jpg  " << bytes.size() / 1024 << " KiB  "
            << about << '\n';
  return true;
}

}  // namespace tapersight
