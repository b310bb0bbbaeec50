// The screen as it was drawn last: of a new frame only the windows that differ are drawn anew. Letters and curves are
// what a software renderer spends half a frame on, and while the engine turns most of them stand still.
#pragma once

#include "render/gl_objects.hpp"

#include <imgui.h>

#include <vector>

namespace phasewright::viewer {

class KeptScreen {
public:
  // Draws the frame and copies it into `framebuffer`, which has the same size. `repainted`: a texture whose picture has
  // changed since the last call, or null. `ground` is seen where nothing is drawn.
  void paint(const ImDrawData& data, unsigned framebuffer, int width_px, int height_px, ImU32 ground,
             ImTextureID repainted);
  // What was drawn no longer holds: letters have moved in their texture.
  void forget() { windows_.clear(); }

  [[nodiscard]] int drawn() const { return drawn_; } // windows, in the last call

private:
  struct Part { // of a window, in one go
    ImVec4 clip{};
    ImTextureID texture = nullptr;
    unsigned vertex_offset = 0;
    unsigned index_offset = 0;
    unsigned count = 0;

    friend bool operator==(const Part& a, const Part& b);
  };
  struct Window {
    std::vector<ImDrawVert> vertices;
    std::vector<ImDrawIdx> indices;
    std::vector<Part> parts;
    ImVec4 reach{}; // left, top, right, bottom; empty when nothing is drawn

    friend bool operator==(const Window& a, const Window& b);
  };
  static Window window_of(const ImDrawList& list);
  void prepare(int width_px, int height_px);

  gl::Texture colour_;
  gl::Framebuffer framebuffer_;
  int width_px_ = 0;
  int height_px_ = 0;
  ImU32 ground_ = 0;
  ImVec2 size_pt_{};
  std::vector<Window> windows_; // as drawn, in their order
  int drawn_ = 0;
};

} // namespace phasewright::viewer
