// What must hold of every screen: no text cut off, none over another, no figure that is none.
#pragma once

#include "viewer/driver.hpp"

namespace phasewright::viewer {

// Fails the test for each text that is cut off or shortened, or says that something is no number.
void check_texts(Driver& driver);
// Fails the test where two texts of a panel lie over one another.
void check_apart(Driver& driver, const std::string& panel);
// Both, of every panel.
void check_screen(Driver& driver);

} // namespace phasewright::viewer
