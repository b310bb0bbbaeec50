// Lessons and drills: another bench in front of the one that is open, which waits as it was left.
#include "viewer/app.hpp"

namespace phasewright::viewer {

namespace {

// What is of the screen and not of what is open on it.
View fresh_view(const View& before, const Workbench& bench) {
  View view;
  view.theme = before.theme;
  view.scale = before.scale;
  view.units = before.units;
  view.meaning = before.meaning;
  view.step = before.step;
  view.camera.parallel = before.camera.parallel;
  view.learning = before.learning;
  view.camshaft = bench.target_camshaft();
  view.subject = view_of(view.step);
  view.framed = view.subject;
  return view;
}

} // namespace

void App::put_on_bench(Workbench bench) {
  // What it still works out on other threads is not waited for.
  retired_.push_back(std::exchange(bench_, std::move(bench)));
  refit_screen();
  view_ = fresh_view(view_, bench_);
}

void App::refit_screen() {
  picture_.emplace(renderer_, bench_.shared_engine());
  glide_.reset();
  pane_ = {}; // the view is framed anew
  output_.forget();
  fonts_stale_ = true;
}

void App::practise_on(Workbench bench) {
  bench.practise();
  if (!waiting_) {
    keep_changes();
    waiting_.emplace(Waiting{std::move(bench_), view_});
    bench_ = std::move(bench);
    refit_screen();
    view_ = fresh_view(view_, bench_);
  } else {
    put_on_bench(std::move(bench));
  }
}

void App::end_practice() {
  if (!waiting_) return;
  lesson_.reset();
  drill_.reset();
  retired_.push_back(std::exchange(bench_, std::move(waiting_->bench)));
  const View now = std::exchange(view_, std::move(waiting_->view));
  waiting_.reset();
  refit_screen();
  // What was changed of the screen meanwhile stays so.
  view_.theme = now.theme;
  view_.scale = now.scale;
  view_.units = now.units;
  view_.step = now.step;
  view_.learning = now.learning;
}

} // namespace phasewright::viewer
