#include "base/text.h"
#include "caliper/describe.h"
#include "caliper/words.h"

namespace tapersight {
namespace {

std::string readings_text(int readings) {
  return std::to_string(readings) + " readings an end";
}

}  // namespace

CaliperWords describe_plan(const Plan& plan, std::string_view tolerance, double strip_length_mm,
                           Units units) {
  CaliperWords words;
  words.sentences.push_back("To decide " + std::string(tolerance) + " with this caliper take " +
                            readings_text(plan.advised.readings) + " on a strip of at least " +
                            words::strip_length(plan.advised.strip_length_mm, units) + ".");
  if (strip_length_mm > 0) {
    const std::string strip = plain_length_text(strip_length_mm, units);
    words.sentences.push_back(plan.for_strip
                                  ? "On the strip at hand (" + strip + ") " +
                                        readings_text(plan.for_strip->readings) + " will do."
                                  : "The strip at hand (" + strip + ") is too short for that, even with " +
                                        readings_text(plan.rows.back().readings) + ".");
  }
  if (plan.limit_share > 0.8)
    words.sentences.push_back(
        "More readings hardly help, because the caliper's limit of error is what counts. A longer strip, a "
        "better caliper or the picture does.");
  std::string counts = words::column("readings an end", 20);
  std::string lengths = words::column("shortest strip", 20);
  for (const PlanRow& row : plan.rows) {
    counts += words::column(std::to_string(row.readings), 10);
    lengths += words::column(words::strip_length(row.strip_length_mm, units), 10);
  }
  words.table = {std::string(trimmed(counts)), std::string(trimmed(lengths))};
  return words;
}

}  // namespace tapersight
