// What a person does at the machine, free of GLFW and ImGui, so that tests can do it too.
#pragma once

#include <deque>
#include <string>

namespace phasewright::viewer {

enum class Key {
  other,
  space,
  tab,
  left,
  right,
  up,
  down,
  home,
  end,
  page_up,
  page_down,
  del,
  backspace,
  enter,
  escape,
  f1,
  a,
  b,
  c,
  d,
  e,
  f,
  h,
  i,
  k,
  l,
  m,
  n,
  o,
  p,
  r,
  s,
  t,
  u,
  v,
  x,
  y,
  z,
  digit_0,
  digit_1,
  digit_2,
  digit_3,
  digit_4,
  digit_5,
  plus,
  minus,
};

struct InputEvent {
  enum class Kind { pointer, button, wheel, key, text, pointer_left, drop };
  Kind kind = Kind::pointer;
  float x = 0; // pointer: pixels from the top left
  float y = 0;
  int button = 0;     // 0 left, 1 right, 2 middle
  bool down = false;  // button, key
  bool again = false; // key: held down, and repeated by the system
  float steps = 0;    // wheel: up is positive
  Key key = Key::other;
  bool ctrl = false; // as held with the event
  bool shift = false;
  std::string text; // UTF-8; of a drop the file's path
  int waited = 0;   // frames for which text has waited for its field
};

using InputQueue = std::deque<InputEvent>;

} // namespace phasewright::viewer
