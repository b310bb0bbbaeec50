// Changing values in the text of a build file and nothing else.
#include "files/build_reader.hpp"
#include "files/build_text.hpp"
#include "files/files.hpp"
#include "files/limits.hpp"
#include "files/text_file.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>

namespace phasewright {

namespace {

// A change of one build value; `value` empty = the key goes.
struct Change {
  std::string table;
  std::string key;
  std::string value;
};

// Where a value and all that is in it ends.
std::size_t end_of(const Node& node) {
  std::size_t end = node.end.offset;
  for (const Node& item : node.items) end = std::max(end, end_of(item));
  for (const Entry& entry : node.entries) end = std::max(end, end_of(entry.value));
  return end;
}

class Editor {
public:
  Editor(std::string_view text, const Node& root)
      : text_(text), root_(root), newline_(text.find("\r\n") == std::string_view::npos ? "\n" : "\r\n") {}

  void change(const std::string& table, const std::vector<Change>& changes) {
    const Node* parent = table.empty() ? &root_ : find(root_, table);
    if (parent != nullptr && parent->written_in_place) {
      replace_inline_table(*parent, changes);
      return;
    }
    for (const Change& change : changes) {
      const Entry* entry = parent == nullptr ? nullptr : find_entry(*parent, change.key);
      if (entry != nullptr && entry->value.written_in_place && !change.value.empty()) {
        replace(entry->value.begin.offset, entry->value.end.offset, change.value);
        continue;
      }
      if (entry != nullptr) remove_lines(entry->value, entry->place.offset);
      if (!change.value.empty()) insert(parent, change);
    }
  }

  // Sets of readings that were put by: those that are new come after the last, which is the end of the file unless they
  // stand in one value; where an old one was changed, all are written anew.
  void change_history(const Build& old, const Build& build) {
    const std::string before = history_text(old, 0);
    const std::string after = history_text(build, 0);
    if (before == after) return;
    const bool grown = after.compare(0, before.size(), before) == 0 && build.history.size() > old.history.size();
    const Entry* entry = find_entry(root_, "history");
    if (grown && entry != nullptr && entry->value.written_in_place && !entry->value.items.empty()) {
      std::string sets;
      for (std::size_t i = old.history.size(); i < build.history.size(); ++i)
        sets += ",\n  " + history_value(build.history[i]);
      const std::size_t end = end_of(entry->value.items.back());
      replace(end, end, with_newlines(sets));
      return;
    }
    const bool goes = entry != nullptr && (!grown || entry->value.written_in_place);
    if (goes) remove_lines(entry->value, entry->place.offset);
    history_ = with_newlines(history_text(build, grown ? old.history.size() : 0));
  }

  [[nodiscard]] std::string result() {
    // From the back, so that the places before stay right. What is put in where something is taken out comes before it;
    // of two put in at one place the first asked for comes first.
    std::stable_sort(edits_.begin(), edits_.end(),
                     [](const Edit& a, const Edit& b) { return std::pair(a.from, a.to) < std::pair(b.from, b.to); });
    std::string text(text_);
    for (auto edit = edits_.rbegin(); edit != edits_.rend(); ++edit)
      text.replace(edit->from, edit->to - edit->from, edit->with);
    std::string tables;
    for (const auto& [table, lines] : new_tables_) tables += newline_ + "[" + table + "]" + newline_ + lines;
    tables += history_;
    if (!tables.empty() && !text.empty() && text.back() != '\n') text += newline_;
    return text + tables;
  }

private:
  struct Edit {
    std::size_t from;
    std::size_t to;
    std::string with;
  };

  static const Entry* find_entry(const Node& table, const std::string& key) {
    const auto entry =
        std::find_if(table.entries.begin(), table.entries.end(), [&key](const Entry& e) { return e.key == key; });
    return entry == table.entries.end() ? nullptr : &*entry;
  }

  void replace(std::size_t from, std::size_t to, std::string with) { edits_.push_back({from, to, std::move(with)}); }

  [[nodiscard]] std::string with_newlines(const std::string& lines) const {
    if (newline_ == "\n") return lines;
    std::string changed;
    for (const char c : lines) changed += c == '\n' ? newline_ : std::string(1, c);
    return changed;
  }

  [[nodiscard]] std::size_t line_start(std::size_t at) const {
    const std::size_t before = at == 0 ? std::string_view::npos : text_.rfind('\n', at - 1);
    return before == std::string_view::npos ? 0 : before + 1;
  }

