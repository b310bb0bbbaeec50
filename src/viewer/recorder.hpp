// Where everything on the screen stands, by name: for programs that drive the viewer, in tests and over `announce`.
#pragma once

#include <map>
#include <string>
#include <vector>

namespace phasewright::viewer {

struct ScreenRect {
  float left = 0;
  float top = 0;
  float right = 0;
  float bottom = 0;

  [[nodiscard]] float width() const { return right - left; }
  [[nodiscard]] float height() const { return bottom - top; }
  [[nodiscard]] bool touches(const ScreenRect& other, float apart = 0) const {
    return left < other.right + apart && other.left < right + apart && top < other.bottom + apart &&
           other.top < bottom + apart;
  }
  [[nodiscard]] bool holds(const ScreenRect& other) const {
    return left <= other.left && top <= other.top && right >= other.right && bottom >= other.bottom;
  }

  friend bool operator==(const ScreenRect&, const ScreenRect&) = default;
};

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
