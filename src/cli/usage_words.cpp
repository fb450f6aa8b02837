#include "cli/usage_words.h"

#include <algorithm>
#include <numeric>
#include <optional>
#include <sstream>

namespace tapersight {
namespace {

// The innermost command that was named, and the first word that is none.
struct Called {
  const CLI::App* app;
  std::string path;  // "measure", "record add"; empty: none
  std::string next;
};

Called called(const CLI::App& program, const std::vector<std::string>& words) {
  Called c{&program, "", ""};
  for (const std::string& word : words) {
    const auto inner = c.app->get_subcommands([&](const CLI::App* app) { return app->get_name() == word; });
    if (inner.empty()) {
      c.next = word;
      break;
    }
    c.app = inner.front();
    c.path += (c.path.empty() ? "" : " ") + word;
  }
  return c;
}

std::vector<std::string> command_names(const CLI::App& app) {
  std::vector<std::string> names;
  for (const CLI::App* inner : app.get_subcommands([](const CLI::App* /*app*/) { return true; }))
    names.push_back(inner->get_name());
  return names;
}

std::vector<std::string> option_names(const CLI::App& app) {
  std::vector<std::string> names;
  for (const CLI::Option* option : app.get_options())
    for (const std::string& name : option->get_lnames()) names.push_back("--" + name);
  return names;
}

// "a, b or c"
std::string listed(const std::vector<std::string>& names) {
  std::string out;
  for (std::size_t i = 0; i < names.size(); ++i)
    out += (i == 0 ? "" : i + 1 < names.size() ? ", " : " or ") + names[i];
  return out;
}

// Letters to add, drop or change to get from one word to the other (Levenshtein).
std::size_t distance(const std::string& a, const std::string& b) {
  std::vector<std::size_t> row(b.size() + 1);
  std::iota(row.begin(), row.end(), 0U);
  for (std::size_t i = 0; i < a.size(); ++i) {
    std::size_t diagonal = row[0]++;
    for (std::size_t k = 0; k < b.size(); ++k) {
      const std::size_t changed = diagonal + (a[i] == b[k] ? 0 : 1);
      diagonal = row[k + 1];
      row[k + 1] = std::min({changed, diagonal + 1, row[k] + 1});
    }
  }
  return row.back();
}

// The name that was probably meant: at most two letters are wrong.
std::optional<std::string> meant(const std::string& typed, const std::vector<std::string>& names) {
  const auto nearest = std::min_element(names.begin(), names.end(), [&](const auto& a, const auto& b) {
    return distance(typed, a) < distance(typed, b);
  });
  if (nearest == names.end() || distance(typed, *nearest) > 2) return std::nullopt;
  return *nearest;
}

std::string quoted(const std::string& word) {
  return '"' + word + '"';
}

std::string help_of(const Called& c) {
  return "'tapersight " + (c.path.empty() ? "" : c.path + " ") + "--help' tells more.";
}

// The line after "Example:" in the command's help.
std::string example_of(const Called& c) {
  const std::string footer = c.app->get_footer();
  const std::string mark = "Example:\n  ";
  const std::size_t at = footer.find(mark);
  if (at == std::string::npos) return help_of(c);
  const std::string line = footer.substr(at + mark.size());
  return "For example: " + line.substr(0, line.find('\n'));
}

Failure unknown_command(const Called& c) {
  const std::vector<std::string> names = command_names(*c.app);
  if (c.next.empty() || c.next[0] == '-')
    return {"wrong-usage",
            c.path.empty() ? "No command was given." : quoted(c.path) + " does not say what to do.",
            "Write " + listed(names) + "; " + help_of(c)};
  const auto name = meant(c.next, names);
  return {"wrong-usage", quoted(c.next) + " is not a command.",
          "Write " + (name ? *name : listed(names)) + "; " + help_of(c)};
}

Failure unexpected(const Called& c, const std::string& first) {
  if (first[0] != '-')
    return {"wrong-usage", quoted(first) + " is one word too many.",
            "Put what belongs together in quotes; " + help_of(c)};
  const std::string typed = first.substr(0, first.find('='));
  const auto name = meant(typed, option_names(*c.app));
  return {"wrong-usage", quoted(typed) + " is not an option of " + quoted(c.path) + ".",
          (name ? "Write " + *name + "; " : "") + help_of(c)};
}

std::string before(const std::string& text, const std::string& mark) {
  return text.substr(0, text.find(mark));
}

std::string after(const std::string& text, const std::string& mark) {
  const std::size_t at = text.find(mark);
  return at == std::string::npos ? "" : text.substr(at + mark.size());
}

}  // namespace

Failure usage_failure(const CLI::App& program, const std::vector<std::string>& words,
                      const CLI::ParseError& error) {
  const Called c = called(program, words);
  const std::string said = error.what();
  const auto kind = static_cast<CLI::ExitCodes>(error.get_exit_code());
  if (kind == CLI::ExitCodes::RequiredError) {
    if (!command_names(*c.app).empty()) return unknown_command(c);
    return {"wrong-usage", quoted(c.path) + " needs " + before(said, " is required") + ".", example_of(c)};
  }
  if (kind == CLI::ExitCodes::ExtrasError) {
    // From the last to the first; an option tells more than what stood behind it.
    std::istringstream rest(after(said, "expected: "));
    std::string word, telling;
    while (rest >> word)
      if (word[0] == '-' || telling.empty() || telling[0] != '-') telling = word;
    return unexpected(c, telling);
  }
  if (kind == CLI::ExitCodes::ArgumentMismatch)
    return {"wrong-usage", before(said, ":") + " needs a value after it.", example_of(c)};
  const std::string choices = before(after(said, " not in {"), "}");
  if (kind == CLI::ExitCodes::ValidationError && !choices.empty()) {
    std::vector<std::string> each;
    for (std::string rest = choices; !rest.empty(); rest = after(rest, ","))
      each.push_back(before(rest, ","));
    return {"wrong-usage",
            quoted(before(after(said, ": "), " not in {")) + " cannot be " + before(said, ":") + ".",
            "Write " + listed(each) + "."};
  }
  return {"wrong-usage", said + ".", help_of(c)};
}

}  // namespace tapersight
