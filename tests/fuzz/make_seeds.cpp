// Writes the seeds that are not texts: make_fuzz_seeds FOLDER, one folder a target in it.
#include <filesystem>
#include <iostream>

#include "base/files.h"
#include "base/rng.h"
#include "batch/batch_log.h"
#include "classroom/class_result.h"
#include "record/entry.h"
#include "report/json.h"
#include "report/sample_report.h"
#include "support/made_files.h"

using namespace tapersight;
using namespace tapersight::testing;

namespace {

class Seeds {
 public:
  Seeds(const std::filesystem::path& folder, const std::string& target) : folder_(folder / target) {
    std::filesystem::remove_all(folder_);
    std::filesystem::create_directories(folder_);
  }
  void add(const std::string& name, const std::string& bytes) const {
    write_file_whole((folder_ / name).string(), bytes).value();
  }

 private:
  std::filesystem::path folder_;
};

std::string random_bytes(Rng& rng, int n) {
  std::string bytes;
  for (int i = 0; i < n; ++i) bytes += static_cast<char>(rng.integer(0, 255));
  return bytes;
}

void make_pictures(const Seeds& seeds) {
  cv::Mat grey(17, 24, CV_8UC1);
  for (int y = 0; y < grey.rows; ++y)
    for (int x = 0; x < grey.cols; ++x) grey.at<uchar>(y, x) = static_cast<uchar>(235 - 4 * x - 5 * y);
  const std::string any_page = "\xff";
  for (const MadeKind& kind : made_kinds()) seeds.add(kind.name, any_page + kind.make(grey, {300, 6}));
  seeds.add("tiff-three-pages", "\x02" + made_tiff(grey, {300, 1}, "tiff-8", 3));
  const std::string head = "/ColorSpace/DeviceGray/BitsPerComponent 8",
                    data(reinterpret_cast<char*>(grey.data), 408);
  const PdfPage page{head, data, 24, 17, 24, 17, 90, ""};
  seeds.add("pdf-two-pages", "\x01" + made_pdf({page, page}));
  seeds.add("exif", any_page + exif_block({300, 6}));
}

std::vector<RecordEntry> entries() {
  const MeasurementEntry first{"2031-05-07T09:30:00Z", "strip-1.jpg", 4, 1.5e-4, 1.25e-5, 37.5};
  MoveEntry move;
  move.when = "2031-05-07T09:40:00Z";
  move.by = "feelers";
  move.move_mm = 0.15;
  move.u_mm = 0.0254;
  move.pivot_distance_mm = 1000;
  move.toward = Toward::kOperator;
  const MeasurementEntry last{"2031-05-07T10:00:00Z", "strip-2.jpg", 4, 1e-5, 1.2e-5, kInfiniteDof};
  return {first, move, last};
}

void make_records(const Seeds& seeds) {
  std::string all;
  for (const RecordEntry& entry : entries()) all += to_line(entry) + "\n";
  seeds.add("three", all);
  seeds.add("torn", all.substr(0, all.size() - 40));
  seeds.add("zeros", all + std::string(64, '\0'));
}

std::string line_of(const MeasurementReport* report, int strip) {
  ResultLine line;
  line.group = "3b";
  line.picture = "a.jpg";
  line.strip = strip;
  line.bench = 7;
  line.named_by = NamedBy::kTag;
  line.overlay = "overlays/a.png";
  line.report = report;
  if (report == nullptr) line.reason = Failure{"no-strip", "No strip.", "Lay one there."};
  return result_json(line);
}

void make_results(const Seeds& seeds) {
  MeasurementReport report = sample_report();
  seeds.add("measured", measurement_json(report));
  report.wishes.tolerance = Tolerance{2.0 / 12000, "2thou/12in"};
  conclude(report);
  const std::string measured = line_of(&report, 1), refused = line_of(nullptr, 2);
  seeds.add("lines", measured + "\n" + refused + "\n");
  seeds.add("log", to_line(LogEntry{"a.jpg", {"0123", "4567", {{7, "89ab"}}}, {refused}}) + "\n");
  report.measurement = Failure{"no-target", "No sheet.", "Lay one there."};
  seeds.add("refused", measurement_json(report));
  WidthsReport widths;
  widths.widths = {20.1, 19.9, 200};
  widths.setup.pivot_distance_mm = 1000;
  seeds.add("correction", correction_json(conclude(widths).value()));
}

// `plain` begins what a target takes; behind it each kind of change by itself, and several.
void make_changes(const Seeds& seeds, const std::vector<int>& plain, int several) {
  Rng rng(3);
  for (const int first : plain) {
    const std::string begin(1, static_cast<char>(first));
    seeds.add("plain-" + std::to_string(first), begin);
    for (int i = 0; i < several; ++i)
      seeds.add("several-" + std::to_string(first) + "-" + std::to_string(i), begin + random_bytes(rng, 24));
  }
  for (int change = 0; change < 10; ++change)
    seeds.add("change-" + std::to_string(change), std::string(1, static_cast<char>(plain.front())) +
                                                      static_cast<char>(change) + random_bytes(rng, 11));
}

// Files put together from choices: none, and some.
void make_choices(const Seeds& seeds) {
  Rng rng(5);
  seeds.add("plain", "");
  for (int i = 0; i < 12; ++i) seeds.add("some-" + std::to_string(i), random_bytes(rng, 40 + 20 * i));
  for (int i = 0; i < 12; ++i) {  // mostly as it should be
    std::string few(200, '\0');
    for (int k = 0; k < 8; ++k)
      few[static_cast<std::size_t>(rng.integer(0, 199))] = static_cast<char>(rng.integer(0, 255));
    seeds.add("few-" + std::to_string(i), few);
  }
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    std::cerr << "make_fuzz_seeds FOLDER\n";
    return 2;
  }
  const std::filesystem::path folder = argv[1];
  make_pictures({folder, "picture"});
  make_records({folder, "record"});
  make_results({folder, "results"});
  make_choices({folder, "heic_boxes"});
  make_choices({folder, "pdf_objects"});
  make_changes({folder, "sheet"}, {0, 1, 3}, 2);
  make_changes({folder, "measure"}, {0, 8, 32, 7, 39, 135}, 1);
}
