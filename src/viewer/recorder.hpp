// Where everything on the screen stands, by name: for programs that drive the viewer, in tests and over `announce`.
#pragma once

#include "scene/screen_rect.hpp"

#include <map>
#include <string>
#include <vector>

namespace phasewright::viewer {

using phasewright::ScreenRect;

struct DrawnText {
  std::string panel;
  std::string text;
  ScreenRect where;
  ScreenRect clip;      // what of it can be seen
  bool scrolls = false; // the panel scrolls up and down: text may stand outside and be reached
  unsigned colour = 0;  // as ImU32; 0 = in the ink, typed into a field
};

struct Recorder {
  std::map<std::string, ScreenRect> items;
  std::vector<DrawnText> texts;

  void clear() {
    items.clear();
    texts.clear();
  }
};

} // namespace phasewright::viewer
