// What the viewer keeps of how a person likes it.
#pragma once

#include "parts/problem.hpp"
#include "viewer/view.hpp"
#include "viewer/viewer.hpp"

#include <filesystem>
#include <optional>
#include <string>

namespace phasewright::viewer {

// Of the window, on an ordinary screen.
inline constexpr int least_window_width_px = 640;
inline constexpr int least_window_height_px = 480;
inline constexpr int most_window_px = 8192;

struct Settings {
  std::optional<Theme> theme;
  std::optional<double> scale; // of text; 0.75 to 3
  std::optional<Units> units;
  std::optional<int> width_px; // of the window, on an ordinary screen; both or none, as ViewerOptions
  std::optional<int> height_px;

  friend bool operator==(const Settings&, const Settings&) = default;
};

// A file that is not there says nothing. Problems: every fault of it.
[[nodiscard]] Result<Settings> read_settings(const std::filesystem::path& file);
[[nodiscard]] std::string settings_text(const Settings& settings);

// Keeps what is changed while the viewer runs, and nothing else: what the command line said for once is not kept.
class SettingsKeeper {
public:
  // `file` empty: nothing is kept. A file that cannot be read is left as it is until something is changed.
  SettingsKeeper(std::filesystem::path file, Settings at_first);
  // Writes when something of `now` is another than it was; the window's size alone waits for `ending`. Nothing comes of
  // it where the file cannot be written.
  void update(const Settings& now, bool ending);

private:
  std::filesystem::path file_;
  Settings last_;
  bool unwritten_ = false; // a size
};

} // namespace phasewright::viewer
