#include "viewer/kept_screen.hpp"

#include "viewer/imgui_compat.hpp"

#include <glad/gl.h>
#include <imgui_impl_opengl3.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <stdexcept>
#include <utility>

namespace phasewright::viewer {

namespace {

constexpr ImVec4 nowhere{FLT_MAX, FLT_MAX, -FLT_MAX, -FLT_MAX};

bool same(const ImVec4& a, const ImVec4& b) {
  return a.x == b.x && a.y == b.y && a.z == b.z && a.w == b.w;
}

ImVec4 around(const ImVec4& a, const ImVec4& b) {
  return {std::min(a.x, b.x), std::min(a.y, b.y), std::max(a.z, b.z), std::max(a.w, b.w)};
}

bool meet(const ImVec4& a, const ImVec4& b) {
  return a.x < b.z && b.x < a.z && a.y < b.w && b.y < a.w;
}

// Vertices and indices are plain figures without gaps between them.
template <class Value>
bool same_bytes(const std::vector<Value>& a, const std::vector<Value>& b) {
  return a.size() == b.size() && (a.empty() || std::memcmp(a.data(), b.data(), a.size() * sizeof(Value)) == 0);
}

} // namespace

bool operator==(const KeptScreen::Part& a, const KeptScreen::Part& b) {
  return same(a.clip, b.clip) && a.texture == b.texture && a.vertex_offset == b.vertex_offset &&
         a.index_offset == b.index_offset && a.count == b.count;
}

bool operator==(const KeptScreen::Window& a, const KeptScreen::Window& b) {
  return a.parts == b.parts && same_bytes(a.vertices, b.vertices) && same_bytes(a.indices, b.indices);
}

KeptScreen::Window KeptScreen::window_of(const ImDrawList& list) {
  Window window;
  window.vertices.assign(list.VtxBuffer.begin(), list.VtxBuffer.end());
  window.indices.assign(list.IdxBuffer.begin(), list.IdxBuffer.end());
  window.reach = nowhere;
  for (const ImDrawCmd& part : list.CmdBuffer) {
    if (part.ElemCount == 0) continue;
    window.parts.push_back({part.ClipRect, part.GetTexID(), part.VtxOffset, part.IdxOffset, part.ElemCount});
    window.reach = around(window.reach, part.ClipRect);
  }
  return window;
}

void KeptScreen::prepare(int width_px, int height_px) {
  if (colour_.get() != 0 && width_px == width_px_ && height_px == height_px_) return;
  colour_ = gl::make_texture();
  framebuffer_ = gl::make_framebuffer();
  glBindTexture(GL_TEXTURE_2D, colour_.get());
  glTexImage2D(GL_TEXTURE_2D, 0, GL_RGBA8, width_px, height_px, 0, GL_RGBA, GL_UNSIGNED_BYTE, nullptr);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MIN_FILTER, GL_NEAREST);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAG_FILTER, GL_NEAREST);
  glBindFramebuffer(GL_FRAMEBUFFER, framebuffer_.get());
  glFramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, colour_.get(), 0);
  if (glCheckFramebufferStatus(GL_FRAMEBUFFER) != GL_FRAMEBUFFER_COMPLETE)
    throw std::runtime_error("OpenGL cannot keep a picture of the screen's size.");
  width_px_ = width_px;
  height_px_ = height_px;
  forget();
}

void KeptScreen::paint(const ImDrawData& data, unsigned framebuffer, int width_px, int height_px, ImU32 ground,
                       ImTextureID repainted) {
  prepare(width_px, height_px);
  const bool other_size = data.DisplaySize.x != size_pt_.x || data.DisplaySize.y != size_pt_.y;
  const auto count = static_cast<std::size_t>(data.CmdListsCount);
  const bool all = ground != ground_ || other_size || windows_.size() != count;
  ground_ = ground;
  size_pt_ = data.DisplaySize;
  windows_.resize(count);

  // Where each window is and was; and whether it has to be drawn.
  std::vector<ImVec4> reach(count);
  std::vector<bool> stale(count, all);
  for (std::size_t i = 0; i < count; ++i) {
    Window window = window_of(*data.CmdLists[static_cast<int>(i)]);
    const bool shows_repainted = repainted != nullptr && std::ranges::any_of(window.parts, [&](const Part& part) {
                                   return part.texture == repainted;
                                 });
    if (!(window == windows_[i]) || shows_repainted) stale[i] = true;
    reach[i] = all ? window.reach : around(window.reach, windows_[i].reach);
    windows_[i] = std::move(window);
  }
  // What touches a window that is drawn has to be drawn with it, in the windows' order.
  for (bool grown = true; grown;) {
    grown = false;
    for (std::size_t i = 0; i < count; ++i)
      for (std::size_t j = 0; j < count; ++j)
        if (stale[i] && !stale[j] && meet(reach[i], reach[j])) stale[j] = grown = true;
  }

  glBindFramebuffer(GL_FRAMEBUFFER, framebuffer_.get());
  glViewport(0, 0, width_px, height_px);
  const ImVec4 colour = ImGui::ColorConvertU32ToFloat4(ground);
  glClearColor(colour.x, colour.y, colour.z, 1.0f);
  if (all) {
    glDisable(GL_SCISSOR_TEST);
    glClear(GL_COLOR_BUFFER_BIT);
  } else {
    glEnable(GL_SCISSOR_TEST);
    for (std::size_t i = 0; i < count; ++i) {
      if (!stale[i] || !(reach[i].x < reach[i].z)) continue;
      const ImVec2 fine = data.FramebufferScale;
      const int left = static_cast<int>(std::floor(reach[i].x * fine.x));
      const int right = static_cast<int>(std::ceil(reach[i].z * fine.x));
      const int top = static_cast<int>(std::floor(reach[i].y * fine.y));
      const int bottom = static_cast<int>(std::ceil(reach[i].w * fine.y));
      glScissor(left, height_px - bottom, std::max(0, right - left), std::max(0, bottom - top));
      glClear(GL_COLOR_BUFFER_BIT);
    }
    glDisable(GL_SCISSOR_TEST);
  }
  std::vector<ImDrawList*> lists;
  for (std::size_t i = 0; i < count; ++i)
    if (stale[i]) lists.push_back(data.CmdLists[static_cast<int>(i)]);
  drawn_ = static_cast<int>(lists.size());
  if (!lists.empty()) {
    ImDrawData some = compat::draw_data_of(data, lists);
    ImGui_ImplOpenGL3_RenderDrawData(&some);
  }

  glBindFramebuffer(GL_READ_FRAMEBUFFER, framebuffer_.get());
  glBindFramebuffer(GL_DRAW_FRAMEBUFFER, framebuffer);
  glDisable(GL_SCISSOR_TEST);
  glBlitFramebuffer(0, 0, width_px, height_px, 0, 0, width_px, height_px, GL_COLOR_BUFFER_BIT, GL_NEAREST);
  glBindFramebuffer(GL_FRAMEBUFFER, framebuffer);
}

} // namespace phasewright::viewer
