// Drills: drawn beside the screen, worked on the practice bench, judged beside the screen.
#include "viewer/app.hpp"
#include "viewer/today.hpp"

namespace phasewright::viewer {

double App::turns_to(double wanted_deg) {
  if (wanted_deg == view_.crank_deg) return wanted_deg;
  if (lesson_) return lesson_->turned(bench_.fitted().mechanism.slider_crank(), view_.crank_deg, wanted_deg);
  const std::optional<PistonStop> stop = drill_ ? drill_->stop() : std::nullopt;
  return stop ? held_by(*stop, view_.crank_deg, wanted_deg) : wanted_deg;
}

void App::draw_drill() {
  if (drawing_.busy() || waiting_) return;
  view_.learning.fault.clear();
  view_.learning.drawing = true;
  const DrillAsk ask{.seed = static_cast<std::uint64_t>(view_.learning.drill_seed),
                     .level = view_.learning.drill_level};
  drawing_.start([engine = bench_.shared_engine(), build = bench_.build(),
                  ask] { return phasewright::draw_drill(engine, build, ask); },
                 wake_);
}

void App::begin_drill(Drill drill) {
  Opened opened = bench_.opened();
  opened.build = drill.given;
  opened.build_path.clear();
  opened.compiled_in = true;
  Result<Workbench> bench = Workbench::open(opened);
  if (!bench) {
    view_.learning.fault = first_words(bench.problems());
    return;
  }
  bench->change_planned(bench->document().fitted, "drill");
  practise_on(*std::move(bench));
  drill_.emplace(std::move(drill));
  drill_revision_ = bench_.revision();
  view_.step = Step::readings;
  go_to(view_of(view_.step), true);
}

void App::carry_out_drill(const Learn& learn) {
  if (!drill_) return;
  const auto& asked = learn.drill;
  if (asked.where) drill_->where = *asked.where;
  if (asked.stop) {
    if (*asked.stop < 0)
      drill_->put_stop_in(std::nullopt);
    else if (goes_in(drill_->bench().piston_stop(*asked.stop), view_.crank_deg))
      drill_->put_stop_in(*asked.stop);
    else
      view_.notice = "The piston stands where the stop's rod would be: turn it down the bore first.";
  }
  if (asked.lash) drill_->write_lash(asked.lash->valve, asked.lash->lash_mm);
  if (asked.name) drill_->name(*asked.name);
  if (asked.work) drill_->plan_work(*asked.work);
  if (asked.float_change_mm) {
    drill_->float_change_mm = asked.float_change_mm;
    if (*asked.float_change_mm == 0.0) drill_->float_change_mm.reset();
  }
  if (asked.anew) drill_->read_anew();
}

// What is drawn is what the card says: instruments on it would read that, and not the engine.
void App::look_at_drill() {
  if (!drill_) return;
  view_.instruments = false;
  if (bench_.revision() != drill_revision_) drill_->read_anew(); // something was written down
  drill_revision_ = bench_.revision();
  drill_->look(view_.crank_deg, view_.turning);
}

void App::hand_in_drill() {
  if (!drill_ || judging_.busy()) return;
  view_.learning.judging = true;
  judged_ = drill_->drill().truth;
  judging_.start([drill = drill_->drill(), named = drill_->named(), cure = drill_->cure(bench_.document().planned),
                  taken = drill_->taken(bench_.document().measured)] { return hand_in(drill, named, cure, taken); },
                 wake_);
}

void App::note_answer() {
  const DrillHanded& handed = *drill_->handed;
  const bool named =
      handed.faults.verdict == DrillVerdict::right || handed.faults.verdict == DrillVerdict::as_far_as_told;
  const std::optional<Problem> fault = record_drill(state_folder_, view_.learning.learner,
                                                    {.engine = bench_.engine().name,
                                                     .number = static_cast<int>(drill_->drill().ask.seed),
                                                     .level = drill_->drill().ask.level,
                                                     .named = named,
                                                     .cured = handed.cure.right,
                                                     .date = today()});
  if (fault) view_.notice = to_text(*fault);
  show_progress();
}

bool App::take_drill_work() {
  bool news = false;
  if (drawing_.ready() && !drill_waits()) {
    Result<Drill> drawn = drawing_.take();
    view_.learning.drawing = false;
    if (!drawn)
      view_.learning.fault = first_words(drawn.problems());
    else if (!waiting_ && drawn->engine_shared() == bench_.shared_engine()) // another file may be open by now
      begin_drill(*std::move(drawn));
    news = true;
  }
  if (judging_.ready()) {
    Result<DrillHanded> judged = judging_.take();
    view_.learning.judging = false;
    if (drill_ && drill_->drill().truth == judged_) { // and not another, begun meanwhile
      drill_->fault = judged ? "" : first_words(judged.problems());
      if (judged) drill_->handed = *std::move(judged);
      if (judged) note_answer();
    }
    news = true;
  }
  return news;
}

} // namespace phasewright::viewer
