// The drive in the middle: camera by mouse, labels on thin lines, what is exaggerated confessed.
#include "geometry/angle.hpp"
#include "scene/overlay_layout.hpp"
#include "scene/view_labels.hpp"
#include "viewer/by_hand.hpp"
#include "viewer/frame.hpp"
#include "viewer/plot.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace phasewright::viewer {

namespace {

constexpr std::array<NamedView, 5> views{NamedView::end, NamedView::side, NamedView::key, NamedView::valve,
                                         NamedView::whole};

ImU32 tone_colour(const Ui& ui, Tone tone) {
  switch (tone) {
  case Tone::quiet:
    return ui.colours.quiet;
  case Tone::accent:
    return ui.colours.accent;
  case Tone::inlet:
    return ui.colours.inlet;
  case Tone::exhaust:
    return ui.colours.exhaust;
  case Tone::ink:
    return ui.colours.ink;
  case Tone::bad:
    return ui.colours.bad;
  case Tone::warning:
    break;
  }
  return ui.colours.warning;
}

// Buttons over the picture; gives the rectangles they take.
std::vector<ScreenRect> view_buttons(Frame& frame, const ScreenRect& rect) {
  Ui& ui = frame.ui;
  View& view = frame.view;
  const float height = ui.px(26);
  const float y = rect.top + ui.px(12);
  const float gap = ui.px(6);
  float right = rect.right - ui.px(12);
  // Beside a lesson in a small window there is no room for them; the keys do it.
  if (rect.width() < ui.px(430)) {
    const ScreenRect fit{right - ui.px(38), y, right, y + height};
    if (button(ui, "fit", fit, "fit", {.hint = "fit the view again  (F)"})) frame.actions.go_to = view.subject;
    return {fit};
  }
  const ScreenRect parallel{right - ui.px(72), y, right, y + height};
  if (button(ui, "parallel", parallel, "parallel", {.chosen = view.camera.parallel, .hint = "no perspective  (O)"}))
    view.camera.parallel = !view.camera.parallel;
  right = parallel.left - gap;
  const ScreenRect fit{right - ui.px(38), y, right, y + height};
  if (button(ui, "fit", fit, "fit", {.hint = "fit the view again  (F)"})) frame.actions.go_to = view.subject;
  right = fit.left - gap;
  const ScreenRect names{right - ui.px(268), y, right, y + height};
  std::vector<const char*> words;
  for (const NamedView named : views) words.push_back(to_word(named));
  const std::size_t chosen =
      view.framed ? static_cast<std::size_t>(std::ranges::find(views, *view.framed) - views.begin()) : views.size();
  if (const auto picked = segments(ui, "view", names, words, chosen)) frame.actions.go_to = views[*picked];
  return {parallel, fit, names};
}

// What the labels stand beside: what the camera was sent to, wherever it has been moved by hand since.
Box framed_box(const Frame& frame) {
  const View& view = frame.view;
  return phasewright::framed_box(frame.picture.model(), view.subject,
                                 {.cylinder = view.cylinder, .camshaft = view.camshaft, .apart = view.apart});
}

// Where that lies in the picture.
ScreenRect framed_on_screen(const Frame& frame, const ScreenRect& rect) {
  return box_on_screen(framed_box(frame), frame.view.camera, rect);
}

// Words in a rounded box, in as many lines as `width` takes; `bottom_left` is where it stands on.
ScreenRect chip(Ui& ui, ImVec2 bottom_left, float width, const std::string& words) {
  const float pad = ui.px(12);
  const bool one_line = text_size(ui.fonts.bold, words).x + 2 * pad <= width;
  const float inner = one_line ? text_size(ui.fonts.bold, words).x : width - 2 * pad;
  const float lines = one_line ? 0.0f : paragraph_height(ui.fonts.bold, inner, words);
  const float height = one_line ? ui.px(24) : lines + ui.px(8);
  const ScreenRect rect{bottom_left.x, bottom_left.y - height, bottom_left.x + inner + 2 * pad, bottom_left.y};
  ui.list->AddRectFilled(top_left(rect), bottom_right(rect), ui.colours.panel, ui.px(12));
  ui.list->AddRect(top_left(rect), bottom_right(rect), ui.colours.warning, ui.px(12), ImDrawFlags_None,
                   std::max(1.0f, ui.scale));
  const float down = one_line ? (height - ui.fonts.bold->FontSize) / 2.0f : ui.px(4);
  paragraph(ui, {rect.left + pad, rect.top + down}, inner + 1.0f, ui.fonts.bold, ui.colours.warning, words);
  return rect;
}

// Magnify and the like at the bottom left, and above them what the picture exaggerates or leaves out.
std::vector<ScreenRect> bottom_left(Frame& frame, const ScreenRect& rect) {
  Ui& ui = frame.ui;
  View& view = frame.view;
  const float x = rect.left + ui.px(12);
  const ScreenRect controls = scene_controls(frame, rect);
  std::vector<ScreenRect> taken{controls};
  float y = controls.top;

  std::vector<std::string> confessions = frame.picture.scene().confessions;
  if (view.turning == Turning::backward) {
    // In the valve view the gaps are not drawn then.
    const char* what = view.subject == NamedView::valve ? "to see and read gaps" : "before reading";
    confessions.push_back(
        fmt::format("turned back: turn forward {} {}", deg_text(rounded_up(view.turn_forward_deg, 0.1)), what));
  }
  // Beside the drive, where there is room for words at all.
  const float beside = framed_on_screen(frame, rect).left - ui.px(8) - x;
  const float width = std::max(beside, ui.px(150));
  for (const std::string& confession : confessions) {
    taken.push_back(chip(ui, {x, y - ui.px(6)}, width, confession));
    y = taken.back().top;
  }
  return taken;
}

void move_camera(Frame& frame, const ScreenRect& rect) {
  View& view = frame.view;
  const ImGuiIO& io = ImGui::GetIO();
  const glm::dvec2 size{static_cast<double>(rect.width()), static_cast<double>(rect.height())};
  const glm::dvec2 moved{static_cast<double>(io.MouseDelta.x), static_cast<double>(io.MouseDelta.y)};
  if (ImGui::IsItemActive() && (moved.x != 0.0 || moved.y != 0.0)) {
    const bool pan =
        ImGui::IsMouseDown(ImGuiMouseButton_Right) || ImGui::IsMouseDown(ImGuiMouseButton_Middle) || io.KeyShift;
    if (pan)
      view.camera.pan(moved, size);
    else
      view.camera.orbit(moved.x, moved.y);
    view.framed.reset();
  }
  if (ImGui::IsItemHovered() && io.MouseWheel != 0.0f) {
    const glm::dvec2 at{static_cast<double>(io.MousePos.x - rect.left), static_cast<double>(io.MousePos.y - rect.top)};
    view.camera.zoom(static_cast<double>(io.MouseWheel), at, size);
    view.framed.reset();
  }
}

void draw_label(Ui& ui, const Label& label, ImVec2 anchor, const ScreenRect& box) {
  const ImU32 colour = tone_colour(ui, label.tone);
  const bool coloured = label.tone != Tone::quiet;
  const ImVec2 end{anchor.x < box.left    ? box.left
                   : anchor.x > box.right ? box.right
                                          : (box.left + box.right) / 2.0f,
                   std::clamp(anchor.y, box.top + ui.px(6), box.bottom - ui.px(6))};
  ui.list->AddLine(anchor, end, with_alpha(colour, 0.9f), std::max(1.0f, ui.scale));
  ui.list->AddCircleFilled(anchor, ui.px(3), ui.colours.panel, 12);
  ui.list->AddCircle(anchor, ui.px(3), colour, 12, std::max(1.0f, ui.scale));
  ui.list->AddRectFilled(top_left(box), bottom_right(box), ui.colours.panel, ui.px(4));
  ui.list->AddRect(top_left(box), bottom_right(box), coloured ? colour : ui.colours.line, ui.px(4));
  const float x = box.left + ui.px(8);
  text(ui, {x, box.top + ui.px(4)}, ui.fonts.bold, ui.colours.ink, label.title);
  text(ui, {x, box.top + ui.px(20)}, ui.fonts.note, ui.colours.quiet, label.figure);
}

bool belongs(const Frame& frame, const Label& label) {
  return belongs_to(frame.view.subject, framed_box(frame), label);
}

std::vector<Label> valve_labels(const Frame& frame) {
  std::vector<Label> found;
  if (frame.view.subject != NamedView::valve) return found;
  const State& state = shown_state(frame.bench, frame.view.shown);
  const auto words = [units = frame.view.units](double mm) { return length_text(mm, units); };
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust})
    if (auto label = valve_label(frame.picture.scene(), kind, lift_shown_mm(state, kind, frame.view), words))
      found.push_back(*std::move(label));
  return found;
}

