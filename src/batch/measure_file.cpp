#include "batch/measure_file.h"

#include "base/files.h"
#include "batch/thumbnails.h"
#include "imaging/trouble.h"
#include "overlay/overlay.h"
#include "room/load_picture.h"

namespace tapersight {
namespace {

// The folder in which a picture lies is this machine's affair.
Failure without_path(Failure failure, const PictureFile& file) {
  const auto at = failure.text.find(file.path);
  if (at != std::string::npos) failure.text.replace(at, file.path.size(), file.name);
  return failure;
}

Result<std::string> write_overlay(const cv::Mat& grey, const MeasurementReport& report,
                                  const std::string& name, const std::string& out_folder) {
  const auto drawn = draw_overlay(grey, report);
  if (!drawn) return drawn.failure();
  const auto written = write_file_whole(out_folder + "/" + name, *drawn);
  return written ? Result<std::string>(name) : written.failure();
}

PictureKeeper keeper_in(const std::string& out_folder) {
  PictureKeeper keeper;
  keeper.overlay = [&out_folder](const cv::Mat& grey, const MeasurementReport& report, int bench,
                                 const std::string& picture) {
    const std::string file = safe_file_name("bench-" + std::to_string(bench) + "." + picture + ".png");
    return write_overlay(grey, report, std::string(kOverlayFolder) + "/" + file, out_folder);
  };
  keeper.thumbnail = [&out_folder](const cv::Mat& grey, const std::string& picture) {
    return write_thumbnail(grey, picture, out_folder);
  };
  return keeper;
}

}  // namespace

Result<PictureOutcome> measure_file(const PictureFile& file, const ClassSetup& setup, DecodingRoom* room,
                                    const std::string& out_folder) {
  const PictureKeeper keeper = keeper_in(out_folder);
  try {
    const auto picture = load_picture(file.path, setup.reading, room);
    if (!picture) return lines_of_picture(without_path(picture.failure(), file), file.name, setup, keeper);
    return lines_of_picture(*picture, file.name, setup, keeper);
  } catch (const std::exception& error) {
    return lines_of_picture(failure_of_exception(error), file.name, setup, keeper);
  }
}

}  // namespace tapersight
