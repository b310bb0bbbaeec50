// What the commands that print have in common.
#pragma once

#include "cli/commands.hpp"
#include "cli/standing_words.hpp"
#include "paper/page.hpp"

#include <string>
#include <vector>

namespace phasewright::cli {

[[nodiscard]] inline paper::PaperSize paper_size(const Context& context) {
  return context.options.print.letter ? paper::PaperSize::letter : paper::PaperSize::a4;
}

// What is printed, drawn and not written yet. Problems: as the commands'.
[[nodiscard]] Result<paper::Print> sheet_print(const Context& context);
[[nodiscard]] Result<paper::Print> wheel_print(const Context& context);
[[nodiscard]] Result<paper::Print> key_card_print(const Context& context);

// The cautions that go on everything printed, and those of the files, a sentence each.
[[nodiscard]] std::vector<std::string> printed_cautions(const Context& context);

// What goes into the box at the top of every page that shows that state: what is not safe, else nothing.
[[nodiscard]] std::string printed_warning(const Verdict& verdict);

// With what else is to be said of that state: that it is in doubt, or not worked out.
[[nodiscard]] std::vector<std::string> with_doubt(std::vector<std::string> notes, const Verdict& verdict);

// Writes it, and says where: `file`, `files`, `pages`, `paper` and, of a PNG, `dpi`. What no font can draw goes on the
// page as a caution.
[[nodiscard]] Result<Answer> write_printed(const Context& context, const paper::Print& print, const std::string& what);

} // namespace phasewright::cli
