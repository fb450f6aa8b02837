#include "record/entry.h"

#include <algorithm>
#include <boost/crc.hpp>
#include <cmath>
#include <nlohmann/json.hpp>
#include <optional>
#include <utility>

#include "base/text.h"
#include "record/whole_number.h"

namespace tapersight {
namespace {

using Json = nlohmann::ordered_json;  // keeps the schema in front

constexpr std::string_view kChecksumKey = R"(,"crc32":")";
constexpr std::size_t kChecksumLength = kChecksumKey.size() + 8 + 2;  // eight digits and "}

std::string checksum(std::string_view text) {
  boost::crc_32_type crc;
  crc.process_bytes(text.data(), text.size());
  std::string digits(8, '0');
  auto value = crc.checksum();
  for (auto digit = digits.rbegin(); digit != digits.rend(); ++digit, value >>= 4U)
    *digit = "0123456789abcdef"[value & 15U];
  return digits;
}

// Beyond these there is no measurement, only a number that arithmetic cannot carry: an uncertainty of a whole
// radian, and less than half a degree of freedom (two readings leave one; the Welch-Satterthwaite formula
// never gives fewer than the least of its parts, JCGM 100:2008, G.4).
constexpr double kMostU = 1, kFewestDof = 0.5;

bool is_size(double value) {
  return value >= 0 && std::isfinite(value);
}

bool is_note(std::string_view note) {
  return note.size() <= kMostNote &&
         std::none_of(note.begin(), note.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20; });
}

bool is_utc(std::string_view when) {
  static constexpr std::string_view kForm = "dddd-dd-ddTdd:dd:ddZ";
  if (when.size() != kForm.size()) return false;
  for (std::size_t i = 0; i < kForm.size(); ++i)
    if (kForm[i] == 'd' ? when[i] < '0' || when[i] > '9' : when[i] != kForm[i]) return false;
  return true;
}

Json to_json(const MeasurementEntry& m) {
  Json json{{"kind", "measurement"}, {"when", m.when},       {"source", m.source},
            {"turns", m.turns},      {"error_rad", m.theta}, {"u_rad", m.u}};
  if (std::isfinite(m.dof)) json["dof"] = m.dof;
  json["u_shared_rad"] = m.u_shared;
  if (!m.note.empty()) json["note"] = m.note;
  return json;
}

Json to_json(const NoteEntry& n) {
  return {{"kind", "note"}, {"when", n.when}, {"note", n.note}};
}

Json to_json(const MoveEntry& m) {
  Json json{{"kind", "move"},
            {"when", m.when},
            {"by", m.by},
            {"move_mm", m.move_mm},
            {"u_mm", m.u_mm},
            {"pivot_distance_mm", m.pivot_distance_mm},
            {"end", side_name(m.end)},
            {"toward", toward_name(m.toward)}};
  if (!m.note.empty()) json["note"] = m.note;
  return json;
}

std::string note_from(const Json& json) {
  return json.contains("note") ? json.at("note").get<std::string>() : std::string();
}

MeasurementEntry measurement_from(const Json& json) {
  MeasurementEntry m;
  m.when = json.at("when").get<std::string>();
  m.source = json.at("source").get<std::string>();
  m.turns = whole_number(json.at("turns"));
  m.theta = json.at("error_rad").get<double>();
  m.u = json.at("u_rad").get<double>();
  if (json.contains("dof")) m.dof = json.at("dof").get<double>();
  // Lines of older versions do not say what is shared: then nothing averages out.
  m.u_shared = json.contains("u_shared_rad") ? json.at("u_shared_rad").get<double>() : m.u;
  m.note = note_from(json);
  return m;
}

std::optional<MoveEntry> move_from(const Json& json) {
  MoveEntry m;
  m.when = json.at("when").get<std::string>();
  m.by = json.at("by").get<std::string>();
  m.move_mm = json.at("move_mm").get<double>();
  m.u_mm = json.at("u_mm").get<double>();
  m.pivot_distance_mm = json.at("pivot_distance_mm").get<double>();
  m.note = note_from(json);
  const auto end = parse_side(json.at("end").get<std::string>());
  if (!end) return std::nullopt;
  m.end = *end;
  const auto toward = json.at("toward").get<std::string>();
  for (const Toward known : {Toward::kNowhere, Toward::kOperator, Toward::kAwayFromOperator}) {
    if (toward != toward_name(known)) continue;
    m.toward = known;
    return m;
  }
  return std::nullopt;
}

Failure damaged(const std::string& why) {
  return {"line-damaged", "The line " + why + ".",
          "Measure again if it was the last entry; the others stand."};
}

Result<RecordEntry> entry_from(const Json& json) {
  const auto kind = json.at("kind").get<std::string>();
  if (kind == "measurement") return RecordEntry(measurement_from(json));
  if (kind == "note")
    return RecordEntry(NoteEntry{json.at("when").get<std::string>(), json.at("note").get<std::string>()});
  if (kind != "move")
    return Failure{"line-unknown",
                   "The line holds an entry of the kind \"" + kind + "\", which is not known here.",
                   "Use the version of the program that wrote it."};
  const auto move = move_from(json);
  if (!move) return damaged("does not say which end was moved which way");
  return RecordEntry(*move);
}

}  // namespace

double MoveEntry::intended_turn() const {
  if (toward == Toward::kNowhere) return 0;
  // The right end going away from the operator turns the fence counter-clockwise, and so does the left end
  // coming.
  const double sign = (end == Side::kRight) == (toward == Toward::kAwayFromOperator) ? 1 : -1;
  return sign * move_mm / pivot_distance_mm;
}

