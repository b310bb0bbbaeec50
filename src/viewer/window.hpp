// The viewer in a window of GLFW's. Draws only when something changed: three frames after an event, then it waits.
#pragma once

#include "viewer/viewer.hpp"
#include "viewer/workbench.hpp"

namespace phasewright::viewer {

// A window could not be opened, or has no OpenGL that will do; the words say what to do about it.
struct WindowFault {
  std::string words;
};

// Until the window is closed, or options.frame_report frames have been turned and their times printed.
[[nodiscard]] std::optional<WindowFault> run_window(Workbench bench, const ViewerOptions& options);

} // namespace phasewright::viewer
