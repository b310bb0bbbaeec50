// A word of the program's own that waits to be read, over the picture until it is put away.
#include "viewer/frame.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright::viewer {

void notice(Frame& frame, const ScreenRect& scene) {
  Ui& ui = frame.ui;
  const float side = ui.px(24);
  const float pad = ui.px(10);
  const float width = std::min(scene.width() - 2 * pad, ui.px(520));
  const float inner = width - 3 * pad - side;
  const float words = paragraph_height(ui.fonts.text, inner, frame.view.notice);
  const float height = std::max(words, side) + 2 * pad;
  const float left = std::round((scene.left + scene.right - width) / 2.0f);
  const float bottom = scene.bottom - ui.px(52); // over the picture's own buttons
  const ScreenRect rect{left, bottom - height, left + width, bottom};
  begin_panel(ui, "notice", rect, ui.colours.field, PanelKind::note);
  ui.list->AddRect(top_left(rect), bottom_right(rect), ui.colours.warning);
  paragraph(ui, {rect.left + pad, rect.top + pad}, inner, ui.fonts.text, ui.colours.ink, frame.view.notice);
  const ScreenRect away{rect.right - pad - side, rect.top + pad, rect.right - pad, rect.top + pad + side};
  if (button(ui, "notice.away", away, "", {.icon = Icon::cross, .hint = "put away  (Escape)"}))
    frame.view.notice.clear();
  end_panel(ui);
}

} // namespace phasewright::viewer
