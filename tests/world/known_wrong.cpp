#include "world/known_wrong.h"

#include <sstream>

namespace tapersight::testing {

std::map<std::string, std::string> read_known_wrong(const std::string& text) {
  std::map<std::string, std::string> known;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    if (line.empty() || line[0] == '#') continue;
    const std::size_t space = line.find(' ');
    known[line.substr(0, space)] = space == std::string::npos ? "" : line.substr(space + 1);
  }
  return known;
}

std::vector<std::string> complaints(const std::vector<WorldTrial>& trials,
                                    const std::map<std::string, std::string>& known) {
  std::vector<std::string> all;
  std::map<std::string, std::string> left = known;
  for (const WorldTrial& trial : trials) {
    // A picture that must be refused has no true taper: measured, it is wrong, whatever it says.
    const bool wrong = trial.good ? silently_wrong(trial.plain, trial.taper) : trial.plain.measured();
    const auto listed = left.find(trial.name);
    if (wrong && listed == left.end())
      all.push_back(trial.name +
                    (trial.good ? ": measured, silently wrong." : ": measured, but must be refused."));
    if (!wrong && listed != left.end())
      all.push_back(trial.name + ": right or refused now: take it off the list.");
    if (listed == left.end()) continue;
    if (listed->second.empty()) all.push_back(trial.name + ": the list says no reason.");
    left.erase(listed);
  }
  for (const auto& [name, reason] : left) all.push_back(name + ": no such picture: take it off the list.");
  return all;
}

}  // namespace tapersight::testing
