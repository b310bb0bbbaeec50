#include "viewer/frame.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace phasewright::viewer {

namespace {

std::string cylinders_words(int cylinders) {
  constexpr std::array<const char*, 9> words{"",
                                             "one cylinder",
                                             "two cylinders",
                                             "three cylinders",
                                             "four cylinders",
                                             "five cylinders",
                                             "six cylinders",
                                             "seven cylinders",
                                             "eight cylinders"};
  if (cylinders > 0 && cylinders < static_cast<int>(words.size())) return words[static_cast<std::size_t>(cylinders)];
  return fmt::format("{} cylinders", cylinders);
}

} // namespace

void top_bar(Frame& frame, const ScreenRect& rect) {
  Ui& ui = frame.ui;
  View& view = frame.view;
  begin_panel(ui, "top", rect, ui.colours.panel);
  const float height = ui.px(28);
  const float y = std::round((rect.top + rect.bottom - height) / 2.0f);
  const float gap = ui.px(8);

  // From the right: help, theme, redo, undo, save, open, units; the switch in the middle; the titles take what is left.
  float right = rect.right - ui.px(12);
  const auto place = [&](float width) {
    const ScreenRect part{right - width, y, right, y + height};
    right -= width + gap;
    return part;
  };
  if (button(ui, "help", place(ui.px(28)), "?", {.chosen = view.help, .hint = "keys and mouse  (F1)"}))
    view.help = !view.help;
  const bool day = view.theme == Theme::day;
  if (button(ui, "theme", place(ui.px(28)), "",
             {.icon = day ? Icon::moon : Icon::sun, .hint = day ? "night colours  (D)" : "day colours  (D)"}))
    view.theme = day ? Theme::night : Theme::day;
  const std::string redo_hint = "redo: " + frame.bench.redo_what() + "  (Ctrl+Y)";
  if (button(ui, "redo", place(ui.px(28)), "",
             {.icon = Icon::redo, .enabled = frame.bench.can_redo(), .hint = redo_hint.c_str()}))
    frame.actions.redo = true;
  const std::string undo_hint = "undo: " + frame.bench.undo_what() + "  (Ctrl+Z)";
  if (button(ui, "undo", place(ui.px(28)), "",
             {.icon = Icon::undo, .enabled = frame.bench.can_undo(), .hint = undo_hint.c_str()}))
    frame.actions.undo = true;
  if (button(ui, "save", place(ui.px(28)), "",
             {.icon = Icon::save,
              .enabled = frame.bench.unsaved() || frame.bench.path().empty(),
              .hint = "save the build  (Ctrl+S)"}))
    frame.actions.save = true;
  if (button(ui, "open", place(ui.px(28)), "", {.icon = Icon::open, .hint = "open another file  (Ctrl+O)"}))
    frame.actions.open = true;
  if (const auto units = segments(ui, "units", place(ui.px(104)), {"mm", "thou"}, view.units == Units::mm ? 0 : 1))
    view.units = *units == 0 ? Units::mm : Units::thou;

  const float switch_width = ui.px(264);
  const float left = std::min(std::round((rect.right - switch_width) / 2.0f + ui.px(20)), right - switch_width - gap);
  const ScreenRect middle{left, y, left + switch_width, y + height};
  if (const auto shown =
          segments(ui, "shown", middle, {"as fitted", "both", "as planned"}, static_cast<std::size_t>(view.shown)))
    view.shown = static_cast<Shown>(*shown);

  const float start = rect.left + ui.px(16);
  const float room = middle.left - start - ui.px(16);
  const std::string& build_title = frame.bench.build().title;
  const std::string engine = frame.bench.engine().name + " · " + cylinders_words(frame.bench.engine().block.cylinders);
  const std::string mark = frame.bench.unsaved() ? "• " : ""; // not saved yet
  const std::string title = shortened(ui.fonts.bold, mark + (build_title.empty() ? engine : build_title), room);
  const float text_y = rect.top + (rect.height() - ui.fonts.bold->FontSize) / 2.0f;
  const float used = text(ui, {start, text_y}, ui.fonts.bold, ui.colours.ink, title) + ui.px(16);
  if (!build_title.empty() && used + text_size(ui.fonts.text, engine).x <= room)
    text(ui, {start + used, text_y}, ui.fonts.text, ui.colours.quiet, engine);
  ui.list->AddLine({rect.left, rect.bottom - 0.5f}, {rect.right, rect.bottom - 0.5f}, ui.colours.line);
  end_panel(ui);
}

} // namespace phasewright::viewer
