// Says on stdout what the viewer does, a line for each change, for a program that drives its window and must wait for
// conditions instead of guessing times.
//
//   item NAME LEFT TOP RIGHT BOTTOM      where a widget or panel is, pixels of the window; when it moved
//   frame N crank=41.0 phase=1.93 fitted=-2.07 inlet=2.61 exhaust=3.14 picture=HASH
//                                        after the Nth frame, when any of the figures or the drive's picture changed
//   idle SECONDS frames=N                once a second while the loop waits for input
//   closed
#pragma once

#include "viewer/app.hpp"

#include <map>
#include <string>

namespace phasewright::viewer {

class Announcer {
public:
  void frame(const App& app);
  void idle(int seconds) const;
  void closed() const;

private:
  std::map<std::string, ScreenRect> items_;
  std::string figures_;
  std::string picture_;
  int draws_ = -1;
  long frames_ = 0;
};

} // namespace phasewright::viewer
