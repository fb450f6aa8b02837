#include "formats/pnm.h"

#include <vector>

#include "formats/checks.h"
#include "formats/grey_row.h"

namespace tapersight {
namespace {

// A number of the header, behind blanks and comments; -1 when there is none.
int header_number(const std::string& bytes, std::size_t& at) {
  while (at < bytes.size()) {
    if (bytes[at] == '#')
      at = std::min(bytes.find('\n', at), bytes.size());
    else if (bytes[at] == ' ' || bytes[at] == '\t' || bytes[at] == '\r' || bytes[at] == '\n')
      ++at;
    else
      break;
  }
  int number = -1;
  for (; at < bytes.size() && bytes[at] >= '0' && bytes[at] <= '9' && number < 10000000; ++at)
    number = std::max(number, 0) * 10 + (bytes[at] - '0');
  return number;
}

}  // namespace

bool is_pnm(const std::string& bytes) {
  return bytes.size() > 2 && bytes[0] == 'P' && (bytes[1] == '5' || bytes[1] == '6') &&
         (bytes[2] == '\n' || bytes[2] == ' ' || bytes[2] == '\r' || bytes[2] == '\t');
}

Result<FilePicture> read_pnm(const std::string& bytes, const ReadOptions& options) {
  if (auto failure = check_only_page(options)) return *failure;
  std::size_t at = 2;
  const int width = header_number(bytes, at);
  const int height = header_number(bytes, at);
  const int most = header_number(bytes, at);
  ++at;  // the one blank behind the header
  const double pixels = double{1} * width * height;
  if (width < 1 || height < 1 || most < 1 || most > 65535) return damaged_picture();
  if (auto failure = check_size(width, height, static_cast<double>(bytes.size()) + pixels, options.limits))
    return *failure;
  const std::size_t samples = bytes[1] == '6' ? 3 : 1;
  const std::size_t sample_bytes = most > 255 ? 2 : 1;
  const std::size_t row_samples = samples * static_cast<std::size_t>(width);
  if (at > bytes.size() || bytes.size() - at < row_samples * sample_bytes * static_cast<std::size_t>(height))
    return damaged_picture();
  FilePicture picture;
  picture.grey = grey_picture(height, width, options);
  std::vector<std::uint8_t> row(row_samples);
  const auto* from = reinterpret_cast<const unsigned char*>(bytes.data()) + at;
  const auto top = static_cast<unsigned>(most);
  for (int y = 0; y < height; ++y) {
    for (std::uint8_t& code : row) {
      const unsigned value = sample_bytes == 2 ? 256U * from[0] + from[1] : from[0];
      from += sample_bytes;
      code = static_cast<std::uint8_t>((std::min(value, top) * 255U + top / 2) / top);
    }
    grey_row(row.data(), width, static_cast<int>(samples), picture.grey.ptr(y));
  }
  return picture;
}

}  // namespace tapersight
