#include "formats/checks.h"

#include "base/text.h"

namespace tapersight {
namespace {

constexpr double kMega = 1 << 20;

}  // namespace

Failure damaged_picture() {
  return {"picture-damaged", "is cut off or damaged.",
          "Copy or save the picture again, and wait until the scanner has finished with it."};
}

Failure named(Failure failure, const std::string& path) {
  failure.text = "\"" + path + "\" " + failure.text;
  return failure;
}

Failure unsupported_picture(const std::string& what) {
  return {"picture-not-supported", what + ".", "Save the picture as a plain JPEG, PNG or TIFF."};
}

std::optional<Failure> check_size(double width, double height, double memory_bytes,
                                  const ReadLimits& limits) {
  if (width < 1 || height < 1) return damaged_picture();
  if (width * height > limits.most_pixels)
    return Failure{"picture-too-large",
                   "has " + fixed(width * height / 1e6, 0) + " million pixels, more than the limit of " +
                       fixed(limits.most_pixels / 1e6, 0) + " million.",
                   "Scan at 600 dpi or less, or raise --max-megapixels."};
  if (memory_bytes > static_cast<double>(limits.most_memory_bytes))
    return Failure{"picture-too-large",
                   "would take " + fixed(memory_bytes / kMega, 0) +
                       " MB of memory to read, more than the limit of " +
                       fixed(static_cast<double>(limits.most_memory_bytes) / kMega, 0) + " MB.",
                   "Scan at 600 dpi or less, or raise --max-memory-mb."};
  return std::nullopt;
}

cv::Mat grey_picture(int rows, int columns, const ReadOptions& options) {
  return options.place ? options.place(rows, columns) : cv::Mat(rows, columns, CV_8UC1);
}

Result<int> page_to_read(std::optional<int> wanted, int pages) {
  if (pages < 1) return damaged_picture();
  if (!wanted && pages > 1)
    return Failure{"several-pages", "has " + std::to_string(pages) + " pages.",
                   "Say which one to measure with --page, from 1 to " + std::to_string(pages) + "."};
  if (wanted && (*wanted < 1 || *wanted > pages))
    return Failure{"no-such-page", "has no page " + std::to_string(*wanted) + ".",
                   pages == 1 ? "It has one page: leave --page out."
                              : "Give --page a number from 1 to " + std::to_string(pages) + "."};
  return wanted ? *wanted - 1 : 0;
}

std::optional<Failure> check_only_page(const ReadOptions& options) {
  const auto page = page_to_read(options.page, 1);
  return page ? std::nullopt : std::optional<Failure>(page.failure());
}

}  // namespace tapersight
