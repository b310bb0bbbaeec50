// Dear ImGui 1.86 (Debian 12) and 1.90 (Debian 13) under one roof. Input went straight into ImGuiIO before 1.87 and
// through a queue since; the names of keys and modifiers came with it.
#pragma once

#include <imgui.h>

namespace phasewright::viewer::compat {

// The keys that text fields need; shortcuts never go through ImGui.
enum class EditKey { tab, left, right, up, down, home, end, del, backspace, enter, escape, a, c, v, x, y, z, count };

#if IMGUI_VERSION_NUM >= 18700

inline ImGuiKey imgui_key(EditKey key) {
  constexpr ImGuiKey keys[] = {
      ImGuiKey_Tab, ImGuiKey_LeftArrow, ImGuiKey_RightArrow, ImGuiKey_UpArrow, ImGuiKey_DownArrow, ImGuiKey_Home,
      ImGuiKey_End, ImGuiKey_Delete,    ImGuiKey_Backspace,  ImGuiKey_Enter,   ImGuiKey_Escape,    ImGuiKey_A,
      ImGuiKey_C,   ImGuiKey_V,         ImGuiKey_X,          ImGuiKey_Y,       ImGuiKey_Z};
  return keys[static_cast<int>(key)];
}

inline void map_keys(ImGuiIO&) {}
inline void mouse_at(ImGuiIO& io, float x, float y) {
  io.AddMousePosEvent(x, y);
}
inline void mouse_button(ImGuiIO& io, int button, bool down) {
  io.AddMouseButtonEvent(button, down);
}
inline void mouse_wheel(ImGuiIO& io, float steps) {
  io.AddMouseWheelEvent(0.0f, steps);
}
inline void key(ImGuiIO& io, EditKey which, bool down) {
  io.AddKeyEvent(imgui_key(which), down);
}

inline void modifiers(ImGuiIO& io, bool ctrl, bool shift) {
#if IMGUI_VERSION_NUM >= 18900
  io.AddKeyEvent(ImGuiMod_Ctrl, ctrl);
  io.AddKeyEvent(ImGuiMod_Shift, shift);
#else
  io.AddKeyEvent(ImGuiKey_ModCtrl, ctrl);
  io.AddKeyEvent(ImGuiKey_ModShift, shift);
#endif
}

// One frame may take up several events; ours are let in one change at a time already.
inline void no_trickling(ImGuiIO& io) {
  io.ConfigInputTrickleEventQueue = false;
}

#else

inline void map_keys(ImGuiIO& io) {
  constexpr ImGuiKey_ keys[] = {
      ImGuiKey_Tab, ImGuiKey_LeftArrow, ImGuiKey_RightArrow, ImGuiKey_UpArrow, ImGuiKey_DownArrow, ImGuiKey_Home,
      ImGuiKey_End, ImGuiKey_Delete,    ImGuiKey_Backspace,  ImGuiKey_Enter,   ImGuiKey_Escape,    ImGuiKey_A,
      ImGuiKey_C,   ImGuiKey_V,         ImGuiKey_X,          ImGuiKey_Y,       ImGuiKey_Z};
  for (int i = 0; i < static_cast<int>(EditKey::count); ++i) io.KeyMap[keys[i]] = i;
}
inline void mouse_at(ImGuiIO& io, float x, float y) {
  io.MousePos = {x, y};
}
inline void mouse_button(ImGuiIO& io, int button, bool down) {
  io.MouseDown[button] = down;
}
inline void mouse_wheel(ImGuiIO& io, float steps) {
  io.MouseWheel += steps;
}
inline void key(ImGuiIO& io, EditKey which, bool down) {
  io.KeysDown[static_cast<int>(which)] = down;
}
inline void modifiers(ImGuiIO& io, bool ctrl, bool shift) {
  io.KeyCtrl = ctrl;
  io.KeyShift = shift;
}
inline void no_trickling(ImGuiIO&) {}

#endif

} // namespace phasewright::viewer::compat
