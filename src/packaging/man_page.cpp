#include "packaging/man_page.h"

#include <sstream>

namespace tapersight {
namespace {

// Nothing of it can be a request: "-" stays a minus sign, as one that is copied from the page has to be.
std::string roff(const std::string& text) {
  std::string out;
  for (const char c : text) {
    if (c == '\\')
      out += "\\e";
    else if (c == '-')
      out += "\\-";
    else
      out += c;
  }
  return !out.empty() && (out[0] == '.' || out[0] == '\'') ? "\\&" + out : out;
}

std::string capitals(std::string text) {
  for (char& c : text)
    if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
  return text;
}

std::string heading(const char* macro, const std::string& words) {
  return std::string(macro) + " \"" + roff(words) + "\"\n";
}

// Lines that are indented stand as they are: examples to copy.
std::string paragraphs(const std::string& footer) {
  std::istringstream lines(footer);
  std::string out;
  bool as_is = false;
  for (std::string line; std::getline(lines, line);) {
    const bool indented = line.compare(0, 2, "  ") == 0;
    if (indented && !as_is) out += ".PP\n.RS 4\n.nf\n";
    if (!indented && as_is) out += ".fi\n.RE\n";
    if (!indented) out += ".PP\n";
    as_is = indented;
    out += roff(indented ? line.substr(2) : line) + "\n";
  }
  return out + (as_is ? ".fi\n.RE\n" : "");
}

std::string option_entry(const DescribedOption& option) {
  std::string out = ".TP\n";
  for (std::size_t i = 0; i < option.names.size(); ++i) {
    const std::string name = roff(option.names[i]);
    out += (i == 0 ? "" : ", ") + (option.positional ? "\\fI" + name + "\\fR" : "\\fB" + name + "\\fR");
  }
  if (!option.value.empty()) out += " \\fI" + roff(option.value) + "\\fR";
  if (option.several) out += " ...";
  out += "\n" + roff(option.help) + (option.required ? " (required)" : "") + ".\n";
  return out;
}

std::vector<std::string> groups_of(const DescribedCommand& command) {
  std::vector<std::string> groups;
  for (const DescribedOption& option : command.options) {
    bool known = false;
    for (const std::string& group : groups) known = known || group == option.group;
    if (!known && !option.positional) groups.push_back(option.group);
  }
  return groups;
}

std::string synopsis_line(const DescribedCommand& command) {
  std::string out = ".B tapersight" + (command.path.empty() ? "" : " " + roff(command.path)) + "\n";
  if (!command.parts.empty()) return out + ".I COMMAND\n[\\fIOPTIONS\\fR]\n";
  out += "[\\fIOPTIONS\\fR]";
  for (const DescribedOption& option : command.options) {
    const std::string value =
        option.positional ? "\\fI" + roff(option.names.front()) + "\\fR" + (option.several ? " ..." : "")
                          : "\\fB" + roff(option.names.back()) + "\\fR \\fI" + roff(option.value) + "\\fR";
    if (option.required) out += " " + value;
    if (!option.required && option.positional) out += " [" + value + "]";
  }
  return out + "\n";
}

// `macro`: of the headings of the groups.
std::string options_of(const DescribedCommand& command, const char* macro) {
  std::string out;
  for (const DescribedOption& option : command.options)
    if (option.positional) out += option_entry(option);
  for (const std::string& group : groups_of(command)) {
    if (group != "Options") out += heading(macro, group);
    for (const DescribedOption& option : command.options)
      if (!option.positional && option.group == group) out += option_entry(option);
  }
  return out;
}

std::string head(const std::string& name, const std::string& help, const std::string& version) {
  std::string what = help;
  if (!what.empty() && what[0] >= 'A' && what[0] <= 'Z') what[0] = static_cast<char>(what[0] - 'A' + 'a');
  return ".TH " + capitals(name) + " 1 \"\" \"tapersight " + version + "\" \"User Commands\"\n.SH NAME\n" +
         name + " \\- " + roff(what) + "\n";
}

std::string see_also(const DescribedCommand& program, const std::string& but) {
  std::string out = ".SH SEE ALSO\n";
  std::vector<std::string> names{"tapersight"};
  for (const DescribedCommand& command : program.parts) names.push_back("tapersight-" + command.name());
  std::string line;
  for (const std::string& name : names)
    if (name != but) line += (line.empty() ? "" : ",\n") + (".BR " + name + " (1)");
  return out + line + "\n";
}

ManPage program_page(const DescribedCommand& program, const std::string& version) {
  std::string text = head("tapersight", program.help, version);
  text += ".SH SYNOPSIS\n" + synopsis_line(program);
  text += ".SH COMMANDS\n";
  for (const DescribedCommand& command : program.parts)
    text += ".TP\n\\fBtapersight " + roff(command.name()) + "\\fR\n" + roff(command.help) + ".\n";
  text += ".SH OPTIONS\n" + options_of(program, ".SS");
  text += ".SH NOTES\n" + paragraphs(program.footer);
  return {"tapersight.1", text + see_also(program, "tapersight")};
}

ManPage command_page(const DescribedCommand& program, const DescribedCommand& command,
                     const std::string& version) {
  const std::string name = "tapersight-" + command.name();
  std::string text = head(name, command.help, version);
  text += ".SH SYNOPSIS\n";
  if (command.parts.empty()) text += synopsis_line(command);
  for (std::size_t i = 0; i < command.parts.size(); ++i)
    text += (i == 0 ? "" : ".br\n") + synopsis_line(command.parts[i]);
  text += ".SH OPTIONS\n" + options_of(command, ".SS");
  for (const DescribedCommand& part : command.parts) {
    text += heading(".SH", capitals("tapersight " + part.path)) + roff(part.help) + ".\n";
    text += options_of(part, ".SS") + paragraphs(part.footer);
  }
  text += ".SH NOTES\n" + paragraphs(command.footer);
  return {name + ".1", text + see_also(program, name)};
}

}  // namespace

std::vector<ManPage> man_pages(const DescribedCommand& program, const std::string& version) {
  std::vector<ManPage> pages{program_page(program, version)};
  for (const DescribedCommand& command : program.parts)
    pages.push_back(command_page(program, command, version));
  return pages;
}

}  // namespace tapersight