// Those that stand where they belong, as far as there is room; what they take is added to `reserved`.
void labels_in_place(Frame& frame, const ScreenRect& rect, const ScreenRect& pane, std::vector<ScreenRect>& reserved) {
  Ui& ui = frame.ui;
  const glm::dvec2 size{static_cast<double>(rect.width()), static_cast<double>(rect.height())};
  for (const Label& label : frame.picture.scene().labels) {
    if (!label.in_place || !belongs(frame, label)) continue;
    const auto pixel = frame.view.camera.project(label.anchor_mm, size);
    if (!pixel) continue;
    const ImVec2 words = text_size(ui.fonts.note, label.title);
    const float left = std::round(rect.left + static_cast<float>(pixel->x) - words.x / 2.0f);
    const float top = std::round(rect.top + static_cast<float>(pixel->y) - words.y / 2.0f);
    const ScreenRect box{left - ui.px(3), top - ui.px(1), left + words.x + ui.px(3), top + words.y + ui.px(1)};
    const bool inside =
        box.left >= pane.left && box.right <= pane.right && box.top >= pane.top && box.bottom <= pane.bottom;
    const bool taken = std::ranges::any_of(reserved, [&box](const ScreenRect& other) {
      return box.left < other.right && other.left < box.right && box.top < other.bottom && other.top < box.bottom;
    });
    if (!inside || taken) continue;
    ui.list->AddRectFilled(top_left(box), bottom_right(box), ui.colours.panel, ui.px(3));
    text(ui, {left, top}, ui.fonts.note, ui.colours.ink, label.title);
    reserved.push_back(box);
  }
}

