// What will be in the file, in the place of the drive.
#include "viewer/frame.hpp"
#include "viewer/leaf_texture.hpp"
#include "viewer/output.hpp"
#include "viewer/output_desk.hpp"
#include "viewer/output_look.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::viewer {

namespace {

constexpr int most_drawn_px = 6000; // of a page, on its longer side

// Words in the middle of the pane.
void say(Frame& frame, const ScreenRect& rect, ImU32 colour, const std::string& words) {
  Ui& ui = frame.ui;
  const float width = std::min(rect.width() - ui.px(48), ui.px(460));
  const float height = paragraph_height(ui.fonts.text, width, words);
  paragraph(ui, {(rect.left + rect.right - width) / 2.0f, (rect.top + rect.bottom - height) / 2.0f}, width,
            ui.fonts.text, colour, words);
}

// As much of a line as fits, to after a comma or a space where there is one.
std::size_t fitting(const ImFont* font, std::string_view line, float width) {
  if (text_size(font, line).x <= width) return line.size();
  std::size_t fits = 1;
  for (std::size_t most = line.size(); most - fits > 1;) { // fits, and does not
    const std::size_t middle = (fits + most) / 2;
    (text_size(font, line.substr(0, middle)).x <= width ? fits : most) = middle;
  }
  const std::size_t gap = line.substr(0, fits).find_last_of(", ");
  if (gap != std::string_view::npos && gap > 0) return gap + 1;
  while (fits > 1 && (static_cast<unsigned char>(line[fits]) & 0xC0U) == 0x80U) --fits; // not within a letter
  return fits;
}

// How a file of text begins.
void text_lines(Frame& frame, const ScreenRect& rect, const std::vector<std::string>& lines) {
  Ui& ui = frame.ui;
  const float margin = ui.px(20);
  const float width = rect.width() - 2 * margin;
  const float step = std::round(ui.fonts.note->FontSize * 1.35f);
  float y = rect.top + margin;
  for (const std::string& line : lines) {
    for (std::string_view rest = line; !rest.empty() && y + 2 * step <= rect.bottom - margin; y += step) {
      const std::size_t fits = fitting(ui.fonts.note, rest, width);
      text(ui, {rect.left + margin, y}, ui.fonts.note, ui.colours.ink, rest.substr(0, fits));
      rest.remove_prefix(fits);
    }
    if (y + 2 * step > rect.bottom - margin) break;
  }
  text(ui, {rect.left + margin, y}, ui.fonts.note, ui.colours.quiet, "and so on");
}

double leaf_shape(const Preview& preview, std::size_t leaf) {
  if (preview.pages.empty()) return static_cast<double>(preview.image->width_px) / preview.image->height_px;
  const glm::dvec2 size = preview.pages.at(leaf).size_mm;
  return size.x / size.y;
}

// By the item last submitted.
void move_leaf(Frame& frame, const ScreenRect& leaf) {
  OutputWishes& wishes = frame.view.output;
  const ImGuiIO& io = ImGui::GetIO();
  if (ImGui::IsItemActive()) {
    wishes.seen_x -= static_cast<double>(io.MouseDelta.x / leaf.width());
    wishes.seen_y -= static_cast<double>(io.MouseDelta.y / leaf.height());
  }
  if (ImGui::IsItemHovered() && io.MouseWheel != 0.0f) {
    // What is under the pointer stays there.
    const double at_x = static_cast<double>((io.MousePos.x - leaf.left) / leaf.width());
    const double at_y = static_cast<double>((io.MousePos.y - leaf.top) / leaf.height());
    const double before = wishes.zoom;
    zoom_leaf(wishes, std::pow(1.2, static_cast<double>(io.MouseWheel)));
    wishes.seen_x = at_x + (wishes.seen_x - at_x) * before / wishes.zoom;
    wishes.seen_y = at_y + (wishes.seen_y - at_y) * before / wishes.zoom;
  }
}

// Where the leaf stands in the pane: all of it at zoom 1; no more is moved out of sight than there is.
ScreenRect place_leaf(Frame& frame, const ScreenRect& room, double shape) {
  OutputWishes& wishes = frame.view.output;
  const double fit_high = std::min(static_cast<double>(room.height()), static_cast<double>(room.width()) / shape);
  const double high = fit_high * wishes.zoom;
  const double wide = high * shape;
  const auto keep = [](double& seen, double size, double space) {
    const double half = std::min(0.5, space / size / 2.0);
    seen = std::clamp(seen, half, 1.0 - half);
    return half;
  };
  keep(wishes.seen_x, wide, static_cast<double>(room.width()));
  wishes.seen_high = 2.0 * keep(wishes.seen_y, high, static_cast<double>(room.height()));
  const float left = std::round((room.left + room.right) / 2.0f - static_cast<float>(wishes.seen_x * wide));
  const float top = std::round((room.top + room.bottom) / 2.0f - static_cast<float>(wishes.seen_y * high));
  return {left, top, left + std::round(static_cast<float>(wide)), top + std::round(static_cast<float>(high))};
}

// `sight`: what of the pane it may take when it is larger than its room.
void draw_leaf(Frame& frame, const ScreenRect& sight, const ScreenRect& room, const Preview& preview) {
  Ui& ui = frame.ui;
  const std::size_t leaf =
      preview.pages.empty()
          ? 0
          : std::min(static_cast<std::size_t>(std::max(0, frame.view.output.leaf)), preview.pages.size() - 1);
  const double shape = leaf_shape(preview, leaf);
  const ScreenRect before = place_leaf(frame, room, shape);
  move_leaf(frame, before);
  const ScreenRect at = place_leaf(frame, room, shape);
  const ImGuiIO& io = ImGui::GetIO();
  const double wide = static_cast<double>(at.width() * io.DisplayFramebufferScale.x);
  const double high = static_cast<double>(at.height() * io.DisplayFramebufferScale.y);
  const double share = std::min(1.0, most_drawn_px / std::max(wide, high));
  const unsigned texture = frame.output_leaf.update(preview, frame.output.preview_number(), leaf,
                                                    std::max(1, static_cast<int>(std::lround(wide * share))),
                                                    std::max(1, static_cast<int>(std::lround(high * share))));
  ui.list->PushClipRect(top_left(sight), bottom_right(sight), true);
  ui.list->AddImage(reinterpret_cast<ImTextureID>(static_cast<std::uintptr_t>(texture)), top_left(at),
                    bottom_right(at)); // NOLINT: as its back end wants it
  ui.list->AddRect(top_left(at), bottom_right(at), ui.colours.line);
  ui.list->PopClipRect();
  record_item(ui, "output.leaf", at);
}

std::string leaf_words(OutputKind kind, int leaf, int leaves) {
  return fmt::format("{} {} of {}", kind == OutputKind::film ? "frame" : "page", leaf + 1, leaves);
}

// Nearer and farther at the right, the leaves in the middle.
void leaf_controls(Frame& frame, const ScreenRect& rect, const Preview& preview) {
  Ui& ui = frame.ui;
  OutputWishes& wishes = frame.view.output;
  const float height = ui.px(26);
  const float y = rect.top + ui.px(12);
  float right = rect.right - ui.px(12);
  const auto place = [&](float width) {
    const ScreenRect part{right - width, y, right, y + height};
    right -= width + ui.px(6);
    return part;
  };
  if (button(ui, "output.fit", place(ui.px(38)), "fit", {.hint = "all of it  (F)"})) fit_leaf(wishes);
  if (button(ui, "output.nearer", place(height), "",
             {.icon = Icon::plus, .enabled = wishes.zoom < most_leaf_zoom, .hint = "nearer  (+)"}))
    zoom_leaf(wishes, leaf_zoom_step);
  if (button(ui, "output.farther", place(height), "",
             {.icon = Icon::minus, .enabled = wishes.zoom > 1.0, .hint = "farther  (-)"}))
    zoom_leaf(wishes, 1.0 / leaf_zoom_step);
  if (preview.leaves < 2) return;
  const std::string words = leaf_words(wishes.kind, std::min(wishes.leaf, preview.leaves - 1), preview.leaves);
  const float wide = std::max(ui.px(124), text_size(ui.fonts.text, words).x + ui.px(24));
  const float left = rect.left + ui.px(12);
  const ScreenRect before{left, y, left + height, y + height};
  const ScreenRect after{before.right + wide, y, before.right + wide + height, y + height};
  ui.list->AddRectFilled({before.left, y}, {after.right, y + height}, ui.colours.field, ui.px(4));
  ui.list->AddRect({before.left, y}, {after.right, y + height}, ui.colours.line, ui.px(4));
  if (button(ui, "output.before", before, "",
             {.icon = Icon::back_1, .enabled = wishes.leaf > 0, .hint = "the one before  (Page Up)"}))
    turn_leaf(wishes, -1, preview.leaves);
  if (button(ui, "output.after", after, "",
             {.icon = Icon::on_1, .enabled = wishes.leaf + 1 < preview.leaves, .hint = "the next  (Page Down)"}))
    turn_leaf(wishes, 1, preview.leaves);
  text_middle(ui, {(before.right + after.left) / 2.0f, y + (height - ui.fonts.text->FontSize) / 2.0f}, ui.fonts.text,
              ui.colours.ink, words);
}

} // namespace

