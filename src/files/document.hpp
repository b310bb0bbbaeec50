// A TOML document as a plain tree, every value with its place. The only TOML parser is behind parse_document, in one
// translation unit.
#pragma once

#include "files/source_map.hpp"
#include "parts/problem.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace phasewright {

struct Place {
  int line = 0;           // 1-based; 0 = not known
  int column = 0;         // 1-based, in code points
  std::size_t offset = 0; // in bytes
};

struct Entry;

struct Node {
  enum class Kind { boolean, integer, real, text, date, array, table };
  Kind kind = Kind::table;
  bool boolean = false;
  std::int64_t integer = 0;
  double real = 0;               // also set for an integer
  std::string text;              // of Kind::text
  std::vector<Node> items;       // of Kind::array
  std::vector<Entry> entries;    // of Kind::table, in the order they stand in the file
  Place begin;                   // of the value, or of its [header]
  Place end;                     // one past its last character
  std::string raw;               // as it stands, shortened; empty for what has a [header]
  bool written_in_place = false; // a value after "="; false for what [headers] and dotted keys make
  bool from_override = false;
};

struct Entry {
  std::string key;
  Place place;
  Node value;
};

// Problems: not TOML (the first fault only: what follows it cannot be told), nested too deep, too many values.
[[nodiscard]] Result<Node> parse_document(std::string_view text, const std::string& file);

// One TOML value, such as the right side of an override. Nothing when it is not one.
[[nodiscard]] std::optional<Node> parse_value(std::string_view text);

[[nodiscard]] const Node* find(const Node& table, std::string_view key);
[[nodiscard]] Node* find(Node& table, std::string_view key);

// Every key of the document and its place. The first spot of a key stands when `into` has it already.
void map_sources(const Node& root, const std::string& file, SourceMap& into);

// Cuts to at most `most` bytes at a whole code point, with "..." when cut; control characters become '?'.
[[nodiscard]] std::string shorten(std::string_view text, std::size_t most = 60);

} // namespace phasewright
