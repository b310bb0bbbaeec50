// Lessons: begun, followed and left.
#include "viewer/app.hpp"

#include "files/learners.hpp"
#include "parts/viewer_words.hpp"
#include "viewer/today.hpp"

#include <algorithm>

namespace phasewright::viewer {

namespace {

// Bits of the document and the view in the lesson's words.
LessonBench bench_now(const Workbench& bench, const View& view) {
  return {.engine = bench.shared_engine(),
          .build = bench.build(),
          .planned = bench.document().planned,
          .crank = {view.crank_deg, view.turning, view.turn_forward_deg},
          .page = std::string(word_of(page_of(view))),
          .view = to_word(view.subject),
          .shown = std::string(shown_names.at(static_cast<std::size_t>(view.shown)))};
}

LessonMoment moment_of(const Workbench& bench, const View& view, const LessonRun& run) {
  const LessonBench now = bench_now(bench, view);
  return {.fitted = &bench.fitted().mechanism,
          .planned = &bench.planned().mechanism,
          .build = &bench.build(),
          .crank = now.crank,
          .turns = run.turns(),
          .wheel_error_deg = run.lesson().wheel_error_deg,
          .stop_mm = run.step().stop_mm,
          .page = now.page,
          .view = now.view,
          .shown = now.shown};
}

} // namespace

void App::look_for_lessons() {
  if (view_.step != Step::lessons || lessons_looked_for_) return;
  lessons_looked_for_ = true;
  for (LessonInFolder& one : lessons_in(lessons_folder_, models_)) {
    LessonRow row;
    if (one.opened)
      row.opened = std::make_shared<const OpenedLesson>(*std::move(one.opened));
    else
      row.fault = to_text(one.opened.problems());
    lessons_.push_back(std::move(row));
  }
  show_progress();
}

void App::carry_out_learning(const Learn& learn) {
  if (learn.learner) {
    view_.learning.learner = *learn.learner;
    show_progress();
  }
  carry_out_drill(learn);
  switch (learn.what) {
  case Learn::What::nothing:
    return;
  case Learn::What::begin:
    return begin_lesson(learn.index);
  case Learn::What::next:
    if (lesson_ && lesson_->done()) return lesson_->is_last() ? leave_lesson() : begin_step(lesson_->at() + 1);
    return;
  case Learn::What::again:
    if (lesson_) put_up(lesson_->begin_again());
    return;
  case Learn::What::hint:
    if (lesson_) lesson_->show_hint();
    if (drill_) drill_->read_anew();
    return;
  case Learn::What::leave:
    return leave_lesson();
  case Learn::What::draw:
    return draw_drill();
  case Learn::What::hand_in:
    return hand_in_drill();
  }
}

void App::begin_lesson(std::size_t index) {
  const LessonRow& row = lessons_.at(index);
  if (row.opened == nullptr) return;
  view_.learning.fault.clear();
  const Opened& opened = row.opened->opened;
  Result<Workbench> bench = Workbench::open(opened);
  if (!bench) {
    view_.learning.fault = first_words(bench.problems());
    return;
  }
  // Nothing is tried until the lesson says so.
  bench->change_planned(bench->document().fitted, "lesson");
  practise_on(*std::move(bench));
  const std::shared_ptr<const Lesson> lesson(row.opened, &row.opened->lesson);
  lesson_.emplace(lesson, [engine = opened.engine](const Build& build, const std::vector<std::string>& settings) {
    return set_in_build(build, *engine, settings);
  });
  lesson_row_ = index;
  begin_step(0);
}

void App::begin_step(std::size_t step) {
  Result<LessonBench> begun = lesson_->begin(step, bench_now(bench_, view_));
  if (!begun) {
    view_.notice = first_words(begun.problems());
    return;
  }
  put_up(*begun);
}

void App::put_up(const LessonBench& begun) {
  Document document = bench_.document();
  document.fitted = begun.build.fitted;
  document.planned = begun.planned;
  document.measured = begun.build.measured;
  document.shelf_mm = begun.build.stock.shim_mm;
  // What is tried would follow what is fitted, and is to be what the lesson says.
  if (!bench_.change(document, "the lesson") || !bench_.change_planned(begun.planned, "the lesson"))
    view_.notice = bench_.refusal();
  bench_.forget_changes(); // what the step has set up is not to be undone
  const LessonStep& now = lesson_->step();
  view_.playing = false;
  view_.crank_deg = begun.crank.crank_deg;
  view_.turning = begun.crank.turning;
  view_.turn_forward_deg = begun.crank.turn_forward_deg;
  if (const auto page = parse_page(begun.page)) view_.open(*page);
  const auto shown = std::ranges::find(shown_names, begun.shown);
  if (shown != shown_names.end()) view_.shown = static_cast<Shown>(shown - shown_names.begin());
  view_.camshaft = 0;
  for (std::size_t i = 0; i < bench_.engine().camshafts.size(); ++i)
    if (bench_.engine().camshafts[i].name == now.camshaft) view_.camshaft = i;
  view_.cylinder = now.cylinder;
  if (now.magnify) magnified(view_) = *now.magnify;
  if (now.apart) view_.apart = *now.apart;
  go_to(parse_view(begun.view).value_or(view_of(view_.step)), true);
  judge_lesson();
}

void App::judge_lesson() {
  if (!lesson_) return;
  // The wheel on the engine would read true.
  if (lesson_->lesson().wheel_error_deg != 0.0) view_.instruments = false;
  const LessonMoment moment = moment_of(bench_, view_, *lesson_);
  lesson_->read_instruments(moment);
  if (pointer_down_ || view_.playing) return;
  const bool before = lesson_->done();
  lesson_->judge(moment);
  if (lesson_->done() && !before) note_done();
}

void App::note_done() {
  const bool whole = lesson_->is_last();
  if (whole && !view_.learning.learner.empty()) lessons_.at(lesson_row_).finished = true;
  const std::optional<Problem> fault = record_progress(
      state_folder_, view_.learning.learner,
      {.lesson = lesson_->lesson().name, .step = static_cast<int>(lesson_->at()) + 1, .done = whole, .date = today()});
  if (fault) view_.notice = to_text(*fault);
}

void App::show_progress() {
  const Result<std::vector<Learner>> learners = read_learners(state_folder_);
  view_.learning.fault = learners ? "" : to_text(learners.problems().front());
  view_.learning.answered =
      learners ? drills_answered(*learners, view_.learning.learner) : std::vector<DrillAnswered>{};
  for (LessonRow& row : lessons_) {
    if (row.opened == nullptr) continue;
    const LessonProgress* progress =
        learners ? find_progress(*learners, view_.learning.learner, row.opened->lesson.name) : nullptr;
    row.finished = progress != nullptr && progress->done;
  }
}

void App::leave_lesson() {
  end_practice();
  view_.step = Step::lessons;
}

} // namespace phasewright::viewer