  // One past the end of the line.
  [[nodiscard]] std::size_t line_end(std::size_t at) const {
    const std::size_t end = text_.find('\n', at);
    return end == std::string_view::npos ? text_.size() : end + 1;
  }

  [[nodiscard]] bool is_header(const Node& node) const {
    return !node.written_in_place && node.begin.offset < text_.size() && text_[node.begin.offset] == '[';
  }

  // A table has its own [header], rather than only [headers] of what is in it.
  [[nodiscard]] bool has_own_header(const Node& node, const std::string& name) const {
    if (!is_header(node)) return false;
    const std::string_view header = text_.substr(node.begin.offset + 1);
    std::string inside;
    for (const char c : header.substr(0, header.find(']')))
      if (c != ' ' && c != '\t' && c != '"' && c != '\'') inside += c;
    return inside == name;
  }

  // Takes the lines of a value away. A comment at the end of a line stays, on a line of its own.
  void remove_lines(const Node& node, std::size_t key_offset) {
    if (node.written_in_place) {
      remove_line(key_offset, node.end.offset);
      return;
    }
    if (is_header(node) && node.kind == Node::Kind::table) remove_line(node.begin.offset, node.end.offset);
    for (const Node& item : node.items) remove_lines(item, item.begin.offset);
    for (const Entry& entry : node.entries) remove_lines(entry.value, entry.place.offset);
  }

  void remove_line(std::size_t from, std::size_t value_end) {
    const std::size_t start = line_start(from);
    const std::size_t end = line_end(value_end);
    const std::string_view rest = text_.substr(value_end, end - value_end);
    const std::size_t comment = rest.find('#');
    if (comment == std::string_view::npos) {
      replace(start, end, "");
    } else {
      replace(start + indent_of(from).size(), value_end + comment, "");
    }
  }

  // `parent` null: the table is not there yet.
  void insert(const Node* parent, const Change& change) {
    const std::string line = with_newlines(fmt::format("{} = {}\n", change.key, change.value));
    const bool is_root = change.table.empty();
    if (parent == nullptr || (!is_root && is_header(*parent) && !has_own_header(*parent, change.table))) {
      add_to_new_table(change.table, line);
      return;
    }
    // After the last of its values that stand under its own header.
    const Entry* last = nullptr;
    std::size_t end = 0;
    for (const Entry& entry : parent->entries) {
      if (is_header(entry.value) || (entry.value.kind == Node::Kind::array && !entry.value.written_in_place)) continue;
      if (end_of(entry.value) < end) continue;
      last = &entry;
      end = end_of(entry.value);
    }
    const bool dotted = !is_root && !is_header(*parent);
    std::size_t at = 0;
    if (last != nullptr) {
      at = line_end(end);
    } else if (!is_root) {
      at = line_end(parent->end.offset);
    }
    const std::string indent = last != nullptr ? indent_of(last->place.offset) : "";
    const bool open_line = at > 0 && text_[at - 1] != '\n';
    replace(at, at, (open_line ? newline_ : "") + indent + (dotted ? change.table + "." : "") + line);
  }

  void add_to_new_table(const std::string& table, const std::string& line) {
    const auto known =
        std::find_if(new_tables_.begin(), new_tables_.end(), [&](const auto& t) { return t.first == table; });
    if (known == new_tables_.end()) {
      new_tables_.emplace_back(table, line);
    } else {
      known->second += line;
    }
  }

  [[nodiscard]] std::string indent_of(std::size_t at) const {
    const std::string_view before = text_.substr(line_start(at), at - line_start(at));
    return std::string(before.substr(0, before.find_first_not_of(" \t")));
  }

  // { ... } on one line is written anew, from what stays of it and what is new.
  void replace_inline_table(const Node& table, const std::vector<Change>& changes) {
    std::vector<std::pair<std::string, std::string>> parts;
    for (const Entry& entry : table.entries) {
      const std::size_t end = end_of(entry.value);
      const bool dotted = !entry.value.written_in_place;
      const std::size_t from = dotted ? entry.place.offset : entry.value.begin.offset;
      parts.emplace_back(entry.key, std::string(text_.substr(from, end - from)));
      if (!dotted) parts.back().second = entry.key + " = " + parts.back().second;
    }
    for (const Change& change : changes) {
      const auto known =
          std::find_if(parts.begin(), parts.end(), [&](const auto& part) { return part.first == change.key; });
      const std::string written = change.key + " = " + with_newlines(change.value);
      if (change.value.empty()) {
        if (known != parts.end()) parts.erase(known);
      } else if (known != parts.end()) {
        known->second = written;
      } else {
        parts.emplace_back(change.key, written);
      }
    }
    std::string text;
    for (const auto& [key, written] : parts) text += (text.empty() ? "{ " : ", ") + written;
    replace(table.begin.offset, table.end.offset, text.empty() ? "{}" : text + " }");
  }

