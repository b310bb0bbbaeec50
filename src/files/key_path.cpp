#include "files/key_path.hpp"

#include <algorithm>
#include <charconv>

namespace phasewright {

namespace {

bool is_bare(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '-';
}

// Reads "[12]" at the front of `text` and takes it off.
std::optional<std::size_t> take_index(std::string_view& text) {
  const std::size_t close = text.find(']');
  if (close == std::string_view::npos) return std::nullopt;
  std::size_t number = 0;
  const auto [end, error] = std::from_chars(text.data() + 1, text.data() + close, number);
  if (error != std::errc{} || end != text.data() + close || number < 1) return std::nullopt;
  text.remove_prefix(close + 1);
  return number - 1;
}

std::optional<std::string> take_name(std::string_view& text) {
  std::string name;
  if (text.front() == '"') {
    const std::size_t close = text.find('"', 1);
    if (close == std::string_view::npos) return std::nullopt;
    name = text.substr(1, close - 1);
    text.remove_prefix(close + 1);
  } else {
    const auto end = std::find_if_not(text.begin(), text.end(), is_bare);
    name.assign(text.begin(), end);
    text.remove_prefix(name.size());
  }
  if (name.empty()) return std::nullopt;
  return name;
}

} // namespace

std::string join_key(const std::string& path, std::string_view key) {
  std::string joined = path.empty() ? "" : path + ".";
  if (!key.empty() && std::all_of(key.begin(), key.end(), is_bare)) return joined.append(key);
  return joined.append(1, '"').append(key).append(1, '"');
}

std::string join_index(const std::string& path, std::size_t index) {
  return path + "[" + std::to_string(index + 1) + "]";
}

std::optional<std::vector<KeyPart>> split_key(std::string_view text) {
  std::vector<KeyPart> parts;
  while (true) {
    if (text.empty()) return std::nullopt;
    const auto name = take_name(text);
    if (!name) return std::nullopt;
    parts.push_back({*name, std::nullopt});
    while (!text.empty() && text.front() == '[') {
      const auto index = take_index(text);
      if (!index) return std::nullopt;
      parts.push_back({"", index});
    }
    if (text.empty()) return parts;
    if (text.front() != '.') return std::nullopt;
    text.remove_prefix(1);
  }
}

std::string nearest_word(std::string_view word, const std::vector<std::string>& known) {
  word = word.substr(0, 100);
  std::string nearest;
  std::size_t least = std::max<std::size_t>(1, word.size() / 3) + 1;
  for (const std::string& other : known) {
    // Three rows of the distance table: two letters changed about count as one fault.
    std::vector<std::size_t> before(other.size() + 1), above(other.size() + 1), row(other.size() + 1);
    for (std::size_t j = 0; j <= other.size(); ++j) above[j] = j;
    for (std::size_t i = 1; i <= word.size(); ++i) {
      row[0] = i;
      for (std::size_t j = 1; j <= other.size(); ++j) {
        const std::size_t change = word[i - 1] == other[j - 1] ? 0 : 1;
        row[j] = std::min({above[j] + 1, row[j - 1] + 1, above[j - 1] + change});
        if (i > 1 && j > 1 && word[i - 1] == other[j - 2] && word[i - 2] == other[j - 1])
          row[j] = std::min(row[j], before[j - 2] + 1);
      }
      std::swap(before, above);
      std::swap(above, row);
    }
    if (above.back() < least) {
      least = above.back();
      nearest = other;
    }
  }
  return nearest;
}

} // namespace phasewright
