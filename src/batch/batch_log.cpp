#include "batch/batch_log.h"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <nlohmann/json.hpp>

namespace tapersight {
namespace {

using nlohmann::ordered_json;

Failure not_writable(const std::string& path) {
  return {"file-not-writable", "Cannot write \"" + path + "\": " + std::strerror(errno) + ".",
          "Check the folder's permissions and the free space."};
}

}  // namespace

std::string to_line(const LogEntry& entry) {
  ordered_json out;
  out["picture"] = entry.picture;
  out["content"] = entry.key.content;
  out["settings"] = entry.key.settings;
  out["benches"] = ordered_json::object();
  for (const auto& [bench, digest] : entry.key.benches) out["benches"][std::to_string(bench)] = digest;
  out["lines"] = entry.lines;
  return out.dump(-1, ' ', false, ordered_json::error_handler_t::replace);
}

std::optional<LogEntry> entry_from_line(const std::string& line) {
  const ordered_json json = ordered_json::parse(line, nullptr, false);
  if (json.is_discarded() || !json.is_object()) return std::nullopt;
  try {
    LogEntry entry;
    entry.picture = json.at("picture").get<std::string>();
    entry.key.content = json.at("content").get<std::string>();
    entry.key.settings = json.at("settings").get<std::string>();
    for (const auto& [bench, digest] : json.at("benches").items())
      entry.key.benches[std::stoi(bench)] = digest.get<std::string>();
    entry.lines = json.at("lines").get<std::vector<std::string>>();
    return entry;
  } catch (const std::exception&) {  // a field is missing, or no number
    return std::nullopt;
  }
}

std::map<std::string, LogEntry> read_batch_log(const std::string& text) {
  std::map<std::string, LogEntry> entries;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = text.find('\n', at);
    if (end == std::string::npos) break;  // torn: an entry counts with its line end
    if (auto entry = entry_from_line(text.substr(at, end - at))) entries[entry->picture] = *entry;
    at = end + 1;
  }
  return entries;
}

Result<std::unique_ptr<BatchLog>> BatchLog::open(const std::string& path) {
  const int descriptor = ::open(path.c_str(), O_WRONLY | O_APPEND | O_CREAT | O_CLOEXEC, 0666);
  if (descriptor < 0) return not_writable(path);
  return std::unique_ptr<BatchLog>(new BatchLog(path, descriptor));
}

BatchLog::~BatchLog() {
  ::close(descriptor_);
}

std::optional<Failure> BatchLog::append(const LogEntry& entry) {
  const std::string bytes = to_line(entry) + "\n";
  const std::lock_guard<std::mutex> lock(mutex_);
  for (std::size_t done = 0; done < bytes.size();) {
    const ssize_t n = ::write(descriptor_, bytes.data() + done, bytes.size() - done);
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) return not_writable(path_);
    done += static_cast<std::size_t>(n);
  }
  if (::fsync(descriptor_) != 0 && errno != EINVAL && errno != EROFS) return not_writable(path_);
  return std::nullopt;
}

}  // namespace tapersight
