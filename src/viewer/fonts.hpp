// The screen's type: DejaVu Sans, found through fontconfig, drawn by FreeType at whole pixel sizes.
#pragma once

#include <imgui.h>

#include <string>
#include <vector>

namespace phasewright::viewer {

struct Fonts {
  ImFont* text = nullptr;  // 13 px at scale 1
  ImFont* bold = nullptr;  // 13 px
  ImFont* title = nullptr; // 18 px, bold
  ImFont* note = nullptr;  // 11 px
};

// Fills the atlas of the current ImGui context; the glyphs of `words` (titles from files) are added to those the screen
// itself uses. Throws std::runtime_error, saying which package to install, when DejaVu Sans is not there.
[[nodiscard]] Fonts load_fonts(double scale, const std::vector<std::string>& words);

} // namespace phasewright::viewer
