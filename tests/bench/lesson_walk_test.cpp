// Every lesson of assets/lessons, walked by its answers and by its wrong answers; and what is said of lessons that
// cannot be done, or are done by mistake.
#include "bench/lesson_walk.hpp"

#include "files/lesson_reader.hpp"
#include "support/catch.hpp"

#include <algorithm>
#include <cmath>
#include <filesystem>

using namespace phasewright;

namespace {

const std::filesystem::path root = std::filesystem::path(PHASEWRIGHT_TEST_DIR).parent_path();

std::vector<LessonInFolder> all_lessons() {
  return lessons_in(root / "assets" / "lessons", root / "models");
}

SetInBuild setter(const OpenedLesson& opened) {
  return [engine = opened.opened.engine](const Build& build, const std::vector<std::string>& settings) {
    return set_in_build(build, *engine, settings);
  };
}

LessonWalk walk(const OpenedLesson& opened) {
  return walk_lesson(opened.lesson, first_bench(opened.opened.engine, opened.opened.build), setter(opened));
}

OpenedLesson first_lesson() {
  Result<OpenedLesson> opened = open_lesson(root / "assets" / "lessons" / "1-four-strokes.toml", root / "models");
  REQUIRE(opened.ok());
  return *std::move(opened);
}

std::string faults_of(const OpenedLesson& opened) {
  std::string words;
  for (const Problem& problem : walk(opened).problems) words += to_text(problem) + "\n";
  return words;
}

LessonCondition most(LessonQuantity what, double figure) {
  LessonCondition condition;
  condition.what = what;
  condition.most = figure;
  return condition;
}

bool holds(const std::string& text, const std::string& word) {
  return text.find(word) != std::string::npos;
}

// Everything that a learner reads.
std::string texts_of(const Lesson& lesson) {
  std::string all;
  for (const std::string& caution : lesson.cautions) all += caution + " ";
  for (const LessonStep& step : lesson.steps) {
    all += step.say + " " + step.task + " " + step.question + " " + step.right + " ";
    for (const std::string& hint : step.hints) all += hint + " ";
    for (const LessonWrong& wrong : step.wrong) all += wrong.say + " ";
  }
  // Figures are none of its words.
  for (std::size_t open; (open = all.find('{')) != std::string::npos;) all.erase(open, all.find('}', open) - open + 1);
  return all;
}

std::string words_of(const Lesson& lesson) {
  std::string all;
  for (const auto& [term, meaning] : lesson.words) all += term + ": " + meaning + " ";
  return all;
}

} // namespace

TEST_CASE("every lesson's steps are not done at first, done by the answer and by no wrong one", "[lesson]") {
  const std::vector<LessonInFolder> lessons = all_lessons();
  CHECK(lessons.size() >= 9);
  for (const LessonInFolder& one : lessons) {
    INFO(one.path);
    if (!one.opened) FAIL(to_text(one.opened.problems()));
    const OpenedLesson& opened = *one.opened;
    const LessonWalk walked = walk(opened);
    INFO(to_text(walked.problems));
    CHECK(walked.problems.empty());
    CHECK(walked.steps.size() == opened.lesson.steps.size());
    CHECK(lesson_minutes(opened.lesson) >= 3);
    CHECK(lesson_minutes(opened.lesson) <= 6);
    CHECK_FALSE(opened.lesson.steps.back().question.empty());
  }
}

