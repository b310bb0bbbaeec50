// What pictures and films show, from the command line's options.
#pragma once

#include "cli/commands.hpp"
#include "film/drive_picture.hpp"

#include <optional>
#include <string>

namespace phasewright::cli {

struct DrawnStates {
  film::DriveState shown;
  std::optional<film::DriveState> ghost; // what is fitted, when something else is shown
};
[[nodiscard]] Result<DrawnStates> drawn_states(const Context& context);

// With the chain laid a tooth further on the camshaft that is planned for.
[[nodiscard]] Fitted laid_further(const Context& context, Fitted fitted);

[[nodiscard]] film::DriveLook drive_look(const Context& context);

[[nodiscard]] std::string what_is_drawn(const DrawOptions& draw);

// A line for each camshaft that readings show to stand elsewhere than the build says; `what` goes by them.
[[nodiscard]] std::string by_readings_words(const Context& context, const char* what);

} // namespace phasewright::cli
