#include "viewer/frame.hpp"

#include "viewer/drill_run.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::viewer {

namespace {

std::string side_page(const Frame& frame) {
  const std::string_view page = word_of(page_of(frame.view));
  if (frame.view.step != Step::lessons) return std::string(page);
  if (frame.drill != nullptr) return fmt::format("{} {}", page, frame.drill->handed ? "debrief" : "drill");
  return fmt::format("{} {}", page, frame.view.learning.drills);
}

void side_panel(Frame& frame, const ScreenRect& rect) {
  Ui& ui = frame.ui;
  const ImVec2 start = begin_panel(ui, "side", rect, ui.colours.panel, PanelKind::scrolling, side_page(frame));
  const float margin = ui.px(16);
  const ImVec2 at{start.x + margin, start.y + ui.px(12)};
  // Room for the scroll bar stays free, so that nothing moves when it comes.
  const float width = rect.width() - 2 * margin - ui.px(4);
  float end = at.y;
  switch (frame.view.step) {
  case Step::parts:
    end = parts_panel(frame, at, width);
    break;
  case Step::alignment:
    end = alignment_panel(frame, at, width);
    break;
  case Step::end_float:
    end = end_float_panel(frame, at, width);
    break;
  case Step::base_timing:
    end = timing_panel(frame, at, width);
    break;
  case Step::valves:
    end = valves_panel(frame, at, width);
    break;
  case Step::readings:
    end = degree_panel(frame, at, width);
    break;
  case Step::correction:
    end = correction_panel(frame, at, width, start.y + rect.height() - ui.px(12));
    break;
  case Step::clearance:
    end = clearance_panel(frame, at, width);
    break;
  case Step::sheet:
    end = output_panel(frame, at, width);
    break;
  case Step::lessons:
    end = lessons_panel(frame, at, width);
    break;
  }
  ui.list->AddLine({rect.left + 0.5f, rect.top}, {rect.left + 0.5f, rect.bottom}, ui.colours.line);
  end_panel(ui, end + ui.px(10));
}

} // namespace

NamedView view_of(Step step) {
  switch (step) {
  case Step::parts:
    return NamedView::whole;
  case Step::alignment:
  case Step::end_float:
    return NamedView::side;
  case Step::base_timing:
  case Step::readings:
  case Step::correction:
  case Step::sheet:
  case Step::lessons:
    return NamedView::end;
  case Step::valves:
  case Step::clearance:
    break;
  }
  return NamedView::valve;
}

Layout layout_for(float width, float height, float scale, bool learns) {
  const auto px = [scale](float value) { return std::round(value * scale); };
  const bool narrow = width < px(1180);
  const bool low = height < px(760);
  const float top = px(44);
  const float rail = px(narrow ? 150 : 168);
  const float side = px(narrow ? 352 : 372);
  const float strip = px(low ? 158 : 182);
  const float middle_bottom = std::max(top, height - strip);
  Layout layout;
  layout.top = {0, 0, width, top};
  layout.rail = {0, top, rail, middle_bottom};
  layout.side = {std::max(rail, width - side), top, width, middle_bottom};
  const float between = layout.side.left - rail;
  const float column = learns ? std::round(std::min(px(310), std::max(px(210), between * 0.42f))) : 0.0f;
  layout.column = {rail, top, rail + column, middle_bottom};
  layout.scene = {layout.column.right, top, layout.side.left, middle_bottom};
  layout.strip = {0, middle_bottom, width, height};
  return layout;
}

const State& shown_state(const Workbench& bench, Shown shown) {
  return shown == Shown::fitted ? bench.fitted() : bench.planned();
}

double lift_shown_mm(const State& state, ValveKind kind, const View& view) {
  if (view.turning == Turning::forward) return state.mechanism.valve_lift_mm(kind, view.cylinder, view.crank_deg);
  for (const ValvePose& valve : state.mechanism.pose(view.crank_deg, view.turning).valves)
    if (valve.valve == kind && valve.cylinder == view.cylinder) return valve.lift_mm;
  return 0.0;
}

std::optional<double> only_wheel_deg(const Frame& frame) {
  if (frame.drill != nullptr) return frame.drill->shown().wheel_deg;
  if (frame.lesson == nullptr) return std::nullopt;
  const LessonRun& run = *frame.lesson;
  if (run.lesson().wheel_error_deg == 0.0 || run.step().question.empty() || run.done()) return std::nullopt;
  return run.instruments().wheel_deg;
}

void draw_frame(Frame& frame, float width, float height) {
  const Layout layout = layout_for(width, height, frame.ui.scale, frame.lesson != nullptr || frame.drill != nullptr);
  top_bar(frame, layout.top);
  rail(frame, layout.rail);
  if (frame.lesson != nullptr) lesson_column(frame, layout.column);
  if (frame.drill != nullptr) drill_column(frame, layout.column);
  if (frame.view.step == Step::sheet)
    output_pane(frame, layout.scene);
  else
    scene_pane(frame, layout.scene);
  side_panel(frame, layout.side);
  if (only_wheel_deg(frame))
    covered_strip(frame, layout.strip, layout.rail.width());
  else
    strip(frame, layout.strip, layout.rail.width());
  if (frame.view.help) help(frame, width, height);
  if (!frame.view.notice.empty()) notice(frame, layout.scene);
  if (frame.view.open_card.shown) open_card(frame, width, height);
  if (frame.view.left.shown) left_card(frame, width, height);
  if (frame.view.save.shown != SaveCard::Shown::no) save_card(frame, width, height);
}

} // namespace phasewright::viewer
