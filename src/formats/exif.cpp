#include "formats/exif.h"

#include <libexif/exif-data.h>

#include <memory>
#include <string>

namespace tapersight {
namespace {

const ExifEntry* entry_of(const ExifData& data, ExifTag tag, ExifFormat format, ExifIfd ifd = EXIF_IFD_0) {
  const ExifEntry* entry = exif_content_get_entry(data.ifd[ifd], tag);
  const bool good = entry && entry->format == format && entry->components == 1 && entry->data &&
                    entry->size >= exif_format_get_size(format);
  return good ? entry : nullptr;
}

std::optional<int> short_of(ExifData& data, ExifTag tag) {
  const ExifEntry* entry = entry_of(data, tag, EXIF_FORMAT_SHORT);
  if (!entry) return std::nullopt;
  return exif_get_short(entry->data, exif_data_get_byte_order(&data));
}

std::optional<double> ratio_of(ExifData& data, ExifTag tag) {
  const ExifEntry* entry = entry_of(data, tag, EXIF_FORMAT_RATIONAL);
  if (!entry) return std::nullopt;
  const ExifRational r = exif_get_rational(entry->data, exif_data_get_byte_order(&data));
  if (r.numerator == 0 || r.denominator == 0) return std::nullopt;
  return static_cast<double>(r.numerator) / r.denominator;
}

// Counts the entries that name another directory, in all directories as often as they are named. The library
// follows every one of them, and theirs: two hundred keep it busy for minutes.
class Pointers {
 public:
  Pointers(std::string_view tiff) : tiff_(tiff), low_first_(tiff[0] == 'I') { look(number(4, 4)); }
  bool few() const { return count_ <= kMost; }

 private:
  static constexpr int kMost = 8;  // a camera's file has three: its notes, the place, and how to read it

  std::size_t number(std::size_t at, std::size_t bytes) const {
    std::size_t value = 0;
    for (std::size_t i = 0; i < bytes && at + bytes <= tiff_.size(); ++i)
      value = value << 8 | static_cast<unsigned char>(tiff_[at + (low_first_ ? bytes - 1 - i : i)]);
    return value;
  }
  void look(std::size_t directory) {
    const std::size_t entries = number(directory, 2);
    for (std::size_t i = 0; i < entries && few(); ++i) {
      const std::size_t entry = directory + 2 + 12 * i;
      if (entry + 12 > tiff_.size()) return;
      const std::size_t tag = number(entry, 2);
      if (tag != EXIF_TAG_EXIF_IFD_POINTER && tag != EXIF_TAG_GPS_INFO_IFD_POINTER &&
          tag != EXIF_TAG_INTEROPERABILITY_IFD_POINTER)
        continue;
      ++count_;
      look(number(entry + 8, 4));
    }
  }

  std::string_view tiff_;
  bool low_first_;
  int count_ = 0;
};

}  // namespace

ExifNotes read_exif(std::string_view tiff) {
  ExifNotes notes;
  constexpr std::size_t kMost = 1 << 20;
  if (tiff.size() < 8 || tiff.size() > kMost || !Pointers(tiff).few()) return notes;
  const std::string block = std::string("Exif\0\0", 6) + std::string(tiff);
  const std::unique_ptr<ExifData, void (*)(ExifData*)> data(
      exif_data_new_from_data(reinterpret_cast<const unsigned char*>(block.data()),
                              static_cast<unsigned>(block.size())),
      exif_data_unref);
  if (!data) return notes;
  const int orientation = short_of(*data, EXIF_TAG_ORIENTATION).value_or(1);
  if (orientation >= 1 && orientation <= 8) notes.orientation = orientation;
  for (const ExifTag tag : {EXIF_TAG_EXPOSURE_TIME, EXIF_TAG_FNUMBER, EXIF_TAG_FOCAL_LENGTH})
    notes.exposed = notes.exposed || entry_of(*data, tag, EXIF_FORMAT_RATIONAL, EXIF_IFD_EXIF);
  const auto x = ratio_of(*data, EXIF_TAG_X_RESOLUTION);
  const auto y = ratio_of(*data, EXIF_TAG_Y_RESOLUTION);
  const int unit = short_of(*data, EXIF_TAG_RESOLUTION_UNIT).value_or(2);
  if (!x || !y || (*x == 72 && *y == 72) || (unit != 2 && unit != 3)) return notes;
  const double per_inch = unit == 3 ? 2.54 : 1;
  notes.dpi = Dpi{*x * per_inch, *y * per_inch};
  return notes;
}

}  // namespace tapersight
