// Works the viewer in process and off screen, with fixed time steps: widgets are found by name, never by pixel.
#pragma once

#include "files/files.hpp"
#include "viewer/offscreen_app.hpp"

#include <string>

namespace phasewright::viewer {

// What the tests' viewers have in common: nothing is kept, and no settings are read.
[[nodiscard]] ViewerOptions test_options();

class Driver {
public:
  explicit Driver(int width_px = 1280, int height_px = 800, Theme theme = Theme::day, double scale = 1.0);
  // The demo with some of its keys overridden.
  explicit Driver(const Overrides& overrides);
  explicit Driver(const Opened& opened, int width_px = 1280, int height_px = 800, Theme theme = Theme::day,
                  ViewerPage page = ViewerPage::correction);
  Driver(const Opened& opened, const ViewerOptions& options);

  void frames(int count = 1);
  // Frames until the screen asks for none and what is worked out beside it is shown. Returns how many it took; fails
  // the test after 200.
  int settle();

  // Waits until unsaved work is kept, as far as it can be.
  void finish_keeping() { screen_.app().finish_keeping(); }

  [[nodiscard]] bool has(const std::string& item) const;
  [[nodiscard]] ScreenRect where(const std::string& item) const; // fails the test when there is none
  // Rolls the panel at the right until the item stands in it.
  void reach(const std::string& item);
  void point(float x, float y);
  void click(const std::string& item);      // reaches for it first
  void click_last(const std::string& item); // what ends the viewer, which then never settles
  // From one place of the item to another, each a share 0 to 1 of its width and height, in `steps` moves.
  void drag(const std::string& item, float from_x, float to_x, float from_y = 0.5f, float to_y = 0.5f, int steps = 6,
            int button = 0);
  void press(float x, float y, bool down, int button = 0);
  void wheel(const std::string& item, float steps);
  void key(Key key, bool ctrl = false, bool shift = false);
  void type(const std::string& text);
  void hold_ctrl(bool held) { ctrl_held_ = held; } // while the pointer does what comes next
  void drop(const std::string& path);              // a file on the window
  // Clicks into the field, types over what stands there, and Enter.
  void enter(const std::string& field, const std::string& text);

  [[nodiscard]] bool shows(const std::string& words) const; // anywhere on the screen
  [[nodiscard]] bool shows_in(const std::string& panel, const std::string& words) const;
  [[nodiscard]] const View& view() { return screen_.app().view(); }
  [[nodiscard]] App& app() { return screen_.app(); }
  [[nodiscard]] const Workbench& bench() { return screen_.app().bench(); }
  [[nodiscard]] const ScenePicture& picture() { return screen_.app().picture(); }
  [[nodiscard]] const Recorder& recorder() { return screen_.app().recorder(); }
  [[nodiscard]] Image read() const { return screen_.read(); }
  // Writes the screen into the folder PHASEWRIGHT_TEST_PICTURES names, when it does: to be looked at.
  void keep(const std::string& name);

  static constexpr double frame_s = 1.0 / 60.0;

private:
  OffscreenApp screen_;
  const Recorder* recorder_;
  bool ctrl_held_ = false;
};

} // namespace phasewright::viewer
