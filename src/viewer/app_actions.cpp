// What panels and keys have asked for, carried out between two frames.
#include "viewer/app.hpp"

#include "viewer/folder_list.hpp"
#include "viewer/output.hpp"

namespace phasewright::viewer {

void App::carry_out(const Actions& actions) {
  turn_to(actions.turn_to_deg.value_or(view_.crank_deg) + actions.turn_by_deg);
  if (actions.camshaft) {
    view_.camshaft = *actions.camshaft;
    if (view_.framed == NamedView::key) go_to(NamedView::key, false);
  }
  if (actions.step) {
    view_.step = *actions.step;
    if (view_.step != Step::sheet) go_to(view_of(view_.step), false); // pictures are of what was looked at last
  }
  if (actions.go_to) go_to(*actions.go_to, false);
  if (actions.fit_again && view_.framed) go_to(*view_.framed, true);
  if (actions.scale) view_.scale = *actions.scale;
  if (actions.undo) bench_.undo();
  if (actions.redo) bench_.redo();
  if (carry_out_changes(actions) || actions.undo || actions.redo) {
    view_.edit.problem_field.clear();
    view_.edit.problem.clear();
  }
  if (actions.seek_explanation) bench_.seek_explanation(wake_);
  if (actions.seek_spread) bench_.seek_spread(wake_);
  if (actions.open) show_open_card();
  if (actions.open_path) open_file(*actions.open_path);
  carry_out_output(actions.output);
  carry_out_learning(actions.learn);
  carry_out_saving(actions);
  answer_left(actions.left);
}

bool App::carry_out_changes(const Actions& actions) {
  if (!actions.fitted && !actions.planned && !actions.option && !actions.measured && !actions.document) return false;
  bool done = true;
  if (actions.fitted) done = bench_.change_fitted(*actions.fitted, actions.what);
  if (actions.planned) done = bench_.change_planned(*actions.planned, actions.what);
  if (actions.option) done = bench_.try_option(*actions.option);
  if (actions.measured) done = bench_.change_measured(*actions.measured, actions.what);
  if (actions.document) done = bench_.change(*actions.document, actions.what);
  if (done) {
    clear_draft(actions.clears);
    return true;
  }
  view_.edit.problem_field = actions.field;
  // Why a fitted thing will not do stands below its table.
  view_.edit.problem = actions.measured || actions.document ? bench_.refusal() : "cannot be assembled";
  return false;
}

// The valve stays chosen: readings come in rows of the same one.
void App::clear_draft(Actions::Clears what) {
  switch (what) {
  case Actions::Clears::nothing:
    break;
  case Actions::Clears::reading:
    view_.reading = NewReading{view_.reading.valve, std::nullopt, 0.0};
    break;
  case Actions::Clears::lobe:
    view_.lobe.opens_deg.reset();
    view_.lobe.closes_deg.reset();
    break;
  case Actions::Clears::stop:
    view_.stop = NewStop{};
    break;
  case Actions::Clears::gap:
    view_.gap = NewGap{};
    break;
  }
}

void App::carry_out_saving(const Actions& actions) {
  SaveCard& card = view_.save;
  // Before the viewer closes or opens another file, the work that waits meanwhile is asked about.
  if (waiting_ && (actions.save || actions.save_elsewhere || (actions.save_to && !card.asks()))) {
    view_.notice = "This engine is for practice, and nothing of it is saved.";
    return;
  }
  Workbench& bench = own_bench();
  std::optional<std::string> to = actions.save_to;
  if (to && !to->empty()) to = spelt_out(*to, std::filesystem::path(file_of(bench)).parent_path()).string();
  if (actions.save && !bench.path().empty()) to = bench.path();
  if (to) {
    const std::optional<std::string> fault = save_work(recovery_, bench, *to);
    const SaveCard::Shown asked = card.shown;
    if (!fault) note_open_file();
    if (!fault && asked == SaveCard::Shown::open) return open_after_all();
    if (!fault && asked == SaveCard::Shown::close) return leave();
    card.shown = fault ? (asked == SaveCard::Shown::no ? SaveCard::Shown::save : asked) : SaveCard::Shown::no;
    card.path = *to;
    card.fault = fault.value_or("");
  } else if (actions.save || actions.save_elsewhere) {
    card = {SaveCard::Shown::save, bench.suggested_path(), {}};
    view_.card = {};
  }
  if (actions.leave && card.shown == SaveCard::Shown::open) return open_after_all();
  if (actions.leave) {
    recovery_.drop();
    leave();
  }
}

void App::leave() {
  end_practice();
  view_.save = {};
  leaving_ = true;
}

void App::carry_out_output(Actions::Output wanted) {
  if (wanted == Actions::Output::nothing) return;
  if (output_.making()) {
    if (output_.frames() > 0) output_.cancel(); // else it is done in a moment
    return;
  }
  const Result<Order> order = order_of(bench_, view_);
  if (wanted != Actions::Output::make || !order) return;
  if (view_.crank_hidden) {
    view_.notice = "Nothing is made while only the degree wheel may say where the crank stands.";
    return;
  }
  // A file that is there is replaced when that has been asked for twice.
  const std::string path = output_path(bench_, view_);
  if (would_replace(path) && view_.output.may_replace != path) {
    view_.output.may_replace = path;
    return;
  }
  view_.output.may_replace.clear();
  output_.begin(bench_, *order, view_.output.kind == OutputKind::film ? view_.output.frames : 0, wake_);
}

// What the file will be like is worked out while one looks at it.
void App::seek_preview() {
  if (view_.step != Step::sheet || view_.playing) return;
  const Result<Order> order = order_of(bench_, view_);
  if (order) output_.seek_preview(bench_, *order, view_.output.kind == OutputKind::film ? view_.output.leaf : 0, wake_);
}

bool App::ask_to_close() {
  if (output_.making() && output_.frames() > 0 && !gives_up_film_) {
    gives_up_film_ = true;
    view_.notice = "A film is being made. Close again to give it up.";
    return false;
  }
  const Workbench& own = own_bench();
  if (leaving_ || !own.unsaved()) return true;
  view_.save = {SaveCard::Shown::close, own.suggested_path(), {}};
  view_.card = {};
  return false;
}

void App::set_wake(std::function<void()> wake) {
  recovery_.set_wake(wake);
  wake_ = std::move(wake);
}

bool App::finish_work() {
  const bool drawing = drawing_.busy() && !drill_waits();
  if (!bench_.working() && !output_.working() && !drawing && !judging_.busy()) return false;
  bench_.finish_work();
  drawing_.wait();
  judging_.wait();
  output_.finish_work();
  return true;
}

} // namespace phasewright::viewer
