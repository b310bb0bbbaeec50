// The files that can be made of the build: which, with what choices, and the order that makes each.
#pragma once

#include "viewer/input.hpp"
#include "viewer/maker.hpp"
#include "viewer/output_wishes.hpp"

#include <string>
#include <vector>

namespace phasewright::viewer {

class Workbench;
struct View;
struct Actions;

[[nodiscard]] const char* name_of(OutputKind kind); // "build sheet"

// One of a few words, by a button or by its key, which goes to the next of them.
struct OutputChoice {
  const char* name; // of the buttons: NAME.WORD
  const char* label;
  Key key;
  const char* key_word; // "X"
  std::vector<std::string> words;
  std::size_t chosen;
  void (*choose)(std::size_t index, View& view, Actions& actions);
};
[[nodiscard]] std::vector<OutputChoice> choices_of(const View& view);

// Its order, with the file it goes into. Problems: what is tried is no option of the plan, so no command knows it.
[[nodiscard]] Result<Order> order_of(const Workbench& bench, const View& view);
// Where it goes: as typed, else beside the build by its name, "sandling-14-sheet.pdf".
[[nodiscard]] std::string output_path(const Workbench& bench, const View& view);

// "phasewright sheet sandling-14.build.toml --plan 1 -o sheet.pdf", as a shell takes it; `file` empty = the demo.
[[nodiscard]] std::string command_line(const Order& order, const std::string& file);

// What is shown of it: the option of the plan that is tried, "as fitted".
[[nodiscard]] std::string shown_words(const Workbench& bench, const View& view);

} // namespace phasewright::viewer
