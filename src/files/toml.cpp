// The one place that knows the TOML library.
#include "files/document.hpp"
#include "files/key_path.hpp"
#include "files/limits.hpp"
#include "files/toml_scan.hpp"

#include <toml++/toml.h>

#include <fmt/format.h>

#include <algorithm>

namespace phasewright {

namespace {

// From the library's line and column (in code points) to a byte of the text, at one look each.
class Offsets {
public:
  explicit Offsets(std::string_view text) : size_(text.size()) {
    lines_.push_back(0);
    for (std::size_t i = 0; i < text.size(); ++i) {
      if ((static_cast<unsigned char>(text[i]) & 0xC0u) == 0x80u) continue;
      points_.push_back(i);
      if (text[i] == '\n') lines_.push_back(points_.size());
    }
  }

  [[nodiscard]] Place place(const toml::source_position& position) const {
    if (position.line < 1 || position.line > lines_.size()) return {};
    const std::size_t point = lines_[position.line - 1] + std::max<std::size_t>(position.column, 1) - 1;
    return {static_cast<int>(position.line), static_cast<int>(position.column),
            point < points_.size() ? points_[point] : size_};
  }

private:
  std::size_t size_;
  std::vector<std::size_t> lines_;  // index into points_ of each line's first
  std::vector<std::size_t> points_; // byte of each code point
};

class Converter {
public:
  explicit Converter(std::string_view text) : text_(text), offsets_(text) {}

  Node convert(const toml::node& from, const std::string& path) {
    Node node;
    node.begin = offsets_.place(from.source().begin);
    node.end = offsets_.place(from.source().end);
    if (path.size() > limits::path_bytes && !too_long_) too_long_ = node.begin;
    if (too_long_) return node;
    if (const toml::table* table = from.as_table()) {
      convert_table(*table, path, node);
    } else if (const toml::array* array = from.as_array()) {
      node.kind = Node::Kind::array;
      node.written_in_place = !is_header_list(*array);
      for (const toml::node& item : *array) node.items.push_back(convert(item, join_index(path, node.items.size())));
    } else {
      convert_value(from, node);
    }
    if (node.written_in_place && node.end.offset > node.begin.offset) {
      const std::string_view raw = text_.substr(node.begin.offset, node.end.offset - node.begin.offset);
      if (raw.find('\n') == std::string_view::npos) node.raw = shorten(raw);
    }
    return node;
  }

  [[nodiscard]] std::optional<Place> too_long() const { return too_long_; }

private:
  void convert_table(const toml::table& table, const std::string& path, Node& node) {
    node.written_in_place = table.is_inline();
    for (const auto& [key, value] : table) {
      Entry entry;
      entry.key = std::string(key.str());
      entry.place = offsets_.place(key.source().begin);
      entry.value = convert(value, join_key(path, entry.key));
      node.entries.push_back(std::move(entry));
    }
    std::sort(node.entries.begin(), node.entries.end(),
              [](const Entry& a, const Entry& b) { return a.place.offset < b.place.offset; });
  }

  // [[name]] rather than name = [{...}].
  static bool is_header_list(const toml::array& list) {
    const toml::table* first = list.empty() ? nullptr : list.front().as_table();
    return first != nullptr && !first->is_inline();
  }

  static void convert_value(const toml::node& from, Node& node) {
    node.written_in_place = true;
    if (const auto* text = from.as_string()) {
      node.kind = Node::Kind::text;
      node.text = text->get();
    } else if (const auto* integer = from.as_integer()) {
      node.kind = Node::Kind::integer;
      node.integer = integer->get();
      node.real = static_cast<double>(node.integer);
    } else if (const auto* real = from.as_floating_point()) {
      node.kind = Node::Kind::real;
      node.real = real->get();
    } else if (const auto* boolean = from.as_boolean()) {
      node.kind = Node::Kind::boolean;
      node.boolean = boolean->get();
    } else {
      node.kind = Node::Kind::date;
    }
  }

  std::string_view text_;
  Offsets offsets_;
  std::optional<Place> too_long_;
};

Problem syntax_problem(const toml::parse_error& error, const std::string& file) {
  std::string words(error.description());
  constexpr std::string_view lead = "Error while parsing ";
  if (words.starts_with(lead)) words.erase(0, lead.size());
  Problem problem;
  problem.file = file;
  problem.line = static_cast<int>(error.source().begin.line);
  problem.column = static_cast<int>(error.source().begin.column);
  problem.advice = "not TOML: " + shorten(words, limits::text_bytes);
  return problem;
}

} // namespace

Result<Node> parse_document(std::string_view text, const std::string& file) {
  if (auto trouble = scan_toml(text, file)) return *trouble;
  try {
    const toml::table table = toml::parse(text);
    Converter converter(text);
    Node root = converter.convert(table, "");
    if (const auto place = converter.too_long()) {
      Problem problem;
      problem.file = file;
      problem.line = place->line;
      problem.column = place->column;
      problem.found = "a longer key";
      problem.allowed = fmt::format("at most {} characters in a key with all that stands above it", limits::path_bytes);
      return problem;
    }
    root.begin = {1, 1, 0};
    return root;
  } catch (const toml::parse_error& error) {
    return syntax_problem(error, file);
  }
}

std::optional<Node> parse_value(std::string_view text) {
  const std::string line = "value = " + std::string(text);
  if (scan_toml(line, "")) return std::nullopt;
  try {
    const toml::table table = toml::parse(line);
    if (table.size() != 1) return std::nullopt;
    Converter converter(line);
    Node root = converter.convert(table, "");
    if (converter.too_long()) return std::nullopt;
    return std::move(root.entries.front().value);
  } catch (const toml::parse_error&) {
    return std::nullopt;
  }
}

} // namespace phasewright
