// The viewer: the work area round the turning drive. Everything a caller needs; the rest of this folder is how.
#pragma once

#include "files/files.hpp"
#include "render/renderer.hpp"
#include "scene/camera.hpp"

#include <chrono>
#include <filesystem>
#include <memory>
#include <optional>

namespace phasewright {

namespace viewer {
class Maker;
}

// Which step's panel stands open, and which of its pages.
enum class ViewerPage {
  parts,
  key,    // how the half-round keys sit
  spread, // what phase to expect
  alignment,
  end_float,
  timing,
  events,
  lobes,
  compression,
  degree,  // wheel and indicator readings
  found,   // what they come to
  explain, // what explains them
  earlier, // sets put by
  correction,
  clearance,
  phase,
  readings, // of clearances
  sheet,    // and all other files that can be made
  lessons
};

struct ViewerOptions {
  std::filesystem::path shaders; // folder of the renderer's shaders
  int width_px = 1280;           // of the window or the picture; 640 to 8192
  int height_px = 800;           // 480 to 8192
  Theme theme = Theme::day;
  double scale = 1.0;                 // of text and panels, on top of the screen's own, as far as there is room; 1 to 3
  double crank_deg = 0.0;             // where the crank stands at first; any finite angle
  Turning turning = Turning::forward; // which way it was turned there
  std::optional<int> plan;            // option of the plan that is tried, counted from 1; none = the first
  std::optional<NamedView> from;      // the view at first; none = the step's own
  ViewerPage page = ViewerPage::correction;   // at first
  double magnify = 1.0;                       // 1 to 10: the key's step, or gaps on the pages that are about them
  double apart = 0.0;                         // 0 to 1: the drive along its shafts, in the order of assembly
  bool section = false;                       // key view: cut through the keyway
  int frame_report = 0;                       // turn so many frames, print their times and end; 0 = an ordinary window
  bool thou = false;                          // lengths in thousandths of an inch at first
  std::shared_ptr<const viewer::Maker> maker; // makes files of the build; null = none can be made
  std::filesystem::path models;        // where engines of builds that are opened are looked for, too; may be empty
  std::filesystem::path lessons;       // folder of lesson files; empty = there are none
  std::filesystem::path state_folder;  // where unsaved work and recent files are kept; empty = nowhere
  std::filesystem::path settings_file; // where theme, scale, units and size are kept; empty = nowhere
  bool overridden = false;             // keys of what is opened were set by the command line
  bool announce = false;               // print what changed, one line each, for a program that drives the window
  // When the program began, for the report's time to the first frame; none = when run_viewer() was called.
  std::optional<std::chrono::steady_clock::time_point> started;
};

// Opens the window and stays in it until it is closed. 0 = closed by the user; 2 = no window or no OpenGL 3.3, what is
// missing and the way out printed to stderr. Problems: the drive or its valves cannot be assembled as the files say
// (not located: the caller has the sources).
[[nodiscard]] Result<int> run_viewer(const Opened& opened, const ViewerOptions& options);

// The whole viewer as a picture, with no display. Throws std::runtime_error when there is no off-screen OpenGL.
// Problems: as run_viewer, and a `plan` that is not in the list.
[[nodiscard]] Result<Image> render_viewer_picture(const Opened& opened, const ViewerOptions& options);

} // namespace phasewright
