#include "files/override.hpp"

#include "files/build_reader.hpp"
#include "files/engine_reader.hpp"
#include "files/key_path.hpp"
#include "files/limits.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace phasewright {

namespace {

Problem trouble(const std::string& text, std::string advice) {
  Problem problem;
  problem.file = "--set";
  problem.key = shorten(text, limits::text_bytes);
  problem.advice = std::move(advice);
  return problem;
}

void mark_overridden(Node& node) {
  node.from_override = true;
  node.begin = node.end = Place{};
  for (Node& item : node.items) mark_overridden(item);
  for (Entry& entry : node.entries) {
    entry.place = Place{};
    mark_overridden(entry.value);
  }
}

// A TOML value; else, when it can be one, a word without its quotes.
std::optional<Node> value_of(const std::string& text) {
  const bool control =
      std::any_of(text.begin(), text.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20u; });
  if (control || text.empty()) return std::nullopt;
  auto node = parse_value(text);
  const bool wordlike = text.find_first_of("\"'[]{}=#") == std::string::npos;
  if (!node && wordlike) {
    node.emplace();
    node->kind = Node::Kind::text;
    node->text = text;
    node->raw = '"' + shorten(text) + '"';
  }
  if (node) mark_overridden(*node);
  return node;
}

// The table of the list that goes by `name`, or its only one.
Node* find_in_list(Node& list, const std::string& name) {
  for (Node& item : list.items) {
    const Node* own = find(item, "name");
    if (own != nullptr && own->text == name) return &item;
  }
  return nullptr;
}

Node& entry_of(Node& table, const std::string& key) {
  if (Node* value = find(table, key)) return *value;
  Node fresh;
  fresh.from_override = true;
  table.entries.push_back({key, Place{}, std::move(fresh)});
  return table.entries.back().value;
}

// One part down. Null when the list has no such item. What stands in the way of a table is replaced by one.
Node* step(Node& at, const KeyPart& part) {
  if (part.index) {
    if (at.kind != Node::Kind::array) {
      at = Node{};
      at.kind = Node::Kind::array;
      at.from_override = true;
    }
    if (*part.index > at.items.size()) return nullptr;
    if (*part.index == at.items.size()) {
      at.items.emplace_back();
      at.items.back().from_override = true;
    }
    return &at.items[*part.index];
  }
  if (at.kind == Node::Kind::array) {
    if (Node* named = find_in_list(at, part.name)) return named;
    if (at.items.size() != 1) return nullptr;
    return &entry_of(at.items.front(), part.name);
  }
  if (at.kind != Node::Kind::table) {
    at = Node{};
    at.from_override = true;
  }
  return &entry_of(at, part.name);
}

// The three ways to state the target put each other out.
void clear_other_targets(Node& root, const std::vector<KeyPart>& parts) {
  if (parts.size() < 2 || parts[0].name != "target") return;
  constexpr std::array<const char*, 3> aims{"inlet_centre_deg", "phase_deg", "event"};
  const auto is_aim = [&](const std::string& key) { return std::find(aims.begin(), aims.end(), key) != aims.end(); };
  Node* target = find(root, "target");
  if (target == nullptr || !is_aim(parts[1].name)) return;
  std::erase_if(target->entries, [&](const Entry& entry) {
    return is_aim(entry.key) && entry.key != parts[1].name && !entry.value.from_override;
  });
}

// The figure for every camshaft goes on holding for the others when one of them is set.
void keep_for_others(Node& root, const std::vector<KeyPart>& parts) {
  const bool by_camshaft =
      parts.size() == 3 && parts[0].name == "fitted" && (parts[1].name == "lay" || parts[1].name == "cam_key_deg");
  Node* fitted = by_camshaft ? find(root, "fitted") : nullptr;
  Node* figure = fitted == nullptr ? nullptr : find(*fitted, parts[1].name);
  if (figure == nullptr || figure->real == 0) return;
  Node table;
  table.from_override = true;
  table.entries.push_back({others_key, figure->begin, std::move(*figure)});
  *figure = std::move(table);
}

void apply(Node& root, const std::string& text, const std::vector<KeyPart>& parts, Node value, Problems& problems) {
  clear_other_targets(root, parts);
  keep_for_others(root, parts);
  Node* at = &root;
  std::string path;
  for (const KeyPart& part : parts) {
    const std::size_t count = at->items.size();
    Node* next = step(*at, part);
    if (next == nullptr) {
      problems.push_back(trouble(text, part.index ? fmt::format("{} has {} entries", path, count)
                                                  : fmt::format("{} has none called \"{}\"", path, part.name)));
      return;
    }
    path = part.index ? join_index(path, *part.index) : join_key(path, part.name);
    at = next;
  }
  *at = std::move(value);
}

enum class Owner { build, engine, nobody };

Owner owner_of(const std::string& key) {
  const auto is_key = [&key](const char* known) { return key == known; };
  if (key == "format") return Owner::nobody;
  if (std::any_of(build_keys.begin(), build_keys.end(), is_key)) return Owner::build;
  if (std::any_of(engine_keys.begin(), engine_keys.end(), is_key)) return Owner::engine;
  return Owner::nobody;
}

std::string unknown_words(const std::string& key) {
  if (key == "format") return "the format cannot be set";
  std::vector<std::string> known(build_keys.begin() + 1, build_keys.end());
  known.insert(known.end(), engine_keys.begin() + 1, engine_keys.end());
  const std::string near = nearest_word(key, known);
  return near.empty() ? "neither an engine nor a build has such a key" : "did you mean " + near + "?";
}

// The first "=" outside quotes; npos without one.
std::size_t find_equals(const std::string& text) {
  bool quoted = false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '"') quoted = !quoted;
    if (text[i] == '=' && !quoted) return i;
  }
  return std::string::npos;
}

std::string without_blanks(const std::string& text) {
  const std::size_t first = text.find_first_not_of(' ');
  if (first == std::string::npos) return {};
  return text.substr(first, text.find_last_not_of(' ') - first + 1);
}

} // namespace

void apply_overrides(const Overrides& overrides, Node* build_root, Node* engine_root, Problems& problems) {
  for (const std::string& text : overrides) {
    const std::size_t equals = find_equals(text);
    const auto parts = equals == std::string::npos ? std::nullopt : split_key(without_blanks(text.substr(0, equals)));
    const bool sized = text.size() <= limits::override_bytes && (!parts || parts->size() <= 2u * limits::nesting);
    const Owner owner = parts ? owner_of(parts->front().name) : Owner::nobody;
    // With the engine's document only, faults that belong to no document have been reported before.
    if (build_root == nullptr && owner != Owner::engine) continue;
    if (engine_root == nullptr && owner == Owner::engine) continue;
    if (!parts || !sized) {
      problems.push_back(trouble(text, "write KEY=VALUE, such as fitted.lay=1"));
      continue;
    }
    if (owner == Owner::nobody) {
      problems.push_back(trouble(text, unknown_words(parts->front().name)));
      continue;
    }
    auto value = value_of(without_blanks(text.substr(equals + 1)));
    if (!value) {
      problems.push_back(trouble(text, "the value is neither a TOML value nor a word"));
      continue;
    }
    apply(owner == Owner::build ? *build_root : *engine_root, text, *parts, std::move(*value), problems);
  }
}

} // namespace phasewright
