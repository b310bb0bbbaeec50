#include "files/toml_scan.hpp"

#include "files/limits.hpp"

#include <fmt/format.h>

namespace phasewright {

namespace {

class Scan {
public:
  explicit Scan(std::string_view text) : text_(text) {}

  // Says what is too much, or nothing.
  std::string run() {
    while (at_ < text_.size()) {
      const char c = text_[at_];
      if (c == '#') {
        skip_line();
      } else if (c == '"' || c == '\'') {
        skip_string(c);
      } else {
        std::string trouble = count(c);
        if (!trouble.empty()) return trouble;
        ++at_;
      }
    }
    return {};
  }

  [[nodiscard]] std::size_t at() const { return at_; }

private:
  std::string count(char c) {
    if (c == '.') {
      if (++dots_ > limits::nesting) return fmt::format("at most {} dots in a key", limits::nesting);
      return {};
    }
    if (c == '[' || c == '{') ++depth_;
    if ((c == ']' || c == '}') && depth_ > 0) --depth_;
    if (c == '=' || c == ',' || c == '[') ++values_; // and headers
    if (c == '[' || c == '{' || c == ']' || c == '}' || c == '=' || c == ',' || c == '\n') dots_ = 0;
    if (depth_ > limits::nesting) return fmt::format("at most {} brackets in brackets", limits::nesting);
    if (values_ > limits::values) return fmt::format("at most {} values", limits::values);
    return {};
  }

  void skip_line() {
    const std::size_t end = text_.find('\n', at_);
    at_ = end == std::string_view::npos ? text_.size() : end;
  }

  void skip_string(char quote) {
    const bool many_lines = text_.substr(at_, 3) == std::string(3, quote);
    at_ += many_lines ? 3 : 1;
    while (at_ < text_.size()) {
      if (quote == '"' && text_[at_] == '\\') {
        at_ += 2;
        continue;
      }
      if (!many_lines && text_[at_] == '\n') return; // the parser stops here
      if (text_[at_] == quote && (!many_lines || text_.substr(at_, 3) == std::string(3, quote))) {
        at_ += many_lines ? 3 : 1;
        // Up to two quotes before the closing three belong to the text.
        for (int extra = 0; many_lines && extra < 2 && at_ < text_.size() && text_[at_] == quote; ++extra) ++at_;
        return;
      }
      ++at_;
    }
    at_ = text_.size();
  }

  std::string_view text_;
  std::size_t at_ = 0;
  int depth_ = 0;
  int dots_ = 0;
  std::size_t values_ = 0;
};

} // namespace

std::optional<Problem> scan_toml(std::string_view text, const std::string& file) {
  Scan scan(text);
  const std::string allowed = scan.run();
  if (allowed.empty()) return std::nullopt;
  Problem problem;
  problem.file = file;
  problem.line = 1;
  problem.column = 1;
  for (const char c : text.substr(0, scan.at())) {
    if ((static_cast<unsigned char>(c) & 0xC0u) == 0x80u) continue;
    problem.column = c == '\n' ? 1 : problem.column + 1;
    if (c == '\n') ++problem.line;
  }
  problem.found = "more";
  problem.allowed = allowed;
  return problem;
}

} // namespace phasewright
