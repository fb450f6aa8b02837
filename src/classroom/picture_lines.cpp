#include "classroom/picture_lines.h"

#include <algorithm>
#include <optional>
#include <utility>

#include "assess/assess.h"
#include "classroom/bench_name.h"
#include "classroom/class_result.h"
#include "pipeline/measure_strips.h"

namespace tapersight {
namespace {

// Makes the lines of one picture.
class PictureLines {
 public:
  PictureLines(const std::string& name, const ClassSetup& setup, const PictureKeeper& keeper)
      : name_(name), setup_(setup), keeper_(keeper), by_name_(bench_of_file_name(name)) {}

  // What is the matter with the picture as a whole.
  void report_picture(const Failure& failure) {
    ResultLine line = line_of(0);
    name_by_file(line);
    line.reason = failure;
    line.thumbnail = thumbnail_;
    add(line);
  }

  // Measures and reports every strip; a failure to write is returned.
  std::optional<Failure> strips(const Picture& picture) {
    PictureOptions options = setup_.options;
    options.by_camera = picture.by_camera;
    options.deadline = Deadline::in(setup_.reading.limits.most_seconds);
    auto measured = measure_strips(picture.grey, picture.dpi_u, picture.dpi_v, options);
    if (!measured) {
      if (auto failure = make_thumbnail(picture)) return failure;
      report_picture(measured.failure());
      return std::nullopt;
    }
    const bool only_one = measured->strips.size() == 1 && measured->tags.empty();
    int number = 0;
    for (StripOnSheet& strip : measured->strips)
      if (auto failure = one_strip(picture, strip, ++number, only_one)) return failure;
    for (const TagProblem& tag : measured->tags) {
      if (is_told(tag)) continue;
      ResultLine line = line_of(0);
      line.bench = tag.bench;
      line.named_by = NamedBy::kTag;
      line.reason = tag.failure;
      add(line);
    }
    return std::nullopt;
  }

  PictureOutcome take() {
    std::sort(outcome_.benches.begin(), outcome_.benches.end());
    outcome_.benches.erase(std::unique(outcome_.benches.begin(), outcome_.benches.end()),
                           outcome_.benches.end());
    return std::move(outcome_);
  }

 private:
  ResultLine line_of(int strip) const {
    ResultLine line;
    line.group = setup_.group;
    line.picture = name_;
    line.strip = strip;
    return line;
  }

  void name_by_file(ResultLine& line) const {
    line.bench = by_name_;
    if (by_name_) line.named_by = NamedBy::kFileName;
  }

  void add(ResultLine line) {
    if (line.bench && setup_.benches.count(*line.bench) > 0)
      line.student = setup_.benches.at(*line.bench).student;
    if (line.bench) outcome_.benches.push_back(*line.bench);
    told_.push_back({line.bench.value_or(0), line.reason ? line.reason->code : std::string()});
    outcome_.lines.push_back(result_json(line));
  }

  // A strip has said the same already.
  bool is_told(const TagProblem& tag) const {
    return std::any_of(told_.begin(), told_.end(),
                       [&](const auto& t) { return t.first == tag.bench && t.second == tag.failure.code; });
  }

  // Whose strip: the tag's, else, when it is the picture's only one, the file name's; never one against the
  // other.
  std::optional<Failure> name_strip(const StripOnSheet& strip, bool only_one, ResultLine& line) const {
    line.bench = strip.bench;
    if (strip.bench) line.named_by = NamedBy::kTag;
    if (!only_one) return std::nullopt;
    if (!strip.bench) name_by_file(line);
    if (!line.bench)
      return Failure{
          "bench-not-named",
          "There is no telling whose strip this is: it has no tag, and the file's name has no bench.",
          "Lay the bench's tag at the fence end, or name the file like bench-07.jpg."};
    if (strip.bench && by_name_ && *by_name_ != *strip.bench)
      return Failure{"tag-and-name-differ",
                     "The tag says bench " + std::to_string(*strip.bench) + ", the file's name bench " +
                         std::to_string(*by_name_) + ".",
                     "Rename the file, or scan again with the right tag."};
    return std::nullopt;
  }

  // One for all that is refused in the picture.
  std::optional<Failure> make_thumbnail(const Picture& picture) {
    if (!thumbnail_.empty()) return std::nullopt;
    auto name = keeper_.thumbnail(picture.grey, name_);
    if (!name) return name.failure();
    thumbnail_ = std::move(*name);
    return std::nullopt;
  }

  std::optional<Failure> report_strip(const Picture& picture, ResultLine line) {
    if (auto failure = make_thumbnail(picture)) return failure;
    line.thumbnail = thumbnail_;
    add(std::move(line));
    return std::nullopt;
  }

  std::optional<Failure> one_strip(const Picture& picture, StripOnSheet& strip, int number, bool only_one) {
    ResultLine line = line_of(number);
    line.reason = name_strip(strip, only_one, line);
    if (!strip.measured) line.reason = strip.measured.failure();
    if (!line.reason && setup_.benches.count(*line.bench) == 0)
      line.reason =
          Failure{"not-in-roster", "Bench " + std::to_string(*line.bench) + " is not in the roster.",
                  "Add it, or correct the tag or the file's name."};
    if (line.reason) return report_strip(picture, std::move(line));
    MeasurementReport report = report_of(picture, std::move(strip), setup_.benches.at(*line.bench));
    if (!report.measurement) {
      line.reason = report.measurement.failure();
      return report_strip(picture, std::move(line));
    }
    line.report = &report;
    if (keeper_.overlay) {
      auto overlay = keeper_.overlay(picture.grey, report, *line.bench, name_);
      if (!overlay) return overlay.failure();
      line.overlay = std::move(*overlay);
    }
    add(line);
    return std::nullopt;
  }

  MeasurementReport report_of(const Picture& picture, StripOnSheet&& strip, const BenchSetup& bench) const {
    MeasurementReport report;
    report.program_version = setup_.program_version;
    report.picture = {name_, picture.grey.cols, picture.grey.rows, picture.dpi_u, picture.dpi_v};
    report.options = setup_.options;
    report.setup = bench.setup;
    report.units = bench.units;
    report.wishes.tolerance = bench.tolerance;
    report.wishes.means = bench.means;
    report.measurement = std::move(strip.measured);
    conclude(report);
    const auto judged = judge_caliper_into(report, bench.caliper);
    if (judged)
      report.measurement->warnings.push_back(
          {judged->code, "The caliper's readings were not used: " + judged->text + " " + judged->remedy});
    return report;
  }

  const std::string& name_;
  const ClassSetup& setup_;
  const PictureKeeper& keeper_;
  std::optional<int> by_name_;
  std::string thumbnail_;  // its name, once it is written
  PictureOutcome outcome_;
  std::vector<std::pair<int, std::string>> told_;
};

}  // namespace

Result<PictureOutcome> lines_of_picture(const Result<Picture>& picture, const std::string& name,
                                        const ClassSetup& setup, const PictureKeeper& keeper) {
  PictureLines lines(name, setup, keeper);
  if (!picture)
    lines.report_picture(picture.failure());
  else if (auto failure = lines.strips(*picture))
    return *failure;
  return lines.take();
}

}  // namespace tapersight
