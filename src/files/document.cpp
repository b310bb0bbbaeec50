#include "files/document.hpp"

#include "files/key_path.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace phasewright {

namespace {

std::string found_text(const Node& node) {
  if (!node.raw.empty()) return node.raw;
  if (node.kind == Node::Kind::array) return fmt::format("a list of {}", node.items.size());
  return "a table";
}

void map_node(const Node& node, const std::string& path, const std::string& file, SourceMap& into) {
  const bool set = node.from_override;
  into.spots.try_emplace(path, Spot{set ? "--set" : file, set ? 0 : node.begin.line, set ? 0 : node.begin.column,
                                    path.empty() ? "" : found_text(node)});
  for (std::size_t i = 0; i < node.items.size(); ++i) map_node(node.items[i], join_index(path, i), file, into);
  for (const Entry& entry : node.entries) map_node(entry.value, join_key(path, entry.key), file, into);
}

bool is_quoted(const std::string& text, const std::string& name) {
  return text == fmt::format("\"{}\"", name) || text == fmt::format("'{}'", name);
}

// The path of the table in list `path` that goes by `name`, or of its only one; empty when there is neither.
std::string find_in_list(const SourceMap& sources, const std::string& path, const std::string& name) {
  const std::string first = join_index(path, 0);
  if (!sources.spots.contains(first)) return {};
  for (std::size_t i = 0; sources.spots.contains(join_index(path, i)); ++i) {
    const auto spot = sources.spots.find(join_key(join_index(path, i), "name"));
    if (spot != sources.spots.end() && is_quoted(spot->second.found, name)) return join_index(path, i);
  }
  if (sources.spots.contains(join_index(path, 1))) return {};
  const std::string inside = join_key(first, name);
  return sources.spots.contains(inside) ? inside : std::string{};
}

// The nearest key of the map on the way to `key`, and whether it is the whole of it.
std::pair<std::string, bool> nearest_key(const std::string& key, const SourceMap& sources) {
  if (sources.spots.contains(key)) return {key, true};
  const auto parts = split_key(key);
  if (!parts) return {"", false};
  std::string at;
  for (const KeyPart& part : *parts) {
    std::string next = part.index ? join_index(at, *part.index) : join_key(at, part.name);
    if (!sources.spots.contains(next)) {
      if (part.index) return {at, false};
      next = find_in_list(sources, at, part.name);
      if (next.empty()) return {at, false};
    }
    at = next;
  }
  return {at, true};
}

} // namespace

const Node* find(const Node& table, std::string_view key) {
  const auto entry =
      std::find_if(table.entries.begin(), table.entries.end(), [key](const Entry& e) { return e.key == key; });
  return entry == table.entries.end() ? nullptr : &entry->value;
}

Node* find(Node& table, std::string_view key) {
  const auto entry =
      std::find_if(table.entries.begin(), table.entries.end(), [key](const Entry& e) { return e.key == key; });
  return entry == table.entries.end() ? nullptr : &entry->value;
}

void map_sources(const Node& root, const std::string& file, SourceMap& into) {
  map_node(root, "", file, into);
}

void locate(Problems& problems, const SourceMap& sources) {
  for (Problem& problem : problems) {
    if (!problem.file.empty() || problem.key.empty()) continue;
    const auto [key, whole] = nearest_key(problem.key, sources);
    const auto spot = sources.spots.find(key);
    if (spot == sources.spots.end()) continue;
    problem.file = spot->second.file;
    if (problem.line == 0) {
      problem.line = spot->second.line;
      problem.column = spot->second.column;
    }
    if (whole && problem.found.empty()) problem.found = spot->second.found;
  }
}

std::string shorten(std::string_view text, std::size_t most) {
  std::string short_text(text.substr(0, most));
  if (text.size() > most) {
    while (!short_text.empty() && (static_cast<unsigned char>(text[short_text.size()]) & 0xC0u) == 0x80u)
      short_text.pop_back();
    short_text += "...";
  }
  for (char& c : short_text)
    if (static_cast<unsigned char>(c) < 0x20u || c == 0x7F) c = '?';
  return short_text;
}

} // namespace phasewright
