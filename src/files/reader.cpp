#include "files/reader.hpp"

#include "files/limits.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

std::string to_words(const Range& range) {
  return fmt::format("{} to {}{}{}", range.least, range.most, *range.unit == '\0' ? "" : " ", range.unit);
}

namespace {

std::string prose_words() {
  return fmt::format("1 to {} characters in quotes, or in triple quotes over several lines", limits::prose_bytes);
}

} // namespace

std::string count_words(std::size_t least, std::size_t most, const char* what) {
  if (least == 0) return fmt::format("at most {} {}", most, what);
  return fmt::format("{} to {} {}", least, most, what);
}

void Report::add(std::string key, std::string found, std::string allowed, std::string advice) {
  Problem problem;
  problem.key = std::move(key);
  problem.found = std::move(found);
  problem.allowed = std::move(allowed);
  problem.advice = std::move(advice);
  problems_.push_back(std::move(problem));
}

bool Report::sound(const std::string& key) const {
  const auto inside = [](const std::string& inner, const std::string& outer) {
    return inner.starts_with(outer) &&
           (inner.size() == outer.size() || inner[outer.size()] == '.' || inner[outer.size()] == '[');
  };
  return std::none_of(problems_.begin(), problems_.end(),
                      [&](const Problem& p) { return inside(p.key, key) || inside(key, p.key); });
}

const Node* Reader::look(std::string_view key) {
  if (std::find(known_.begin(), known_.end(), key) == known_.end()) known_.emplace_back(key);
  return table_ == nullptr ? nullptr : find(*table_, key);
}

const Node* Reader::look_array(std::string_view key, std::size_t most, const char* what) {
  const Node* node = look(key);
  if (node == nullptr) return nullptr;
  if (node->kind != Node::Kind::array) {
    report_->add(path(key), "", fmt::format("a list of {}", what));
    return nullptr;
  }
  if (node->items.size() > most) {
    report_->add(path(key), fmt::format("{}", node->items.size()), count_words(0, most, what));
    return nullptr;
  }
  return node;
}

std::vector<std::string> Reader::keys() const {
  std::vector<std::string> keys;
  if (table_ == nullptr) return keys;
  for (const Entry& entry : table_->entries) keys.push_back(entry.key);
  return keys;
}

void Reader::missing(std::string_view key, std::string allowed) {
  if (table_ != nullptr) report_->add(path(key), "nothing", std::move(allowed));
}

double Reader::number_of(const Node& node, const std::string& key, Range range, double otherwise) {
  const bool figure = node.kind == Node::Kind::real || node.kind == Node::Kind::integer;
  if (figure && node.real >= range.least && node.real <= range.most) return node.real; // false for NaN
  const bool quoted = node.kind == Node::Kind::text && node.text.find_first_of("0123456789") == 0;
  report_->add(key, "", to_words(range), quoted ? "write the figure without quotes" : "");
  return otherwise;
}

int Reader::whole_of(const Node& node, const std::string& key, int least, int most, int otherwise) {
  if (node.kind == Node::Kind::integer && node.integer >= least && node.integer <= most)
    return static_cast<int>(node.integer);
  report_->add(key, "", fmt::format("a whole number {} to {}", least, most));
  return otherwise;
}

std::array<double, 2> Reader::pair_of(const Node& node, const std::string& key, Range range) {
  if (node.kind != Node::Kind::array || node.items.size() != 2) {
    report_->add(key, "", fmt::format("two figures, {}", to_words(range)));
    return {range.least, range.least};
  }
  return {number_of(node.items[0], join_index(key, 0), range, range.least),
          number_of(node.items[1], join_index(key, 1), range, range.least)};
}

double Reader::number(std::string_view key, Range range, std::optional<double> otherwise) {
  const Node* node = look(key);
  if (node != nullptr) return number_of(*node, path(key), range, otherwise.value_or(range.least));
  if (!otherwise) missing(key, to_words(range));
  return otherwise.value_or(range.least);
}

int Reader::whole(std::string_view key, int least, int most, std::optional<int> otherwise) {
  const Node* node = look(key);
  if (node != nullptr) return whole_of(*node, path(key), least, most, otherwise.value_or(least));
  if (!otherwise) missing(key, fmt::format("a whole number {} to {}", least, most));
  return otherwise.value_or(least);
}

bool Reader::truth(std::string_view key, bool otherwise) {
  const Node* node = look(key);
  if (node == nullptr) return otherwise;
  if (node->kind == Node::Kind::boolean) return node->boolean;
  report_->add(path(key), "", "true or false");
  return otherwise;
}

std::string Reader::text(std::string_view key, std::optional<std::string> otherwise) {
  const Node* node = look(key);
  const std::string allowed = fmt::format("1 to {} characters in quotes, on one line", limits::text_bytes);
  if (node == nullptr) {
    if (!otherwise) missing(key, allowed);
    return otherwise.value_or("");
  }
  const bool control = std::any_of(node->text.begin(), node->text.end(),
                                   [](char c) { return static_cast<unsigned char>(c) < 0x20u || c == 0x7F; });
  const bool blank = node->text.find_first_not_of(' ') == std::string::npos;
  if (node->kind == Node::Kind::text && node->text.size() <= limits::text_bytes && !control && (!blank || otherwise))
    return node->text;
  report_->add(path(key), "", allowed);
  return otherwise.value_or("");
}

