#include "formats/read_picture.h"

#include <new>

#include "formats/known_formats.h"

namespace tapersight {
namespace {

// What no scanner or camera has says nothing: headers hold zeros, infinities and leftovers.
Result<FilePicture> with_possible_dpi(Result<FilePicture> picture) {
  const auto possible = [](double dpi) { return dpi >= 1 && dpi <= 100e3; };
  if (picture && picture->dpi && !(possible(picture->dpi->u) && possible(picture->dpi->v)))
    picture->dpi.reset();
  return picture;
}

}  // namespace

Result<FilePicture> read_picture(const std::string& bytes, const ReadOptions& options) {
  try {
    for (const KnownFormat& format : known_formats())
      if (format.recognised(bytes)) return with_possible_dpi(format.read(bytes, options));
  } catch (const std::bad_alloc&) {
    return Failure{"picture-too-large",
                   "would take more memory to read than there is, or than the limit of " +
                       std::to_string(options.limits.most_memory_bytes >> 20) + " MB allows.",
                   "Scan at 600 dpi or less, or raise --max-memory-mb."};
  }
  if (bytes.empty())
    return Failure{"not-a-picture", "is empty.",
                   "Scan again, and wait until the scanner has finished with the file."};
  return Failure{"not-a-picture", "is not a picture that can be read.",
                 "Save the scan as JPEG, PNG, TIFF or PDF and try again."};
}

}  // namespace tapersight