void output_pane(Frame& frame, const ScreenRect& rect) {
  Ui& ui = frame.ui;
  begin_panel(ui, "output", rect, ui.colours.rail);
  const OutputDesk& desk = frame.output;
  const Preview* preview = desk.preview();
  frame.view.output.leaves = preview != nullptr ? preview->leaves : 1;
  if (preview != nullptr && preview->lines.empty()) leaf_controls(frame, rect, *preview);
  record_item(ui, "output", rect);
  ImGui::SetCursorScreenPos(top_left(rect));
  ImGui::InvisibleButton("output", {rect.width(), rect.height()});
  const float margin = ui.px(16);
  const ScreenRect room{rect.left + margin, rect.top + ui.px(48), rect.right - margin, rect.bottom - margin};
  const Result<Order> order = order_of(frame.bench, frame.view);
  if (!order) {
    say(frame, room, ui.colours.bad, order.problems().front().advice);
  } else if (!desk.preview_fault().empty()) {
    say(frame, room, ui.colours.bad, desk.preview_fault());
  } else if (preview == nullptr) {
    say(frame, room, ui.colours.quiet, desk.can_make() ? "Drawing …" : "Nothing here can make files.");
  } else if (!preview->lines.empty()) {
    text_lines(frame, rect, preview->lines);
  } else {
    draw_leaf(frame, {rect.left, room.top, rect.right, rect.bottom}, room, *preview);
  }
  if (desk.previewing() && preview != nullptr)
    text_right(ui, {rect.right - ui.px(16), rect.bottom - ui.px(22)}, ui.fonts.note, ui.colours.quiet, "drawing …");
  end_panel(ui);
}

} // namespace phasewright::viewer