TEST_CASE("a learner who did a step wrongly can still do it, from where that left the engine", "[lesson]") {
  for (const LessonInFolder& one : all_lessons()) {
    const OpenedLesson& opened = *one.opened;
    const LessonWalk walked = walk(opened);
    for (std::size_t i = 0; i < walked.steps.size(); ++i) {
      const LessonStep& step = opened.lesson.steps[i];
      const Moved begin{walked.steps[i].begun, turns_from(walked.steps[i].begun.crank)};
      for (std::size_t k = 0; k < step.wrong_answers.size(); ++k) {
        INFO(one.path << ", step " << i + 1 << ", wrong answer " << k + 1);
        const Result<Moved> wrong = moved(begin, step, step.wrong_answers[k], setter(opened));
        REQUIRE(wrong.ok());
        // What was set wrongly is set back; the crank is brought back to where the step began, coming up to it.
        Moved mended = *wrong;
        mended.bench.build = begin.bench.build;
        mended.bench.planned = begin.bench.planned;
        const double back_deg = begin.bench.crank.crank_deg - wrong->bench.crank.crank_deg;
        const Result<Moved> returned =
            moved(mended, step, {LessonMove{back_deg - 30, {}, {}, {}, {}, {}}, LessonMove{30, {}, {}, {}, {}, {}}},
                  setter(opened));
        REQUIRE(returned.ok());
        // A question about how far to turn is begun again instead: "this step again".
        const bool counts_turns = std::ranges::any_of(step.must, [](const LessonCondition& condition) {
          using Q = LessonQuantity;
          return condition.what == Q::turned_forward_deg || condition.what == Q::turned_back_deg ||
                 condition.what == Q::crank_turned_deg || condition.what == Q::camshaft_turned_deg;
        });
        const Result<Moved> answered = moved(counts_turns ? begin : *returned, step, step.answer, setter(opened));
        REQUIRE(answered.ok());
        CHECK(judged_at(opened.lesson, step, *answered)->done);
      }
    }
  }
}

TEST_CASE("no lesson uses a word of the trade that it does not explain", "[lesson]") {
  // What someone does not know who knows what a camshaft is and no more.
  const std::vector<std::string> trade{
      "TDC",      "BDC",         "ATDC",       "BTDC",           "ABDC",          "BBDC",     "No. 1",
      "sprocket", "strand",      "taut",       "slack",          "phase",         "advanced", "retarded",
      "lobe",     "nose",        "tappet",     "dial indicator", "degree wheel",  "pointer",  "piston stop",
      "overlap",  "elongation",  "end float",  "shim",           "straight-edge", "feeler",   "retaining plate",
      "boss",     "lift",        "timing end", "tensioner",      "offset key",    "leads",    "running direction",
      "lash",     "base circle", "duration",   "keyway",         "crank"};
  for (const LessonInFolder& one : all_lessons()) {
    const Lesson& lesson = one.opened->lesson;
    const std::string texts = texts_of(lesson);
    const std::string words = words_of(lesson);
    for (const std::string& term : trade) {
      INFO(lesson.name << ": " << term);
      if (holds(texts, term)) CHECK(holds(words, term));
    }
    for (const auto& [term, meaning] : lesson.words) {
      INFO(lesson.name << ": " << term << " is explained and not used");
      std::string capital = term;
      capital.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(capital.front())));
      CHECK((holds(texts, term) || holds(texts, capital) || holds(words, " " + term)));
    }
  }
}

TEST_CASE("what is wrong with a lesson is said step by step, with the key at fault", "[lesson]") {
  using Q = LessonQuantity;
  struct Broken {
    const char* what;
    void (*breaks)(Lesson&);
    const char* said;
  };
  const std::vector<Broken> all{
      {"answer falls short",
       [](Lesson& l) {
         l.steps[1].answer = {LessonMove{20, {}, {}, {}, {}, {}}};
       },
       "step[2].answer: step 2: the answer does not make it true: inlet_lift_mm is 3.52, wanted 8 mm or more\n"},
      {"true before", [](Lesson& l) { l.steps[1].must = {most(Q::piston_drop_mm, 1)}; },
       "step[2].must: step 2: it is true before anything is done\n"},
      {"wrong answer does it",
       [](Lesson& l) {
         l.steps[1].wrong_answers[1] = {LessonMove{100, {}, {}, {}, {}, {}}};
       },
       "step[2].wrong_answer[2]: step 2: wrong answer 2 makes it true\n"},
      {"remark never made", [](Lesson& l) { l.steps[1].wrong[0].when = {most(Q::inlet_lift_mm, -1)}; },
       "step[2].wrong[1]: step 2: no wrong answer leads to remark 1: inlet_lift_mm -1 mm or less\n"},
      {"figure that is not known then", [](Lesson& l) { l.steps[0].say += " {tdc_correction_deg}"; },
       "step[1].say: step 1: {tdc_correction_deg} is not known when it is said"},
      {"setting refused", [](Lesson& l) { l.steps[2].set = {"fitted.lay=11"}; },
       "step[3].set: step 3: it cannot begin: --set: fitted.lay: found 11, allowed a whole number -10 to 10\n"},
      {"setting that cannot be assembled", [](Lesson& l) { l.steps[2].set = {"fitted.centre_change_mm=5"}; },
       "step[3].set: step 3: what it sets cannot be assembled: "},
      {"answer refused",
       [](Lesson& l) {
         l.steps[1].answer = {LessonMove{{}, {}, "engine.name=1", {}, {}, {}}};
       },
       "step[2].answer: step 2: the answer cannot be carried out: "},
      {"stop over the piston", [](Lesson& l) { l.steps[1].stop_mm = 20; },
       "step[2].stop_mm: step 2: the piston already stands higher than the stop lets it"},
      {"too long",
       [](Lesson& l) {
         for (int i = 0; i < 60; ++i) l.steps[0].say += " and so on and on";
       },
       "step: found a lesson of "},
      {"too short", [](Lesson& l) { l.steps.resize(2); }, "allowed 3 to 6 minutes"},
  };
  for (const Broken& broken : all) {
    INFO(broken.what);
    OpenedLesson opened = first_lesson();
    broken.breaks(opened.lesson);
    const std::string said = faults_of(opened);
    INFO(said);
    CHECK(holds(said, broken.said));
  }
  CHECK(faults_of(first_lesson()).empty());
}