void labels(Frame& frame, const ScreenRect& rect, std::vector<ScreenRect> reserved) {
  Ui& ui = frame.ui;
  const glm::dvec2 size{static_cast<double>(rect.width()), static_cast<double>(rect.height())};
  const float edge = ui.px(8);
  const ScreenRect pane{rect.left + edge, rect.top + edge, rect.right - edge, rect.bottom - edge};
  labels_in_place(frame, rect, pane, reserved);
  std::vector<LabelWish> wishes;
  std::vector<const Label*> shown;
  const std::vector<Label> valves = valve_labels(frame);
  std::vector<const Label*> all;
  for (const Label& label : valves) all.push_back(&label);
  for (const Label& label : frame.picture.scene().labels)
    if (!label.in_place && belongs(frame, label)) all.push_back(&label);
  for (const Label* one : all) {
    const Label& label = *one;
    const auto pixel = frame.view.camera.project(label.anchor_mm, size);
    if (!pixel) continue;
    const glm::vec2 anchor{rect.left + static_cast<float>(pixel->x), rect.top + static_cast<float>(pixel->y)};
    if (anchor.x < pane.left || anchor.x > pane.right || anchor.y < pane.top || anchor.y > pane.bottom) continue;
    const float width =
        std::max(text_size(ui.fonts.bold, label.title).x, text_size(ui.fonts.note, label.figure).x) + ui.px(16);
    wishes.push_back({label.key, anchor, std::ceil(width), ui.px(38), label.rank});
    shown.push_back(&label);
  }
  const LabelArea area{pane, framed_on_screen(frame, rect), std::move(reserved), ui.px(20)};
  const auto places = place_labels(wishes, area, frame.view.label_side);
  for (std::size_t i = 0; i < places.size(); ++i) {
    if (!places[i]) continue;
    record_item(ui, "label." + shown[i]->title, *places[i]);
    draw_label(ui, *shown[i], {wishes[i].anchor.x, wishes[i].anchor.y}, *places[i]);
  }
}

void name_part(Frame& frame, const ScreenRect& rect) {
  const ImGuiIO& io = ImGui::GetIO();
  if (frame.view.playing || !ImGui::IsMousePosValid()) return;
  const auto x = static_cast<int>((io.MousePos.x - rect.left) * io.DisplayFramebufferScale.x);
  const auto y = static_cast<int>((io.MousePos.y - rect.top) * io.DisplayFramebufferScale.y);
  const std::optional<std::size_t> part = frame.picture.part_at(x, y);
  if (!part) return;
  const PartInfo& info = frame.picture.scene().parts[*part];
  // One of its figures is the crank's angle.
  hint_under_pointer(frame.ui, info.name, only_wheel_deg(frame) ? std::vector<std::string>{} : info.figures);
}

} // namespace

void scene_pane(Frame& frame, const ScreenRect& rect) {
  Ui& ui = frame.ui;
  begin_panel(ui, "scene", rect, ui.colours.panel); // the picture covers it
  // Buttons are handled first, so that they take the pointer before the picture does, and drawn last.
  ImDrawList& list = *ui.list;
  list.ChannelsSplit(2);
  list.ChannelsSetCurrent(1);
  std::vector<ScreenRect> reserved = view_buttons(frame, rect);
  for (const ScreenRect& taken : bottom_left(frame, rect)) reserved.push_back(taken);

  record_item(ui, "scene", rect);
  ImGui::SetCursorScreenPos(top_left(rect));
  ImGui::InvisibleButton("scene", {rect.width(), rect.height()},
                         ImGuiButtonFlags_MouseButtonLeft | ImGuiButtonFlags_MouseButtonRight |
                             ImGuiButtonFlags_MouseButtonMiddle);
  const bool active = ImGui::IsItemActive();
  const bool hovered = ImGui::IsItemHovered();
  if (!work_by_hand(frame, rect)) move_camera(frame, rect);

  const ImGuiIO& io = ImGui::GetIO();
  const RenderSize size{static_cast<int>(std::round(rect.width() * io.DisplayFramebufferScale.x)),
                        static_cast<int>(std::round(rect.height() * io.DisplayFramebufferScale.y))};
  frame.picture.update(frame.bench, frame.view, size, frame.moving);
  list.ChannelsSetCurrent(0);
  const auto texture = static_cast<std::uintptr_t>(frame.picture.texture());
  list.AddImage(reinterpret_cast<ImTextureID>(texture), top_left(rect), bottom_right(rect), {0, 1},
                {1, 0}); // NOLINT: as its back end wants it
  list.ChannelsSetCurrent(1);
  labels(frame, rect, std::move(reserved));
  list.ChannelsMerge();
  if (hovered && !active) name_part(frame, rect);
  end_panel(ui);
}

} // namespace phasewright::viewer