MeasurementEntry measurement_entry(const FenceError& of_strip, std::string when, std::string source,
                                   double u_shared) {
  return {std::move(when), std::move(source), of_strip.turns, of_strip.theta,
          of_strip.u,      of_strip.dof,      u_shared,       {}};
}

bool is_recorded(const std::vector<RecordEntry>& entries, const MeasurementEntry& entry) {
  const bool typed = entry.source == kTwoWidths || entry.source == kClosingGap;
  for (std::size_t i = entries.size(); i-- > 0;) {
    const auto* m = std::get_if<MeasurementEntry>(&entries[i]);
    // Two pictures never give the same numbers to the last bit.
    if (m != nullptr && m->theta == entry.theta && m->u == entry.u && m->turns == entry.turns) return true;
    if (typed) return false;
  }
  return false;
}

std::optional<Failure> validate(const RecordEntry& entry) {
  const auto bad = [](const std::string& why) {
    return Failure{"bad-entry", "The entry cannot be recorded: " + why + ".",
                   "Check the numbers that were typed."};
  };
  const auto note = std::visit([](const auto& held) { return held.note; }, entry);
  if (!is_note(note)) return bad("a note is one line of at most 200 letters");
  if (const auto* n = std::get_if<NoteEntry>(&entry)) {
    if (!is_utc(n->when)) return bad("its time is not of the form 2031-05-07T09:30:00Z");
    if (trimmed(n->note).empty()) return bad("the note is empty");
    return std::nullopt;
  }
  if (const auto* m = std::get_if<MeasurementEntry>(&entry)) {
    if (!is_utc(m->when)) return bad("its time is not of the form 2031-05-07T09:30:00Z");
    if (m->turns < 1 || !(std::fabs(m->theta) <= kMaxTaper) || !(m->u >= 0 && m->u <= kMostU) ||
        !is_size(m->u_shared) || m->u_shared > m->u * (1 + 1e-12))
      return bad("a measured error is a small angle with an uncertainty of zero or more");
    if (!(m->dof >= kFewestDof)) return bad("its degrees of freedom are fewer than any two readings leave");
    return std::nullopt;
  }
  const auto& m = std::get<MoveEntry>(entry);
  if (!is_utc(m.when)) return bad("its time is not of the form 2031-05-07T09:30:00Z");
  if (!is_size(m.move_mm) || !is_size(m.u_mm)) return bad("a move and its uncertainty are zero or more");
  if (!(m.pivot_distance_mm > 0) || !std::isfinite(m.pivot_distance_mm))
    return bad("the pivot distance must be above zero");
  if (!(m.u_mm <= kMostU * m.pivot_distance_mm))
    return bad("the move's uncertainty is more than its distance from the pivot");
  if (!(m.move_mm <= kMaxTaper * m.pivot_distance_mm)) return bad("the move would turn the fence by degrees");
  if (m.toward == Toward::kNowhere && m.move_mm > 0)
    return bad("it does not say which way the fence was moved");
  return std::nullopt;
}

std::string to_line(const RecordEntry& entry) {
  Json json{{"schema", "tapersight.record.v1"}};
  json.update(std::visit([](const auto& held) { return to_json(held); }, entry));
  std::string line = json.dump(-1, ' ', false, Json::error_handler_t::replace);
  line.pop_back();
  const std::string crc = checksum(line);
  return line.append(kChecksumKey).append(crc).append("\"}");
}

Result<RecordEntry> from_line(std::string_view line) {
  line = trimmed(line);
  if (line.size() <= kChecksumLength) return damaged("is not whole");
  const std::string_view tail = line.substr(line.size() - kChecksumLength);
  if (tail.substr(0, kChecksumKey.size()) != kChecksumKey || tail.substr(tail.size() - 2) != "\"}")
    return damaged("is not whole");
  const std::string_view body = line.substr(0, line.size() - kChecksumLength);
  if (tail.substr(kChecksumKey.size(), 8) != checksum(body))
    return damaged("was changed or damaged after it was written");
  const Json json = Json::parse(std::string(body) + "}", nullptr, false);
  if (json.is_discarded() || !json.is_object()) return damaged("is not JSON");
  try {  // nlohmann's only way to say that a field is missing or of the wrong kind
    if (json.at("schema").get<std::string>() != "tapersight.record.v1")
      return Failure{"line-unknown", "The line was written by another version of the program.",
                     "Use the version of the program that wrote it."};
    Result<RecordEntry> entry = entry_from(json);
    if (!entry) return entry.failure();
    if (const auto failure = validate(*entry)) return damaged("holds a number that cannot be");
    return entry;
  } catch (const Json::exception&) {
    return damaged("lacks a field");
  }
}

std::string utc_text(std::time_t time) {
  std::tm utc{};
  gmtime_r(&time, &utc);
  const auto padded = [](int value, std::size_t digits) {
    const std::string text = std::to_string(value);
    return text.size() < digits ? std::string(digits - text.size(), '0') + text : text;
  };
  return padded(utc.tm_year + 1900, 4) + "-" + padded(utc.tm_mon + 1, 2) + "-" + padded(utc.tm_mday, 2) +
         "T" + padded(utc.tm_hour, 2) + ":" + padded(utc.tm_min, 2) + ":" + padded(utc.tm_sec, 2) + "Z";
}

}  // namespace tapersight
