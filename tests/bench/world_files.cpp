// Worlds that are files: a picture and its truth beside it.
#include <algorithm>
#include <cmath>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "base/files.h"
#include "bench/world_picture.h"
#include "room/load_picture.h"

namespace tapersight::testing {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

const SheetLayout* layout_called(const json& sheet) {
  // The traced world says more than the paper's name: {"paper": "a4", ...} or "a4 dark channel".
  const std::string text = sheet.is_object() ? sheet.value("paper", std::string()) : sheet.get<std::string>();
  for (const SheetLayout* layout : all_sheet_layouts())
    if (layout->kind == Channel::kOneStrip && text.compare(0, layout->id.size(), layout->id) == 0)
      return layout;
  return nullptr;
}

std::string refusal_of(const json& truth) {
  const auto found = truth.find("refusal");
  if (found == truth.end()) return "";
  if (found->is_string()) return found->get<std::string>();
  std::string all;
  for (const json& code : *found) all += (all.empty() ? "" : " or ") + code.get<std::string>();
  return all;
}

bool is_rough(const json& edge) {
  return edge.at("roughness_um").get<double>() > 5 || edge.at("bow_um").get<double>() != 0 ||
         edge.at("chips").get<int>() > 0;
}

// The generator's own truth files hold a list of strips.
void take_strips(const json& truth, WorldTrial& trial) {
  const json& strips = truth.at("strips");
  if (!trial.good || strips.empty()) return;
  trial.taper = strips.at(0).at("taper").get<double>();
  trial.taper_as_drawn = strips.at(0).at("taper_as_drawn").get<double>();
  trial.rough = is_rough(strips.at(0).at("left_edge")) || is_rough(strips.at(0).at("right_edge"));
}

void take_truth(const json& truth, WorldPicture& picture) {
  WorldTrial& trial = picture.truth;
  const auto expect = truth.at("expect").get<std::string>();
  if (expect != "measured" && expect != "refused") throw std::runtime_error("expect");
  trial.good = expect == "measured";
  if (!trial.good) trial.refusal = refusal_of(truth);
  if (truth.contains("strips")) {
    take_strips(truth, trial);
  } else if (trial.good) {
    trial.taper = truth.at("taper").get<double>();
    trial.taper_as_drawn = truth.at("taper_as_drawn").get<double>();
    trial.rough = truth.at("edges").get<std::string>() == "rough";
    trial.contrast = truth.at("contrast").get<double>();
  }
  picture.print_scale_x = truth.value("print_scale_x", 1.0);
  picture.print_scale_y = truth.value("print_scale_y", 1.0);
  if (truth.contains("sheet") && !truth["sheet"].is_null()) picture.layout = layout_called(truth["sheet"]);
}

}  // namespace

Result<WorldPicture> load_world_picture(const std::string& truth_path) {
  const auto text = read_file(truth_path);
  if (!text) return text.failure();
  WorldPicture picture;
  std::string file;
  try {
    const json truth = json::parse(*text);
    file = (fs::path(truth_path).parent_path() / truth.at("file").get<std::string>()).string();
    take_truth(truth, picture);
  } catch (const std::exception& defect) {
    return Failure{"truth-not-readable", "\"" + truth_path + "\": " + defect.what() + ".",
                   "Compare it with the truth file of another picture."};
  }
  const auto loaded = load_picture(file);
  if (!loaded) return loaded.failure();
  picture.grey = loaded->grey;
  picture.dpi_u = loaded->dpi_u;
  picture.dpi_v = loaded->dpi_v;
  picture.by_camera = loaded->by_camera;
  picture.truth.name = fs::path(file).filename().string();
  return picture;
}

std::string world_of(const std::string& truth_path) {
  const auto text = read_file(truth_path);
  if (!text) return "";
  const json truth = json::parse(*text, nullptr, false);
  return truth.is_object() ? truth.value("world", std::string()) : "";
}

std::vector<std::string> truth_files(const std::string& folder) {
  std::vector<std::string> found;
  if (!fs::is_directory(folder)) return found;
  const std::string ending = ".truth.json";
  for (const auto& entry : fs::recursive_directory_iterator(folder)) {
    const std::string path = entry.path().string();
    if (path.size() > ending.size() && path.compare(path.size() - ending.size(), ending.size(), ending) == 0)
      found.push_back(path);
  }
  std::sort(found.begin(), found.end());
  return found;
}

}  // namespace tapersight::testing
