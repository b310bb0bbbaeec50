// What the commands that print have in common.
#pragma once

#include "cli/commands.hpp"
#include "paper/page.hpp"

#include <string>
#include <vector>

namespace phasewright::cli {

// What is shown: the maker's assembly, what is fitted by the readings, or an option of the plan.
struct Shown {
  Fitted fitted;
  std::string words;              // "as fitted", "as planned, option 1"
  std::vector<std::string> notes; // a sentence each
};
[[nodiscard]] Result<Shown> shown_state(const Context& context);

[[nodiscard]] inline paper::PaperSize paper_size(const Context& context) {
  return context.options.print.letter ? paper::PaperSize::letter : paper::PaperSize::a4;
}

// The cautions that go on everything printed, and those of the files, a sentence each.
[[nodiscard]] std::vector<std::string> printed_cautions(const Context& context);

// Writes it, and says where: `file`, `files`, `pages`, `paper` and, of a PNG, `dpi`. What no font can draw goes on the
// page as a caution.
[[nodiscard]] Result<Answer> write_printed(const Context& context, const paper::Print& print, const std::string& what);

} // namespace phasewright::cli
