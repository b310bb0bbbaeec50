#include "viewer/learning_column.hpp"

namespace phasewright::viewer {

void learning_column(Frame& frame, const ScreenRect& rect, const LearningColumn& column,
                     const std::function<void(Form&)>& body) {
  Ui& ui = frame.ui;
  const ImVec2 start =
      begin_panel(ui, column.panel, rect, ui.colours.field, PanelKind::scrolling, column.title + column.small_line);
  const float margin = ui.px(14);
  Form form(frame, {start.x + margin, start.y + ui.px(10)}, rect.width() - 2 * margin - ui.px(4));
  if (form.note_with_cross(column.small_line, column.leave, column.leave_hint))
    frame.actions.learn.what = Learn::What::leave;
  form.heading(column.title);
  body(form);
  form.space(4);
  form.note(bench_cautions);
  ui.list->AddLine({rect.right - 0.5f, rect.top}, {rect.right - 0.5f, rect.bottom}, ui.colours.line);
  end_panel(ui, form.bottom() + ui.px(8));
}

} // namespace phasewright::viewer
