#include "options/caliper_options.h"

#include "base/files.h"

namespace tapersight {
namespace {

using Typed = std::optional<std::string>;

std::optional<Failure> set_list(std::vector<double>& values, const Typed& text, Units units) {
  if (!text) return std::nullopt;
  auto list = parse_reading_list(*text, units);
  if (!list) return list.failure();
  values = std::move(*list);
  return std::nullopt;
}

template <typename Target>
std::optional<Failure> set_length(Target& target, const Typed& text, Units units, const char* what) {
  if (!text) return std::nullopt;
  const auto length = parse_positive_length(*text, units, what);
  if (!length) return length.failure();
  target = *length;
  return std::nullopt;
}

std::optional<Failure> set_caliper(CaliperSpec& spec, const CaliperOptions& options, Units units) {
  if (options.kind) {
    const auto kind = parse_caliper_kind(*options.kind);
    if (!kind) return kind.failure();
    spec.kind = *kind;
    if (spec.limit_is_usual) spec.limit_of_error_mm = usual_spec(*kind).limit_of_error_mm;
  }
  if (options.limit) spec.limit_is_usual = false;
  if (auto f = set_length(spec.limit_of_error_mm, options.limit, units, "--caliper-limit")) return f;
  return set_length(spec.resolution_mm, options.resolution, units, "--caliper-step");
}

std::optional<Failure> set_typed(CaliperFile& file, const CaliperOptions& options, Units units) {
  CaliperReadings& readings = file.readings;
  if (auto f = set_list(readings.fence_end_mm, options.fence_end, units)) return f;
  if (auto f = set_list(readings.far_end_mm, options.far_end, units)) return f;
  if (auto f = set_list(readings.closed_jaws_mm, options.closed_jaws, units)) return f;
  if (auto f = set_list(readings.block_mm, options.block, units)) return f;
  if (auto f = set_length(readings.block_size_mm, options.block_size, units, "--block-size")) return f;
  if (auto f = set_length(file.strip_length_mm, options.strip_length, units, "--strip-length")) return f;
  if (auto f = set_length(file.readings_at_mm, options.readings_at, units, "--readings-at")) return f;
  return set_caliper(file.spec, options, units);
}

}  // namespace

const std::vector<NamedCaliperOption>& caliper_options() {
  static const std::vector<NamedCaliperOption> kOptions{
      {"--fence-end-readings", &CaliperOptions::fence_end, "LIST",
       "Readings at the end that touched the fence: .571,.570,.572"},
      {"--far-end-readings", &CaliperOptions::far_end, "LIST", "Readings at the other end"},
      {"--readings-at", &CaliperOptions::readings_at, "LENGTH",
       "How far from both ends the caliper sat (1/4 in)"},
      {"--closed-jaws", &CaliperOptions::closed_jaws, "LIST", "Readings of the closed jaws"},
      {"--block", &CaliperOptions::block, "LIST", "Readings of a known block"},
      {"--block-size", &CaliperOptions::block_size, "LENGTH", "That block's true size"},
      {"--caliper-kind", &CaliperOptions::kind, "digital|dial|vernier",
       "What kind of caliper it is (digital)"},
      {"--caliper-step", &CaliperOptions::resolution, "LENGTH",
       "Step of its display (the coarsest usual one that the readings fit)"},
      {"--caliper-limit", &CaliperOptions::limit, "LENGTH",
       "Its limit of error, from its data sheet (the usual one for its kind)"},
  };
  return kOptions;
}

bool CaliperOptions::given() const {
  if (!file.empty() || strip_length) return true;
  for (const NamedCaliperOption& option : caliper_options())
    if (this->*(option.value)) return true;
  return false;
}

std::optional<std::string>* caliper_option_named(CaliperOptions& options, const std::string& name) {
  for (const NamedCaliperOption& option : caliper_options())
    if (name == option.name + 2) return &(options.*(option.value));
  return nullptr;
}

std::vector<std::string> caliper_option_names() {
  std::vector<std::string> names;
  for (const NamedCaliperOption& option : caliper_options()) names.emplace_back(option.name + 2);
  return names;
}

Result<CaliperFile> read_caliper(const CaliperOptions& options, Units units) {
  CaliperFile file;
  if (!options.file.empty()) {
    const auto text = read_text_file(options.file);
    if (!text) return text.failure();
    auto parsed = parse_caliper_file(*text, units);
    if (!parsed) return parsed.failure();
    file = std::move(*parsed);
  }
  if (const auto failure = set_typed(file, options, units)) return *failure;
  const auto placed = place_readings(file, kDefaultReadingsAtMm);
  if (!placed) return placed.failure();
  return file;
}

Result<CaliperFile> read_caliper_beside_picture(const CaliperOptions& options, Units units) {
  auto file = read_caliper(options, units);
  if (file && (file->readings.fence_end_mm.size() < 2 || file->readings.far_end_mm.size() < 2))
    return Failure{"caliper-too-few-readings",
                   "The caliper needs two readings at each end of the strip, or more.",
                   "Give both --fence-end-readings and --far-end-readings, or a file that has both ends."};
  return file;
}

}  // namespace tapersight
