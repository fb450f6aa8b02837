// Files and lists of caliper readings, and all that is said of them.
#include <cmath>

#include "caliper/plot.h"
#include "fuzz/fuzz_target.h"
#include "report/caliper_report.h"
#include "report/json.h"

using namespace tapersight;
using namespace tapersight::testing;

namespace {

void judge(CaliperFile file, Units units) {
  if (!accepted(place_readings(file, kDefaultReadingsAtMm))) return;
  const Tolerance tolerance{2.0 / 12000, "2thou/12in"};
  auto report = report_caliper(file, tolerance, 4);
  if (!accepted(report)) return;
  report->units = units;
  require(!caliper_text(*report).empty(), "a judgement without words");
  require(caliper_json(*report).find("\"schema\"") != std::string::npos, "a result without its schema");
  if (!report->judgement) return;
  require(std::isfinite(report->judgement->taper.taper), "a caliper's taper is not finite");
  require(!judgement_svg(*report->judgement, units).empty(), "a drawing without content");
}

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string text = text_of(data, size);
  for (const Units units : {Units::kInch, Units::kMillimetre}) {
    if (const auto file = parse_caliper_file(text, units); accepted(file)) judge(*file, units);
    const auto list = parse_reading_list(text, units);
    if (!accepted(list)) continue;
    require(!list->empty(), "a list of nothing");
    for (const double mm : *list) require(std::isfinite(mm), "a reading is not finite");
  }
  accepted(parse_caliper_kind(text));
  return 0;
}