TEST_CASE("a stop holds the walk as it holds the piston", "[lesson]") {
  OpenedLesson opened = first_lesson();
  LessonStep step;
  step.stop_mm = 18;
  LessonBench bench = first_bench(opened.opened.engine, opened.opened.build);
  bench.crank.crank_deg = 180;
  const Result<Moved> held = moved({bench, {180, 0, 0}}, step, {LessonMove{500, {}, {}, {}, {}, {}}}, setter(opened));
  REQUIRE(held.ok());
  CHECK(held->bench.crank.crank_deg < 360);
  CHECK_THAT(held->turns.forward_deg, WithinAbs(held->bench.crank.crank_deg - 180, 1e-9));
}

TEST_CASE("what is planned follows what is fitted where it was the same, and what a step plans stays", "[lesson]") {
  OpenedLesson opened = first_lesson();
  const LessonBench first = first_bench(opened.opened.engine, opened.opened.build);
  const auto with = [&](const LessonBench& bench, const std::vector<std::string>& settings) {
    const Result<LessonBench> next = with_settings(bench, settings, setter(opened));
    REQUIRE(next.ok());
    return *next;
  };
  const LessonBench laid = with(first, {"planned.lay=1"});
  CHECK(laid.planned.lay == 1);
  CHECK(laid.build.fitted.lay == 0);
  const LessonBench worn = with(laid, {"fitted.elongation_percent=0.5"});
  CHECK(worn.planned.elongation_percent == 0.5);
  CHECK(worn.planned.lay == 1);
  LessonStep step;
  step.set = {"fitted.lay=-1"};
  const Result<LessonBench> begun = begun_step(worn, step, setter(opened));
  REQUIRE(begun.ok());
  CHECK(begun->planned == begun->build.fitted);
  step.set = {"planned.crank_key_deg=2"};
  const Result<LessonBench> planned = begun_step(worn, step, setter(opened));
  REQUIRE(planned.ok());
  CHECK(planned->planned.lay == 1);
  CHECK(planned->planned.crank_key_deg == 2);
}

TEST_CASE("readings that a lesson puts in are of what was fitted then", "[lesson]") {
  const OpenedLesson opened = first_lesson();
  const SetInBuild set = setter(opened);
  const Result<Build> read =
      set(opened.opened.build, {"fitted.lay=1", "measured.gap_mm={near=0.4,far=0.4,under=\"crank\"}"});
  REQUIRE(read.ok());
  CHECK(read->measured.with.lay == 1);
  const Result<Build> after = set(*read, {"fitted.shim_mm=[0.4]", "fitted.lay=0"});
  REQUIRE(after.ok());
  CHECK(after->measured.with.lay == 1);
  CHECK(after->measured.with.shim_mm.empty());
  CHECK(after->fitted.shim_mm == std::vector{0.4});
}
