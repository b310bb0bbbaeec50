// Buttons and fields by keyboard: Tab goes from one to the next, in the order in which they are drawn.
#pragma once

#include <string>
#include <vector>

namespace phasewright::viewer {

struct KeyRing {
  struct Item {
    std::string panel;
    std::string name;
    bool field = false; // typed into; else pressed
  };
  std::string at;            // the button that has the keyboard; empty = none
  std::string field;         // the field that is to get it, with one of the next frames
  bool press = false;        // that button, with the next frame
  bool reach = false;        // it is rolled into sight, if it is out of it
  std::vector<Item> items;   // of the last frame
  std::vector<Item> drawing; // of this one, as far as it is drawn
};

// One further from what has the keyboard, or back: `typing` names the field that is typed into, if any. From nothing to
// the first of the panel beside the picture, or its last.
void step_on(KeyRing& ring, const std::string& typing, bool back);
// Once a frame is drawn. A button that is not there any more has not got the keyboard either.
void end_of_frame(KeyRing& ring);

} // namespace phasewright::viewer
