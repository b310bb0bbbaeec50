// What the export command writes, by the ending of the file's name.
#pragma once

#include "cli/commands.hpp"

namespace phasewright::cli {

[[nodiscard]] Result<Answer> export_curves(const Context& context);  // .csv
[[nodiscard]] Result<Answer> export_model(const Context& context);   // .glb
[[nodiscard]] Result<Answer> export_answers(const Context& context); // .json

// What is written, not written yet. Problems: as the command's.
[[nodiscard]] Result<std::string> curves_text(const Context& context);
[[nodiscard]] std::string answers_text(const Context& context);

} // namespace phasewright::cli