  std::string_view text_;
  const Node& root_;
  std::string newline_;
  std::vector<Edit> edits_;
  std::vector<std::pair<std::string, std::string>> new_tables_;
  std::string history_;
};

struct ReadBuild {
  Node root;
  Build build;
};

// `engine`: what it must fit; null = not asked.
Result<ReadBuild> read_text_of_build(std::string_view text, const std::string& file, const Engine* engine = nullptr) {
  auto root = parse_document(text, file);
  if (!root) return root.problems();
  Report report;
  Build build = read_build(*root, true, report);
  if (engine != nullptr) check_build(build, *engine, report);
  if (report.empty()) return ReadBuild{std::move(*root), std::move(build)};
  SourceMap sources;
  map_sources(*root, file, sources);
  Problems problems = std::move(report.problems());
  locate(problems, sources);
  return problems;
}

bool same_values(const std::vector<BuildEntry>& a, const std::vector<BuildEntry>& b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                    [](const BuildEntry& x, const BuildEntry& y) { return x.key == y.key && x.value == y.value; });
}

// What is saved must be what was meant, whatever way the file is laid out, and must be read again: otherwise it is not
// saved at all.
std::optional<Problem> check_saved(const std::string& text, const std::string& file, const Build& build) {
  std::optional<Problem> problem = check_text(text, file, limits::document_bytes);
  if (!problem) {
    const auto check = read_text_of_build(text, file);
    if (check && same_values(build_entries(check->build), build_entries(build)) &&
        history_text(check->build, 0) == history_text(build, 0))
      return std::nullopt;
    if (!check && !check.problems().front().key.empty()) problem = check.problems().front();
  }
  if (problem) {
    problem->line = problem->column = 0; // of a text that is nowhere to be seen
    problem->advice = "nothing was saved";
    return problem;
  }
  problem = Problem{};
  problem->file = file;
  problem->advice = "the values cannot be changed in this layout; save under another name";
  return problem;
}

Result<std::string> edit_text(std::string_view text, const std::string& file, const Build& build) {
  const auto old = read_text_of_build(text, file);
  if (!old) return old.problems();
  const std::vector<BuildEntry> before = build_entries(old->build);
  const std::vector<BuildEntry> after = build_entries(build);
  std::vector<std::pair<std::string, std::vector<Change>>> by_table;
  for (std::size_t i = 0; i < after.size(); ++i) {
    if (before[i].value == after[i].value) continue;
    if (by_table.empty() || by_table.back().first != after[i].table) by_table.push_back({after[i].table, {}});
    by_table.back().second.push_back({after[i].table, after[i].key, after[i].value});
  }
  Editor editor(text, old->root);
  for (const auto& [table, changes] : by_table) editor.change(table, changes);
  editor.change_history(old->build, build);
  std::string edited = editor.result();
  if (std::optional<Problem> problem = check_saved(edited, file, build)) return *std::move(problem);
  return edited;
}

} // namespace

Result<Build> read_build_text(std::string_view text, const std::string& file, const Engine& engine) {
  auto read = read_text_of_build(text, file, &engine);
  if (!read) return read.problems();
  return std::move(read->build);
}

Result<std::string> edit_build_text(std::string_view text, const Build& build) {
  return edit_text(text, "build file", build);
}

std::optional<Problem> save_build(const std::filesystem::path& path, const Build& build) {
  const Folder folder{path.parent_path(), false};
  const std::string name = path.filename().string();
  if (!exists(folder, name)) {
    const std::string text = build_text(build);
    if (std::optional<Problem> problem = check_saved(text, path.string(), build)) return problem;
    return write_atomic(path, text);
  }
  const auto text = read_text(folder, name, limits::document_bytes);
  if (!text) return text.problems().front();
  const auto edited = edit_text(*text, path.string(), build);
  if (!edited) return edited.problems().front();
  if (*edited == *text) return std::nullopt;
  return write_atomic(path, *edited);
}

} // namespace phasewright
