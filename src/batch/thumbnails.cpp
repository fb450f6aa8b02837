#include "batch/thumbnails.h"

#include <algorithm>

#include "base/files.h"
#include "batch/measure_file.h"
#include "batch/pictures.h"
#include "formats/jpeg.h"

namespace tapersight {
namespace {

constexpr std::size_t kMostBytes = 200000;

// Its width and height; nothing when it is none of ours.
cv::Size size_of(const std::string& bytes) {
  ReadOptions small;
  small.limits.most_pixels = double{1} * kThumbnailPx * kThumbnailPx;
  const auto picture = read_jpeg(bytes, small);
  if (!picture) return {};
  const cv::Size size = picture->grey.size();
  return std::max(size.width, size.height) <= kThumbnailPx ? size : cv::Size();
}

}  // namespace

Result<std::string> write_thumbnail(const cv::Mat& grey, const std::string& picture_name,
                                    const std::string& out_folder) {
  const Result<Jpeg> small = small_picture(grey);
  if (!small) return small.failure();
  const std::string name =
      std::string(kOverlayFolder) + "/" + safe_file_name("refused." + picture_name + ".jpg");
  const auto written = write_file_whole(out_folder + "/" + name, small->bytes);
  if (!written) return written.failure();
  return name;
}

std::map<std::string, Jpeg> read_thumbnails(const std::string& folder,
                                            const std::vector<ClassResult>& results) {
  std::map<std::string, Jpeg> found;
  for (const ClassResult& r : results) {
    if (r.thumbnail.empty() || found.count(r.thumbnail) > 0) continue;
    const auto bytes = read_file(folder + "/" + r.thumbnail, kMostBytes);
    if (!bytes) continue;
    const cv::Size size = size_of(*bytes);
    if (!size.empty()) found[r.thumbnail] = {*bytes, size.width, size.height};
  }
  return found;
}

}  // namespace tapersight
