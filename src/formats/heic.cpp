#include "formats/heic.h"

#include <libheif/heif.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <vector>

#include "formats/checks.h"
#include "formats/exif.h"
#include "formats/grey_row.h"
#include "formats/heic_structure.h"
#include "formats/zeroed.h"

namespace tapersight {
namespace {

using Context = std::unique_ptr<heif_context, void (*)(heif_context*)>;
using Handle = std::unique_ptr<heif_image_handle, void (*)(const heif_image_handle*)>;
using Image = std::unique_ptr<heif_image, void (*)(const heif_image*)>;

bool good(const heif_error& error) {
  return error.code == heif_error_Ok;
}

Failure failure_of(const heif_error& error) {
  return error.code == heif_error_Unsupported_feature || error.code == heif_error_Unsupported_filetype
             ? unsupported_picture("is a rare kind of HEIC")
             : damaged_picture();
}

// The block begins with the distance from its first four bytes to the byte order mark (ISO/IEC 23008-12,
// A.2.1). Orientation is left to the file's own boxes, which libheif has followed already.
ExifNotes exif_of(const heif_image_handle* handle) {
  heif_item_id id = 0;
  if (heif_image_handle_get_list_of_metadata_block_IDs(handle, "Exif", &id, 1) != 1) return {};
  std::string block(heif_image_handle_get_metadata_size(handle, id), '\0');
  if (block.size() < 12 || !good(heif_image_handle_get_metadata(handle, id, block.data()))) return {};
  std::size_t start = 0;
  for (std::size_t i = 0; i < 4; ++i) start = start << 8 | static_cast<unsigned char>(block[i]);
  if (start > block.size() - 4) return {};
  return read_exif(std::string_view(block).substr(start + 4));
}

Result<FilePicture> grey_of(const heif_image* image, int samples, const ReadOptions& options) {
  int step = 0;
  const std::uint8_t* row = heif_image_get_plane_readonly(image, heif_channel_interleaved, &step);
  const int width = heif_image_get_width(image, heif_channel_interleaved);
  const int height = heif_image_get_height(image, heif_channel_interleaved);
  if (!row || width < 1 || height < 1) return damaged_picture();
  FilePicture picture;
  picture.grey = grey_picture(height, width, options);
  for (int y = 0; y < height; ++y, row += step) grey_row(row, width, samples, picture.grey.ptr(y));
  return picture;
}

Result<FilePicture> decode(const heif_image_handle* handle, bool alpha, const ReadOptions& options) {
  heif_image* raw = nullptr;
  const std::unique_ptr<heif_decoding_options, void (*)(heif_decoding_options*)> how(
      heif_decoding_options_alloc(), heif_decoding_options_free);
  how->strict_decoding = 1;  // what is damaged is not to be guessed
  const heif_error error =
      heif_decode_image(handle, &raw, heif_colorspace_RGB,
                        alpha ? heif_chroma_interleaved_RGBA : heif_chroma_interleaved_RGB, how.get());
  const Image image(raw, heif_image_release);
  if (!good(error) || !image) return failure_of(error);
  if (heif_image_get_decoding_warnings(raw, 0, nullptr, 0) > 0) return damaged_picture();
  return grey_of(image.get(), alpha ? 4 : 3, options);
}

}  // namespace

Result<FilePicture> read_heic(const std::string& bytes, const ReadOptions& options) {
  if (auto failure = check_only_page(options)) return *failure;
  if (!heic_structure_is_sound(bytes) || heic_data_are_zeroed(bytes)) return damaged_picture();
  const Context context(heif_context_alloc(), heif_context_free);
  // Whatever lies within, also a grid's tiles, which the main picture's size does not show.
  const double side = std::min(65535.0, std::sqrt(options.limits.most_pixels) * 4);
  heif_context_set_maximum_image_size_limit(context.get(), static_cast<int>(side));
  heif_context_set_max_decoding_threads(context.get(), 1);
  heif_error error =
      heif_context_read_from_memory_without_copy(context.get(), bytes.data(), bytes.size(), nullptr);
  if (!good(error)) return failure_of(error);
  heif_image_handle* raw = nullptr;
  error = heif_context_get_primary_image_handle(context.get(), &raw);
  const Handle handle(raw, heif_image_handle_release);
  if (!good(error) || !handle) return failure_of(error);
  const double width = heif_image_handle_get_width(handle.get());
  const double height = heif_image_handle_get_height(handle.get());
  // Brightness and colour as they are coded, turned, and as red, green, blue.
  const double memory = static_cast<double>(bytes.size()) + width * height * 9;
  if (auto failure = check_size(width, height, memory, options.limits)) return *failure;
  auto picture = decode(handle.get(), heif_image_handle_has_alpha_channel(handle.get()) != 0, options);
  if (!picture) return picture;
  const ExifNotes exif = exif_of(handle.get());
  picture->dpi = exif.dpi;
  picture->by_camera = exif.exposed;
  return picture;
}

}  // namespace tapersight
