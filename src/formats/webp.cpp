#include "formats/webp.h"

#include <webp/decode.h>
#include <webp/demux.h>

#include <vector>

#include "formats/checks.h"
#include "formats/exif.h"
#include "formats/grey_row.h"
#include "formats/turn.h"
#include "formats/zeroed.h"

namespace tapersight {
namespace {

const std::uint8_t* data_of(const std::string& bytes) {
  return reinterpret_cast<const std::uint8_t*>(bytes.data());
}

ExifNotes exif_of(const std::string& bytes) {
  ExifNotes notes;
  const WebPData data{data_of(bytes), bytes.size()};
  WebPDemuxer* const demuxer = WebPDemux(&data);
  if (!demuxer) return notes;
  WebPChunkIterator chunk;
  if (WebPDemuxGetChunk(demuxer, "EXIF", 1, &chunk)) {
    std::string_view block(reinterpret_cast<const char*>(chunk.chunk.bytes), chunk.chunk.size);
    if (block.substr(0, 6) == std::string_view("Exif\0\0", 6)) block.remove_prefix(6);  // some write it
    notes = read_exif(block);
    WebPDemuxReleaseChunkIterator(&chunk);
  }
  WebPDemuxDelete(demuxer);
  return notes;
}

}  // namespace

Result<FilePicture> read_webp(const std::string& bytes, const ReadOptions& options) {
  if (auto failure = check_only_page(options)) return *failure;
  WebPBitstreamFeatures features;
  if (WebPGetFeatures(data_of(bytes), bytes.size(), &features) != VP8_STATUS_OK) return damaged_picture();
  if (webp_data_are_zeroed(bytes)) return damaged_picture();
  if (features.has_animation) return unsupported_picture("is an animated picture");
  const ExifNotes exif = exif_of(bytes);
  const double pixels = double{1} * features.width * features.height;
  const int samples = features.has_alpha ? 4 : 3;
  // The decoder's own copy takes up to four bytes a pixel.
  const double memory = static_cast<double>(bytes.size()) + pixels * (samples + 4 + 2);
  if (auto failure = check_size(features.width, features.height, memory, options.limits)) return *failure;
  const auto step = static_cast<std::size_t>(features.width) * static_cast<std::size_t>(samples);
  std::vector<std::uint8_t> codes(step * static_cast<std::size_t>(features.height));
  const auto decode = features.has_alpha ? WebPDecodeRGBAInto : WebPDecodeRGBInto;
  if (!decode(data_of(bytes), bytes.size(), codes.data(), codes.size(), static_cast<int>(step)))
    return damaged_picture();
  FilePicture picture;
  picture.grey = grey_picture(features.height, features.width, options);
  for (int y = 0; y < features.height; ++y)
    grey_row(codes.data() + static_cast<std::size_t>(y) * step, features.width, samples, picture.grey.ptr(y));
  picture.dpi = exif.dpi;
  picture.by_camera = exif.exposed;
  return turned_upright(std::move(picture), exif.orientation);
}

}  // namespace tapersight
