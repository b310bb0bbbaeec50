// From the window system's keys and characters to the viewer's.
#pragma once

#include "viewer/input.hpp"

#include <string>

namespace phasewright::viewer {

// Letters go by what is printed on the key, not by where it is on an American keyboard.
[[nodiscard]] Key letter_of(int key, int scancode);
// Empty beyond the basic plane.
[[nodiscard]] std::string utf8(unsigned code);

} // namespace phasewright::viewer
