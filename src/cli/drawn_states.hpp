// What pictures and films show, from the command line's options.
#pragma once

#include "cli/shown.hpp"
#include "film/drive_picture.hpp"

#include <optional>
#include <string>

namespace phasewright::cli {

struct DrawnStates {
  States states; // how it stands, in words
  film::DriveState shown;
  std::optional<film::DriveState> ghost; // what is fitted, when something else is shown
};
[[nodiscard]] Result<DrawnStates> drawn_states(const Context& context);

// With the chain laid a tooth further on the camshaft that is planned for.
[[nodiscard]] Fitted laid_further(const Context& context, Fitted fitted);

[[nodiscard]] film::DriveLook drive_look(const Context& context);

// The picture that the options ask for, of the drive alone. Problems: as drawn_states.
[[nodiscard]] Result<Image> drive_image(const Context& context);

// "the drive as planned, option 2 (crank key 4°, sprocket half leading), and what is fitted as a ghost".
[[nodiscard]] std::string what_is_drawn(const DrawOptions& draw, const States& states);

} // namespace phasewright::cli
