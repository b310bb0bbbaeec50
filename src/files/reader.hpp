// Reads the values of one table with their types and ranges, and gathers every fault on the way.
#pragma once

#include "files/document.hpp"
#include "files/key_path.hpp"

#include <array>
#include <initializer_list>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace phasewright {

// Both ends belong to it. `unit` is empty for a plain figure.
struct Range {
  double least;
  double most;
  const char* unit;
};

[[nodiscard]] std::string to_words(const Range& range);                                       // "20 to 500 mm"
[[nodiscard]] std::string count_words(std::size_t least, std::size_t most, const char* what); // "2 to 8 sprockets"

// The faults of one file so far, by key; their places are filled in by locate() at the end.
class Report {
public:
  void add(std::string key, std::string found, std::string allowed, std::string advice = {});
  // No fault of this key, of what is in it or of what it is in.
  [[nodiscard]] bool sound(const std::string& key) const;
  [[nodiscard]] Problems& problems() { return problems_; }
  [[nodiscard]] bool empty() const { return problems_.empty(); }

private:
  Problems problems_;
};

// One table being read. A faulty or missing value is reported and some value in the range is returned in its place, so
// that reading goes on to the next fault. Without `otherwise` a value must be there. A reader of a table that is not
// there reports nothing more. Every key asked for is known; finish() reports the others.
class Reader {
public:
  Reader(Report& report, const Node* table, std::string path)
      : report_(&report), table_(table), path_(std::move(path)) {}

  [[nodiscard]] bool present() const { return table_ != nullptr; }
  [[nodiscard]] const std::string& path() const { return path_; }
  [[nodiscard]] std::string path(std::string_view key) const { return join_key(path_, key); }
  [[nodiscard]] bool has(std::string_view key) { return look(key) != nullptr; }
  [[nodiscard]] Report& report() const { return *report_; }
  [[nodiscard]] std::vector<std::string> keys() const; // those that stand in the table

  double number(std::string_view key, Range range, std::optional<double> otherwise = {});
  int whole(std::string_view key, int least, int most, std::optional<int> otherwise = {});
  bool truth(std::string_view key, bool otherwise);
  std::string text(std::string_view key, std::optional<std::string> otherwise = {});
  // Sentences: may go over several lines, which are joined by blanks.
  std::string prose(std::string_view key, std::optional<std::string> otherwise = {});
  // A list of such.
  std::vector<std::string> proses(std::string_view key, std::size_t most, const char* what);
  std::array<double, 2> pair(std::string_view key, Range range, std::optional<std::array<double, 2>> otherwise = {});
  std::vector<double> numbers(std::string_view key, Range range, std::size_t most);
  std::vector<int> wholes(std::string_view key, int least, int most, std::size_t count_most);
  std::vector<std::array<double, 2>> pairs(std::string_view key, Range range, std::size_t most);
  std::array<std::string, 2> names(std::string_view key);

  // One of a few words.
  template <class T>
  T choice(std::string_view key, std::initializer_list<std::pair<const char*, T>> words,
           std::optional<T> otherwise = {}) {
    const Node* node = look(key);
    std::string allowed;
    for (const auto& [word, value] : words) {
      if (node != nullptr && node->kind == Node::Kind::text && node->text == word) return value;
      allowed += (allowed.empty() ? "\"" : ", \"") + std::string(word) + "\"";
    }
    if (node != nullptr) {
      report_->add(path(key), "", allowed);
    } else if (!otherwise) {
      missing(key, allowed);
    }
    return otherwise.value_or(words.begin()->second);
  }

  enum class Need { required, optional };
  Reader table(std::string_view key, Need need);
  // The tables of a list ([[key]]), `least` to `most` of them.
  std::vector<Reader> tables(std::string_view key, std::size_t least, std::size_t most, const char* what);

  // An integer or a table; for values that have two forms.
  [[nodiscard]] bool is_table(std::string_view key);

  void missing(std::string_view key, std::string allowed);
  void finish();

private:
  const Node* look(std::string_view key);
  const Node* look_array(std::string_view key, std::size_t most, const char* what);
  double number_of(const Node& node, const std::string& key, Range range, double otherwise);
  int whole_of(const Node& node, const std::string& key, int least, int most, int otherwise);
  std::array<double, 2> pair_of(const Node& node, const std::string& key, Range range);
  std::string prose_of(const Node& node, const std::string& key);

  Report* report_;
  const Node* table_;
  std::string path_;
  std::vector<std::string> known_;
};

} // namespace phasewright