std::string Reader::prose_of(const Node& node, const std::string& key) {
  std::string joined;
  bool blank = true; // what stands before it: no two blanks, none at either end
  bool control = false;
  for (const char c : node.text) {
    const bool space = c == ' ' || c == '\n' || c == '\r';
    control = control || (!space && (static_cast<unsigned char>(c) < 0x20u || c == 0x7F));
    if (!space || !blank) joined += space ? ' ' : c;
    blank = space;
  }
  if (!joined.empty() && blank) joined.pop_back();
  if (node.kind == Node::Kind::text && !joined.empty() && joined.size() <= limits::prose_bytes && !control)
    return joined;
  report_->add(key, "", prose_words());
  return {};
}

std::string Reader::prose(std::string_view key, std::optional<std::string> otherwise) {
  if (const Node* node = look(key)) return prose_of(*node, path(key));
  if (!otherwise) missing(key, prose_words());
  return otherwise.value_or("");
}

std::vector<std::string> Reader::proses(std::string_view key, std::size_t most, const char* what) {
  std::vector<std::string> values;
  if (const Node* node = look_array(key, most, what))
    for (std::size_t i = 0; i < node->items.size(); ++i)
      values.push_back(prose_of(node->items[i], join_index(path(key), i)));
  return values;
}

std::array<double, 2> Reader::pair(std::string_view key, Range range, std::optional<std::array<double, 2>> otherwise) {
  const Node* node = look(key);
  if (node != nullptr) return pair_of(*node, path(key), range);
  if (!otherwise) missing(key, fmt::format("two figures, {}", to_words(range)));
  return otherwise.value_or(std::array<double, 2>{range.least, range.least});
}

std::vector<double> Reader::numbers(std::string_view key, Range range, std::size_t most) {
  std::vector<double> values;
  if (const Node* node = look_array(key, most, "figures"))
    for (std::size_t i = 0; i < node->items.size(); ++i)
      values.push_back(number_of(node->items[i], join_index(path(key), i), range, range.least));
  return values;
}

std::vector<int> Reader::wholes(std::string_view key, int least, int most, std::size_t count_most) {
  std::vector<int> values;
  if (const Node* node = look_array(key, count_most, "whole numbers"))
    for (std::size_t i = 0; i < node->items.size(); ++i)
      values.push_back(whole_of(node->items[i], join_index(path(key), i), least, most, least));
  return values;
}

std::vector<std::array<double, 2>> Reader::pairs(std::string_view key, Range range, std::size_t most) {
  std::vector<std::array<double, 2>> values;
  if (const Node* node = look_array(key, most, "pairs of figures"))
    for (std::size_t i = 0; i < node->items.size(); ++i)
      values.push_back(pair_of(node->items[i], join_index(path(key), i), range));
  return values;
}

std::array<std::string, 2> Reader::names(std::string_view key) {
  const Node* node = look(key);
  constexpr const char* allowed = "two names, [\"from\", \"to\"]";
  if (node == nullptr) {
    missing(key, allowed);
  } else if (node->kind == Node::Kind::array && node->items.size() == 2 && node->items[0].kind == Node::Kind::text &&
             node->items[1].kind == Node::Kind::text) {
    return {node->items[0].text, node->items[1].text};
  } else {
    report_->add(path(key), "", allowed);
  }
  return {};
}

bool Reader::is_table(std::string_view key) {
  const Node* node = look(key);
  return node != nullptr && node->kind == Node::Kind::table;
}

Reader Reader::table(std::string_view key, Need need) {
  const Node* node = look(key);
  if (node == nullptr) {
    if (need == Need::required) missing(key, "a table");
  } else if (node->kind != Node::Kind::table) {
    report_->add(path(key), "", "a table");
    node = nullptr;
  }
  return {*report_, node, path(key)};
}

std::vector<Reader> Reader::tables(std::string_view key, std::size_t least, std::size_t most, const char* what) {
  std::vector<Reader> readers;
  const Node* node = look(key);
  if (node == nullptr) {
    if (least > 0) missing(key, count_words(least, most, what));
    return readers;
  }
  if (node->kind != Node::Kind::array || node->items.size() < least || node->items.size() > most) {
    const bool list = node->kind == Node::Kind::array;
    report_->add(path(key), list ? fmt::format("{}", node->items.size()) : "", count_words(least, most, what),
                 list ? "" : fmt::format("write [[{}]] for each", path(key)));
    if (!list || node->items.size() > most) return readers;
  }
  for (std::size_t i = 0; i < node->items.size(); ++i) {
    const bool table = node->items[i].kind == Node::Kind::table;
    if (!table) report_->add(join_index(path(key), i), "", "a table");
    readers.emplace_back(*report_, table ? &node->items[i] : nullptr, join_index(path(key), i));
  }
  return readers;
}

void Reader::finish() {
  if (table_ == nullptr) return;
  for (const Entry& entry : table_->entries) {
    if (std::find(known_.begin(), known_.end(), entry.key) != known_.end()) continue;
    // A file with hundreds of faults is not helped by a guess at each of them.
    const bool many = report_->problems().size() > limits::problems;
    const std::string near = many ? "" : nearest_word(entry.key, known_);
    std::string allowed;
    for (const std::string& known : known_) allowed += (allowed.empty() ? "" : ", ") + known;
    Problem problem;
    problem.key = path(entry.key);
    problem.line = entry.place.line; // that of the key; locate() would give that of the value
    problem.column = entry.place.column;
    problem.found = "an unknown key";
    if (near.empty()) {
      problem.allowed = allowed;
    } else {
      problem.advice = "did you mean " + near + "?";
    }
    report_->problems().push_back(std::move(problem));
  }
}

} // namespace phasewright
