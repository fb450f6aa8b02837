#include "page/settings.h"

#include "base/markup.h"
#include "base/text.h"
#include "page/standing.h"
#include "report/words.h"

namespace tapersight {
namespace {

using Words = std::vector<std::string>;

std::string quoted(const std::string& word) {
  const bool plain = !word.empty() && word.find_first_not_of(
                                          "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"
                                          "0123456789_-./:=+,") == std::string::npos;
  if (plain) return word;
  std::string safe = "'";
  for (const char c : word) safe += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return safe + "'";
}

// Exact enough to be read back as the same length.
std::string length_word(double mm) {
  std::string number = fixed(mm, 6);
  number.erase(number.find_last_not_of('0') + 1);
  if (number.back() == '.') number.pop_back();
  return number + "mm";
}

std::string lengths_word(const std::vector<double>& lengths_mm) {
  std::string word;
  for (const double mm : lengths_mm) word += (word.empty() ? "" : ",") + length_word(mm);
  return word;
}

void add(Words& words, const char* option, const std::string& value) {
  words.emplace_back(option);
  words.push_back(value);
}

void add_pictures(Words& words, const MeasurementReport& report) {
  words.push_back(report.picture.file);
  for (const FurtherPicture& another : report.further)
    if (!another.reversed) words.push_back(another.file);
  for (const FurtherPicture& another : report.further)
    if (another.reversed) add(words, "--reversed", another.file);
}

template <typename Number>
void add_limit(Words& words, const char* option, Number limit, Number usual, double unit) {
  if (limit != usual) add(words, option, fixed(static_cast<double>(limit) / unit, 0));
}

void add_reading(Words& words, const ReadOptions& reading) {
  if (reading.page) add(words, "--page", std::to_string(*reading.page));
  const ReadLimits &limits = reading.limits, usual;
  constexpr double kMegabyte = 1 << 20;
  add_limit(words, "--max-megapixels", limits.most_pixels, usual.most_pixels, 1e6);
  add_limit(words, "--max-file-mb", limits.most_file_bytes, usual.most_file_bytes, kMegabyte);
  add_limit(words, "--max-memory-mb", limits.most_memory_bytes, usual.most_memory_bytes, kMegabyte);
}

void add_picture_options(Words& words, const PictureOptions& options) {
  if (options.kind) add(words, "--kind", picture_kind_name(*options.kind));
  if (options.thickness_mm) add(words, "--thickness", length_word(*options.thickness_mm));
  if (!options.take.empty()) add(words, "--take", options.take);
  if (options.bar_x_mm) add(words, "--bar-x", length_word(*options.bar_x_mm));
  if (options.bar_y_mm) add(words, "--bar-y", length_word(*options.bar_y_mm));
  if (!options.without_target) return;
  words.emplace_back("--without-target");
  add(words, "--fence-end-at", picture_side_name(options.fence_end));
  if (options.scan_dpi) add(words, "--scan-dpi", fixed(*options.scan_dpi, 0));
  if (const auto& r = options.region_px)
    add(words, "--region",
        std::to_string(r->x) + "," + std::to_string(r->y) + "," + std::to_string(r->width) + "," +
            std::to_string(r->height));
}

void add_setup(Words& words, const MeasurementReport& report) {
  const SledSetup& setup = report.setup;
  add(words, "--units", std::string(units_name(report.units)));
  if (const auto& ring = report.wishes.ring) {
    add(words, "--ring-pieces", std::to_string(ring->pieces));
    add(words, "--mitred-ends", std::to_string(ring->mitred_ends));
    add(words, "--lean", std::string(mitre_lean_name(ring->lean)));
  } else {
    add(words, "--turns", std::to_string(setup.turns));
    add(words, "--fence", std::string(fence_side_name(setup.fence)));
    add(words, "--strip-falls", std::string(side_name(setup.strip_falls)));
  }
  add(words, "--cut-length", length_word(setup.cut_length_mm));
  if (!setup.pivot_distance_mm) return;
  add(words, "--pivot", std::string(side_name(setup.pivot)));
  add(words, "--pivot-distance", length_word(*setup.pivot_distance_mm));
}

void add_means(Words& words, const ShopWishes& wishes, Units units) {
  if (wishes.tolerance && !wishes.tolerance->usual) add(words, "--tolerance", wishes.tolerance->text);
  const AdjustMeans& means = wishes.means;
  add(words, "--adjust", std::string(adjust_by_name(means.by)));
  if (means.by == AdjustBy::kFeelers) {
    const FeelerSet set = means.feelers.value_or(default_feeler_set(units));
    const auto standard = standard_feeler_set(set.name);
    const bool is_standard = standard.ok() && standard->leaves_mm == set.leaves_mm;
    add(words, "--feelers", is_standard ? set.name : lengths_word(set.leaves_mm));
    if (!set.spacers_mm.empty() && !(is_standard && standard->spacers_mm == set.spacers_mm))
      add(words, "--spacers", lengths_word(set.spacers_mm));
  }
  if (means.by == AdjustBy::kScrew) add(words, "--thread", means.thread.text);
  if (means.by == AdjustBy::kShims && !means.shims.empty()) {
    std::string shims;
    for (const ShimKind& kind : means.shims)
      shims += (shims.empty() ? "" : "; ") + kind.name + " = " + length_word(kind.thickness_mm);
    add(words, "--shims", shims);
  }
  if (means.by == AdjustBy::kIndicator && means.indicator)
    add(words, "--indicator",
        length_word(means.indicator->graduation_mm) + "/" + length_word(means.indicator->revolution_mm));
}

Markup row(const char* term, const Markup& facts) {
  return element("div", words_in("dt", term) + element("dd", facts));
}

Markup sheet_row(const PictureMeasurement& m) {
  const std::string calibrated = "model " + m.model + ", " + fixed(m.px_per_mm_x, 3) + " and " +
                                 fixed(m.px_per_mm_y, 3) + " px/mm, blur " + fixed(m.blur_px, 2) + " px";
  if (m.layout == nullptr) return row("Sheet", text("none: sizes by the file's dpi; " + calibrated));
  return row("Sheet", text(m.layout->id + ", " + std::to_string(m.points_used) + " of " +
                           std::to_string(m.points_printed) + " points used, " + fixed(m.residual_rms_px, 3) +
                           " px rms off; " + calibrated));
}

Markup further_row(const std::vector<FurtherPicture>& further) {
  Markup names;
  for (const FurtherPicture& another : further) {
    if (!names.empty()) names += text(", ");
    names += foreign(another.file);
    if (another.reversed) names += text(" (strip turned end for end)");
  }
  return row("Further pictures", names);
}

Words command_words(const MeasurementReport& report) {
  Words words{"tapersight", "measure"};
  add_pictures(words, report);
  add_reading(words, report.reading);
  add_picture_options(words, report.options);
  add_setup(words, report);
  if (report.setup.pivot_distance_mm)
    add_means(words, report.wishes, report.units);
  else if (report.wishes.tolerance && !report.wishes.tolerance->usual)
    add(words, "--tolerance", report.wishes.tolerance->text);
  if (report.wishes.even_so) words.emplace_back("--even-so");
  return words;
}

// The options' names are kept in one piece where a line ends.
Markup command_markup(const MeasurementReport& report) {
  Markup line;
  for (const std::string& word : command_words(report)) {
    const Markup safe = trusted(html_escape(quoted(word)));
    if (!line.empty()) line += text(" ");
    line += word.compare(0, 2, "--") == 0 ? element("span", {{"class", "word"}}, safe) : safe;
  }
  return element("code", {{"dir", "auto"}}, line);
}

}  // namespace

std::string repeat_command(const MeasurementReport& report) {
  std::string line;
  for (const std::string& word : command_words(report)) line += (line.empty() ? "" : " ") + quoted(word);
  return line;
}

Markup settings_list(const MeasurementReport& report) {
  const PictureFacts& picture = report.picture;
  Markup rows = row("Program", text("tapersight " + report.program_version));
  rows += row("Picture",
              foreign(picture.file) + text(", " + std::to_string(picture.width_px) + " x " +
                                           std::to_string(picture.height_px) + " px, " + dpi_text(picture)));
  if (!report.further.empty()) rows += further_row(report.further);
  if (report.measurement.ok()) rows += sheet_row(*report.measurement);
  rows += row("Set-up", text(setup_words(report.setup, report.wishes.ring)));
  if (const auto& record = report.wishes.record)
    rows += row("Record", foreign(record->sled) + text(": " + std::to_string(record->entries.size()) +
                                                       " entries before this one"));
  rows += row("Again", command_markup(report));
  return element("dl", {{"class", "settings"}}, rows);
}

}  // namespace tapersight
