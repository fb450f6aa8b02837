#include "messages/list_messages.h"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <regex>
#include <vector>

namespace tapersight::testing {
namespace {

namespace fs = std::filesystem;

struct Token {
  enum Kind { kLiteral, kSign, kWord } kind;
  std::string text;
};

// What an escape in a literal stands for: enough for sentences.
char unescaped(char c) {
  return c == 'n' || c == 't' ? ' ' : c;
}

class Reader {
 public:
  explicit Reader(const std::string& source) : s_(source) {}

  std::vector<Token> tokens() {
    std::vector<Token> all;
    while (at_ < s_.size()) {
      if (s_.compare(at_, 2, "//") == 0 || s_[at_] == '#') {
        at_ = std::min(s_.find('\n', at_), s_.size());
      } else if (s_.compare(at_, 2, "R\"") == 0) {
        const std::size_t open = s_.find('(', at_);
        const std::string close = ")" + s_.substr(at_ + 2, open - at_ - 2) + "\"";
        at_ = std::min(s_.find(close, open), s_.size() - close.size()) + close.size();
        all.push_back({Token::kWord, "raw"});
      } else if (s_[at_] == '"') {
        literal(all);
      } else if (s_[at_] == '\'') {
        at_ += s_[at_ + 1] == '\\' ? 4 : 3;
        all.push_back({Token::kWord, "char"});
      } else if (std::isalnum(static_cast<unsigned char>(s_[at_])) != 0 || s_[at_] == '_') {
        const std::size_t from = at_;
        // A digit separator is no character literal.
        while (at_ < s_.size() &&
               (std::isalnum(static_cast<unsigned char>(s_[at_])) != 0 || s_[at_] == '_' ||
                (s_[at_] == '\'' && std::isdigit(static_cast<unsigned char>(s_[from])) != 0)))
          ++at_;
        all.push_back({Token::kWord, s_.substr(from, at_ - from)});
      } else {
        if (std::isspace(static_cast<unsigned char>(s_[at_])) == 0)
          all.push_back({Token::kSign, std::string(1, s_[at_])});
        ++at_;
      }
    }
    return all;
  }

 private:
  // Literals that follow each other are one.
  void literal(std::vector<Token>& all) {
    std::string text;
    for (++at_; at_ < s_.size() && s_[at_] != '"'; ++at_) {
      if (s_[at_] == '\\' && s_[at_ + 1] == 'u') {
        text += '?';
        at_ += 5;
      } else if (s_[at_] == '\\') {
        text += unescaped(s_[++at_]);
      } else {
        text += s_[at_];
      }
    }
    ++at_;
    if (!all.empty() && all.back().kind == Token::kLiteral)
      all.back().text += text;
    else
      all.push_back({Token::kLiteral, text});
  }

  const std::string& s_;
  std::size_t at_ = 0;
};

bool is_sign(const Token& token, const char* signs) {
  return token.kind == Token::kSign && std::string(signs).find(token.text[0]) != std::string::npos;
}

// From `at` to the end of the expression: literals with <> for what is computed. Moves `at` onto what ends
// it.
std::string expression(const std::vector<Token>& tokens, std::size_t& at) {
  std::string text;
  int depth = 0;
  for (; at < tokens.size(); ++at) {
    const Token& token = tokens[at];
    if (depth == 0 && (is_sign(token, ",;)}") || (is_sign(token, "{") && text.empty()))) break;
    const bool behind_literal = at > 0 && tokens[at - 1].kind == Token::kLiteral && !text.empty();
    if (token.kind == Token::kWord && behind_literal) break;  // extern "C" int f()
    if (is_sign(token, "({[")) ++depth;
    if (is_sign(token, ")}]")) --depth;
    if (token.kind == Token::kLiteral && (token.text.find(' ') != std::string::npos || depth == 0))
      text += token.text;
    else if (text.empty() || text.compare(text.size() - 1, 1, ">") != 0)
      text += "<>";
  }
  return text;
}

bool is_sentence(const std::string& text) {
  return std::count(text.begin(), text.end(), ' ') >= 3 && text.find('<') != 0;
}

std::string messages_of(const std::string& source) {
  static const std::regex kCode("[a-z]+(-[a-z0-9]+)+");
  const std::vector<Token> tokens = Reader(source).tokens();
  std::string coded, others;
  for (std::size_t i = 0; i < tokens.size(); ++i) {
    if (tokens[i].kind != Token::kLiteral) continue;
    const bool opens =
        i > 0 && is_sign(tokens[i - 1], "{") && i + 1 < tokens.size() && is_sign(tokens[i + 1], ",");
    if (opens && std::regex_match(tokens[i].text, kCode)) {
      std::string line = tokens[i].text + ": ";
      i += 2;
      line += expression(tokens, i);
      if (i < tokens.size() && is_sign(tokens[i], ",")) line += " | " + expression(tokens, ++i);
      if (std::count(line.begin(), line.end(), ' ') > 3) coded += line + "\n";
      continue;
    }
    std::string text = expression(tokens, i);
    if (is_sentence(text)) others += "- " + text + "\n";
  }
  return coded + others;
}

}  // namespace

std::string list_messages(const std::string& source) {
  std::vector<fs::path> files;
  for (const auto& entry : fs::recursive_directory_iterator(fs::path(source) / "src"))
    if (entry.path().extension() == ".cpp" || entry.path().extension() == ".h") files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  std::string all;
  for (const fs::path& file : files) {
    std::ifstream stream(file, std::ios::binary);
    const std::string text{std::istreambuf_iterator<char>(stream), {}};
    const std::string messages = messages_of(text);
    if (!messages.empty())
      all += "== " + fs::relative(file, source).generic_string() + "\n" + messages + "\n";
  }
  return all;
}

}  // namespace tapersight::testing
