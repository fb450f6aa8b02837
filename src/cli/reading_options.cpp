#include "cli/reading_options.h"

#include "base/text.h"

namespace tapersight {
namespace {

constexpr const char* kGroup = "Limits, so that a damaged or hostile file cannot take over the machine";

// A whole number of `unit` from 1 to `most`, into `limit`; its default is told in the help.
template <typename Limit>
void add_limit(CLI::App& app, const std::string& name, const std::string& what, Limit& limit, double unit,
               int most) {
  app.add_option_function<int>(
         name, [&limit, unit](const int& number) { limit = static_cast<Limit>(number * unit); },
         what + " (" + fixed(static_cast<double>(limit) / unit, 0) + ")")
      ->type_name("N")
      ->check(CLI::Range(1, most))
      ->group(kGroup);
}

}  // namespace

void add_limit_options(CLI::App& app, ReadLimits& limits) {
  constexpr double kMegabyte = 1 << 20;
  add_limit(app, "--max-megapixels", "Million pixels that a picture may have", limits.most_pixels, 1e6, 2000);
  add_limit(app, "--max-file-mb", "Megabytes that a file may have", limits.most_file_bytes, kMegabyte, 2000);
  add_limit(app, "--max-memory-mb", "Megabytes of memory that reading a picture may take",
            limits.most_memory_bytes, kMegabyte, 64000);
  app.add_option("--max-seconds", limits.most_seconds,
                 "Seconds that reading a picture may take, and as many again for measuring it (60)")
      ->type_name("N")
      ->check(CLI::Range(0.001, 86400.0))
      ->group(kGroup);
}

void add_page_option(CLI::App& app, ReadOptions& reading) {
  app.add_option("--page", reading.page, "The page of a PDF or TIFF that has several")
      ->type_name("N")
      ->check(CLI::Range(1, 100000));
}

}  // namespace tapersight
