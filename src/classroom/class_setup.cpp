#include "classroom/class_setup.h"

#include "base/content_hash.h"
#include "base/files.h"
#include "base/text.h"
#include "classroom/roster.h"
#include "options/bar_options.h"
#include "options/caliper_options.h"
#include "options/shop_options.h"

namespace tapersight {
namespace {

std::vector<std::string> known_columns() {
  std::vector<std::string> names = sled_option_names();
  for (std::string& name : caliper_option_names()) names.push_back(std::move(name));
  return names;
}

Failure in_line(int line, const Failure& failure) {
  return {failure.code, "The roster's line " + std::to_string(line) + ": " + failure.text, failure.remedy};
}

std::string limits_text(const ReadLimits& limits) {
  return "\n" + fixed(limits.most_pixels, 0) + "\n" + std::to_string(limits.most_file_bytes) + "\n" +
         std::to_string(limits.most_memory_bytes) + "\n" + fixed(limits.most_seconds, 3);
}

// What decides a bench's results, as text.
std::string digest_text(const SledOptions& sled, const CaliperOptions& caliper) {
  std::string text = sled.config.empty()           ? std::string()
                     : read_file(sled.config).ok() ? *read_file(sled.config)
                                                   : "";
  for (const std::string& name : sled_option_names())
    text += "\n" + name + "=" + (sled.*(sled_option_named(name)->value)).value_or("");
  CaliperOptions copy = caliper;
  for (const std::string& name : caliper_option_names())
    text += "\n" + name + "=" + caliper_option_named(copy, name)->value_or("");
  return text;
}

// A blank field: the fence's error can be told all the same.
bool lacks_the_distance(const Failure& failure) {
  return failure.code == "pivot-without-distance" || failure.code == "adjust-without-distance";
}

SledOptions without_a_move(SledOptions sled) {
  for (auto option : {&SledOptions::pivot, &SledOptions::adjust, &SledOptions::feelers, &SledOptions::spacers,
                      &SledOptions::thread, &SledOptions::shims, &SledOptions::indicator})
    (sled.*option).reset();
  return sled;
}

Result<BenchSetup> bench_setup(const RosterRow& row, const SledOptions& for_all) {
  SledOptions sled = for_all;
  CaliperOptions caliper;
  for (const auto& [name, value] : row.fields)
    if (const NamedSledOption* option = sled_option_named(name))
      sled.*(option->value) = value;
    else
      *caliper_option_named(caliper, name) = value;
  BenchSetup bench;
  auto resolved = resolve(sled);
  if (!resolved && lacks_the_distance(resolved.failure())) {
    bench.no_distance = true;
    resolved = resolve(without_a_move(sled));
  }
  if (!resolved) return in_line(row.line, resolved.failure());
  bench.setup = resolved->setup;
  bench.units = resolved->units;
  bench.tolerance = resolved->tolerance;
  bench.means = resolved->means;
  if (caliper.given()) {
    const auto readings = read_caliper_beside_picture(caliper, resolved->units);
    if (!readings) return in_line(row.line, readings.failure());
    bench.caliper = *readings;
  }
  bench.student = row.student;
  bench.digest = content_hash(row.student + digest_text(sled, caliper));
  return bench;
}

}  // namespace

std::string ClassSetup::digest_of(int bench) const {
  const auto found = benches.find(bench);
  return found == benches.end() ? "-" : found->second.digest;
}

Result<ResolvedClass> resolve_class(const ClassOptions& options) {
  if (options.roster.empty()) return resolve_class(options, std::nullopt);
  const auto text = read_text_file(options.roster);
  if (!text) return text.failure();
  return resolve_class(options, *text);
}

Result<ResolvedClass> resolve_class(const ClassOptions& options,
                                    const std::optional<std::string>& roster_text) {
  const auto sled = resolve(options.sled);
  if (!sled) return sled.failure();
  ResolvedClass all;
  all.units = sled->units;
  all.cut_length_mm = sled->setup.cut_length_mm;
  all.setup.program_version = options.program_version;
  all.setup.group = options.group;
  all.setup.reading.limits = options.limits;
  if (const auto failure = set_bars(all.setup.options, options.bar_x, options.bar_y, sled->units))
    return *failure;
  all.setup.digest = content_hash(options.program_version + "\n" + options.group + "\n" +
                                  options.bar_x.value_or("") + "\n" + options.bar_y.value_or("") + "\n" +
                                  std::string(units_name(sled->units)) + limits_text(options.limits));
  if (!roster_text) return all;
  const auto roster = parse_roster(*roster_text, known_columns());
  if (!roster) return roster.failure();
  for (const RosterRow& row : roster->rows) {
    auto bench = bench_setup(row, options.sled);
    if (!bench) return bench.failure();
    all.setup.benches[row.bench] = std::move(*bench);
  }
  all.unused_columns = roster->unused_columns;
  return all;
}

}  // namespace tapersight
