// Colours of day and night: paper-warm greys and graphite, one accent, and no other hue but inlet, exhaust and
// verdicts. Inlet and exhaust are Okabe and Ito's blue and vermillion, lightened for the night, and never told apart by
// hue alone.
#pragma once

#include "render/renderer.hpp"

#include <imgui.h>

namespace phasewright::viewer {

struct Palette {
  ImU32 panel;
  ImU32 rail;
  ImU32 field; // ground of a field or a button
  ImU32 hover; // the same under the pointer
  ImU32 line;  // borders
  ImU32 grid;
  ImU32 ink;
  ImU32 quiet; // second rows, units
  ImU32 faint; // what cannot be pressed now
  ImU32 chain;
  ImU32 accent;
  ImU32 on_accent; // text on it
  ImU32 inlet;
  ImU32 exhaust;
  ImU32 good;
  ImU32 warning;
  ImU32 bad;
};

[[nodiscard]] const Palette& palette(Theme theme);
[[nodiscard]] ImU32 with_alpha(ImU32 colour, float alpha);

} // namespace phasewright::viewer
