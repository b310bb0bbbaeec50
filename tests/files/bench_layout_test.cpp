// Builds saved over files that somebody laid out by hand.
#include "files/build_text.hpp"
#include "files/random_build.hpp"

#include <fmt/format.h>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

// A file as somebody might lay it out by hand: tables with a header, in dotted keys or in one value, comments
// anywhere but inside of values. Counts the comments.
class Layout {
public:
  explicit Layout(unsigned seed) : dice_(seed) {}

  std::string text_of(const Build& build) {
    root_ = "# by hand\nformat = \"phasewright-build/1\"" + comment();
    std::vector<BuildEntry> group;
    for (const BuildEntry& entry : build_entries(build)) {
      if (!group.empty() && group.back().table != entry.table) add_table(group);
      if (!entry.value.empty() && !entry.is_default) group.push_back(entry);
    }
    if (!group.empty()) add_table(group);
    add_history(build);
    std::string text = root_ + tables_;
    if (dice_.coin()) text.pop_back(); // the last line is left open
    if (!dice_.coin()) return text;
    std::string with_returns;
    for (const char c : text) with_returns += c == '\n' ? "\r\n" : std::string(1, c);
    return with_returns;
  }

  [[nodiscard]] int comments() const { return comments_; }

private:
  // The end of a line.
  std::string comment() {
    if (!dice_.coin()) return "\n";
    return fmt::format("  # note {};\n", ++comments_);
  }

  static std::string in_one_value(const std::vector<BuildEntry>& entries) {
    std::string text;
    for (const BuildEntry& entry : entries)
      if (!entry.value.empty() && !entry.is_default)
        text += fmt::format("{}{} = {}", text.empty() ? "{ " : ", ", entry.key, entry.value);
    return text.empty() ? "{}" : text + " }";
  }

  void add_table(std::vector<BuildEntry>& group) {
    const std::string table = group.front().table;
    const int style = table.empty() ? 0 : dice_.whole(0, 2);
    if (style == 1) root_ += table + " = " + in_one_value(group) + comment();
    if (style == 0 && !table.empty()) tables_ += (dice_.coin() ? "\n[" : "[ ") + table + "]" + comment();
    for (const BuildEntry& entry : group) {
      if (style == 0) (table.empty() ? root_ : tables_) += entry.key + " = " + entry.value + comment();
      if (style == 2) root_ += table + "." + entry.key + "= " + entry.value + comment();
    }
    group.clear();
  }

  void add_history(const Build& build) {
    if (build.history.empty()) {
      if (dice_.coin()) root_ += "history = []" + comment();
      return;
    }
    if (dice_.coin()) {
      root_ += "history = [";
      for (std::size_t i = 0; i < build.history.size(); ++i)
        root_ += (i > 0 ? ",\n  " : "") + in_one_value(measured_entries(build.history[i], "history", nullptr));
      root_ += (dice_.coin() ? " ]" : ",\n]") + comment();
      return;
    }
    for (const Measured& set : build.history) {
      tables_ += "[[history]]" + comment();
      const bool apart = dice_.coin();
      for (const BuildEntry& entry : measured_entries(set, "history", nullptr))
        if (!entry.value.empty() && !entry.is_default && !(apart && entry.key == "with"))
          tables_ += "  " + entry.key + " = " + entry.value + comment();
      if (!apart) continue;
      Build as_fitted_then;
      as_fitted_then.fitted = set.with;
      tables_ += "  [history.with]" + comment();
      for (const BuildEntry& entry : build_entries(as_fitted_then))
        if (entry.table == "fitted" && !entry.is_default) tables_ += entry.key + " = " + entry.value + comment();
    }
  }

  Dice dice_;
  std::string root_;
  std::string tables_;
  int comments_ = 0;
};

// How many of the comments are still there.
int comments_in(const std::string& text, int written) {
  int found = 0;
  for (int i = 1; i <= written; ++i)
    if (text.find(fmt::format("# note {};", i)) != std::string::npos) ++found;
  return found;
}

} // namespace

TEST_CASE("Whatever way a file is laid out it is saved over and keeps its comments") {
  for (unsigned seed = 1; seed <= 200; ++seed) {
    INFO("seed " << seed);
    const Folder folder;
    folder.copy_model("marram-2050.toml");
    const Build first = some_build(seed);
    Layout layout(seed);
    const std::string before = layout.text_of(first);
    INFO(before);
    folder.write("x.build.toml", before);
    check_same(opened_build(folder), first);
    REQUIRE_FALSE(save_build(folder / "x.build.toml", first).has_value());
    CHECK(slurp(folder / "x.build.toml") == before);

    // One set more, and then another build altogether.
    Build grown = first;
    grown.history.push_back(some_build(seed + 2000).measured);
    const Build other = some_build(seed + 1000);
    for (const Build& then : {grown, other}) {
      REQUIRE_FALSE(save_build(folder / "x.build.toml", then).has_value());
      check_same(opened_build(folder), then);
      CHECK(comments_in(slurp(folder / "x.build.toml"), layout.comments()) == layout.comments());
    }
  }
}
