// Play, steps and the crank's figure, at the left of the cycle strip.
#include "geometry/angle.hpp"
#include "viewer/frame.hpp"
#include "viewer/strip_span.hpp"

#include <fmt/format.h>

#include <cmath>

namespace phasewright::viewer {

namespace {

// Whose cycle it is, where there are several cylinders; gives what is left of the row.
ScreenRect cylinder_button(Frame& frame, const ScreenRect& rect) {
  Ui& ui = frame.ui;
  const Block& block = frame.bench.engine().block;
  if (block.cylinders < 2) return rect;
  const float width = text_size(ui.fonts.text, fmt::format("No. {}", block.cylinders)).x + ui.px(14);
  const ScreenRect at{rect.left, rect.top, rect.left + width, rect.bottom};
  if (button(ui, "strip.cylinder", at, fmt::format("No. {}", frame.view.cylinder),
             {.hint = "the next cylinder, as they fire  (N)"}))
    next_cylinder(frame.bench, frame.view, 1, frame.actions);
  return {at.right + ui.px(5), rect.top, rect.right, rect.bottom};
}

void zoom_buttons(Frame& frame, const ScreenRect& rect) {
  Ui& ui = frame.ui;
  View& view = frame.view;
  const double crank_deg = wrap_720(own_crank_deg(frame.bench, view));
  const float side = ui.px(24);
  const ScreenRect less{rect.left, rect.top, rect.left + side, rect.bottom};
  const ScreenRect more{rect.right - side, rect.top, rect.right, rect.bottom};
  if (button(ui, "strip.farther", less, "",
             {.icon = Icon::minus, .enabled = can_zoom_strip(view, -1), .hint = "more of the cycle  (Ctrl+wheel)"}))
    zoom_strip(view, -1, crank_deg);
  if (button(
          ui, "strip.closer", more, "",
          {.icon = Icon::plus, .enabled = can_zoom_strip(view, 1), .hint = "less of the cycle, larger  (Ctrl+wheel)"}))
    zoom_strip(view, 1, crank_deg);
  text_middle(ui, {(less.right + more.left) / 2.0f, rect.top + (rect.height() - ui.fonts.note->FontSize) / 2.0f},
              ui.fonts.note, ui.colours.quiet, fmt::format("×{:.0f}", strip_times(view)));
}

} // namespace

void strip_controls(Frame& frame, const ScreenRect& rect) {
  Ui& ui = frame.ui;
  View& view = frame.view;
  const float margin = ui.px(12);
  const std::optional<double> wheel_deg = only_wheel_deg(frame);
  const double crank_deg = wrap_720(view.crank_deg);
  float y = rect.top + ui.px(12);
  text(ui, {rect.left + margin, y}, ui.fonts.title, ui.colours.ink, deg_text(wheel_deg.value_or(crank_deg)));
  y += ui.px(24);
  const bool back = view.turning == Turning::backward;
  // Beside another cylinder's figures it is said whose dead centres these are.
  const std::string whose = wheel_deg || view.cylinder == 1 ? "crank, " : "No. 1 at ";
  const std::string how = back ? "turned back, " : whose;
  std::string words = wheel_deg ? how + "by the wheel" : how + crank_words(crank_deg);
  if (!wheel_deg && text_size(ui.fonts.note, words).x > rect.width() - 2 * margin)
    words = how + crank_words(crank_deg, false);
  text(ui, {rect.left + margin, y}, ui.fonts.note, back ? ui.colours.warning : ui.colours.quiet, words);
  y += ui.px(24);

  const float tooth_deg = 360.0f / static_cast<float>(frame.bench.engine().loops[0].sprockets.front().teeth);
  const float gap = ui.px(3);
  const float width = std::floor((rect.width() - 2 * margin - 4 * gap) / 5.0f);
  float x = rect.left + margin;
  const auto place = [&] {
    const ScreenRect part{x, y, x + width, y + ui.px(28)};
    x += width + gap;
    return part;
  };
  if (button(ui, "turn.back_tooth", place(), "",
             {.icon = Icon::back_tooth, .hint = "back one crank tooth  (Shift+Left)"}))
    frame.actions.turn_by_deg -= static_cast<double>(tooth_deg);
  if (button(ui, "turn.back_1", place(), "", {.icon = Icon::back_1, .hint = "back 1°  (Left)"}))
    frame.actions.turn_by_deg -= 1.0;
  if (button(ui, "play", place(), "",
             {.icon = view.playing ? Icon::pause : Icon::play,
              .chosen = view.playing,
              .hint = view.playing ? "stop  (Space)" : "turn  (Space)"}))
    view.playing = !view.playing;
  if (button(ui, "turn.on_1", place(), "", {.icon = Icon::on_1, .hint = "on 1°  (Right)"}))
    frame.actions.turn_by_deg += 1.0;
  if (button(ui, "turn.on_tooth", place(), "", {.icon = Icon::on_tooth, .hint = "on one crank tooth  (Shift+Right)"}))
    frame.actions.turn_by_deg += static_cast<double>(tooth_deg);
  y += ui.px(34);
  const float half = std::floor((rect.width() - 2 * margin - gap) / 2.0f);
  const ScreenRect slow{rect.left + margin, y, rect.left + margin + half, y + ui.px(24)};
  const ScreenRect backward{slow.right + gap, y, slow.right + gap + half, y + ui.px(24)};
  if (button(ui, "slow", slow, "slow", {.chosen = view.slow, .hint = "an eighth of the speed  (S)"}))
    view.slow = !view.slow;
  if (button(ui, "backward", backward, "back", {.chosen = view.backward, .hint = "turn backward  (B)"}))
    view.backward = !view.backward;
  y += ui.px(30);
  if (wheel_deg) return;
  zoom_buttons(frame, cylinder_button(frame, {rect.left + margin, y, rect.right - margin, y + ui.px(24)}));
}

} // namespace phasewright::viewer
