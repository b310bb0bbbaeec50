// Every lesson followed on the screen with keys and fields only, as a learner does.
#include "viewer/learner.hpp"
#include "viewer/own_folder.hpp"
#include "viewer/readings.hpp"
#include "viewer/screen_checks.hpp"

#include "files/learners.hpp"
#include "files/lesson_reader.hpp"
#include "geometry/angle.hpp"
#include "support/catch.hpp"

#include <fmt/format.h>

using namespace phasewright;
using namespace phasewright::viewer;

namespace {

namespace fs = std::filesystem;

// What "fitted.lay=1" and the like are on the screen.
void put_in(Driver& driver, const std::string& set) {
  INFO(set);
  const auto key = set.substr(0, set.find('='));
  const std::vector<double> figures = figures_in(set.substr(set.find('=') + 1));
  const auto typed = [](double figure) { return fmt::format("{}", figure); };
  if (key == "planned.lay") {
    const int wanted = static_cast<int>(figures.at(0));
    while (driver.bench().document().planned.lay != wanted)
      driver.key(Key::l, false, driver.bench().document().planned.lay > wanted);
  } else if (key == "planned.cam_key_deg") {
    driver.click("step.correction");
    driver.enter("plan.cam_key", typed(figures.at(0)));
  } else if (key == "planned.crank_key_deg") {
    driver.click("step.correction");
    driver.enter("plan.crank_key", typed(figures.at(0)));
  } else if (key == "fitted.elongation_percent") {
    driver.click("step.base_timing");
    driver.enter("fitted.elongation", typed(figures.at(0)));
  } else if (key == "measured.stop_deg") {
    driver.enter("stop.new.before", typed(figures.at(0)));
    driver.enter("stop.new.after", typed(figures.at(1)));
    driver.click("stop.add");
  } else if (key == "measured.lobe") {
    driver.enter("lobe.new.lift", typed(figures.at(0)));
    driver.enter("lobe.new.opens", typed(figures.at(1)));
    driver.enter("lobe.new.closes", typed(figures.at(2)));
    driver.click("lobe.add");
  } else if (key == "measured.gap_mm") {
    driver.enter("gap.near", typed(figures.at(0)));
    driver.enter("gap.far", typed(figures.at(1)));
  } else if (key == "fitted.shim_mm") {
    driver.click("shim.pack");
  } else if (key == "measured.float_mm") {
    for (const double figure : figures) driver.enter("float.new", typed(figure));
  } else if (key == "measured.plate_mm") {
    driver.enter("float.plate", typed(figures.at(0)));
  } else {
    FAIL("no way on the screen to set " << key);
  }
}

// Moves the pointer over the picture until that part is named.
bool point_at(Driver& driver, const std::string& part) {
  const ScreenRect scene = driver.where("scene");
  for (int row = 1; row < 24; ++row)
    for (int column = 1; column < 24; ++column) {
      driver.point(scene.left + scene.width() * static_cast<float>(column) / 24.0f,
                   scene.top + scene.height() * static_cast<float>(row) / 24.0f);
      if (driver.shows_in("hint", part)) return true;
    }
  return false;
}

void make(Driver& driver, const LessonMoves& moves) {
  for (const LessonMove& move : moves) {
    if (move.turn_by_deg) turn(driver, *move.turn_by_deg);
    if (move.turn_to_deg) turn(driver, wrap_720(*move.turn_to_deg - driver.view().crank_deg));
    if (!move.set.empty()) put_in(driver, move.set);
    if (!move.page.empty() || !move.shown.empty()) FAIL("a move that is not walked here");
    if (move.view == "end") driver.key(Key::digit_1);
    if (move.view == "side") driver.key(Key::digit_2);
    if (move.view == "key") driver.key(Key::digit_3);
    if (move.view == "valve") driver.key(Key::digit_4);
    if (move.view == "whole") driver.key(Key::digit_5);
  }
  driver.settle();
}

} // namespace

TEST_CASE("every lesson can be gone through with keys and fields, and cannot be gone past") {
  const OwnFolder folder("lessons");
  const std::vector<LessonInFolder> all = lessons_in(PHASEWRIGHT_LESSONS, PHASEWRIGHT_MODELS);
  REQUIRE(all.size() >= 9);
  Driver driver(opened(folder / "sandling-14.build.toml"), learning_options(folder / "state"));
  driver.enter("learn.name", "Asta");
  driver.click("step.correction");
  driver.enter("plan.cam_key", "1.5"); // work that waits meanwhile
  driver.click("step.lessons");
  const Document before = driver.bench().document();
  driver.keep("lessons");
  check_screen(driver);
  for (const LessonInFolder& one : all) {
    REQUIRE(one.opened.ok());
    const Lesson& lesson = one.opened->lesson;
    INFO(lesson.name);
    driver.click("lesson." + lesson.name);
    for (std::size_t i = 0; i < lesson.steps.size(); ++i) {
      INFO("step " << i + 1);
      driver.settle();
      REQUIRE(driver.shows_in("lesson", fmt::format("step {} of {}", i + 1, lesson.steps.size())));
      check_screen(driver);
      driver.keep(fmt::format("lesson-{}-{}", lesson.name, i + 1));
      const LessonStep& step = lesson.steps[i];
      for (std::size_t hint = 0; hint < step.hints.size(); ++hint) driver.key(Key::h);
      driver.settle();
      CHECK_FALSE(driver.shows_in("lesson", "{")); // a figure that was not filled in
      if (!step.must.empty()) {
        driver.key(Key::enter); // not yet
        driver.settle();
        REQUIRE(driver.shows_in("lesson", fmt::format("step {} of {}", i + 1, lesson.steps.size())));
      }
      make(driver, step.answer);
      if (!step.must.empty()) driver.keep(fmt::format("lesson-{}-{}-done", lesson.name, i + 1));
      driver.key(Key::enter);
    }
    driver.settle();
    REQUIRE_FALSE(driver.has("panel.lesson"));
    CHECK(driver.view().step == Step::lessons);
    CHECK((driver.bench().document() == before)); // it waited
    const auto learners = read_learners(folder / "state");
    REQUIRE(learners.ok());
    const LessonProgress* progress = find_progress(*learners, "Asta", lesson.name);
    REQUIRE(progress != nullptr);
    CHECK(progress->done);
  }
  CHECK(driver.shows_in("side", "done, "));
  driver.enter("learn.name", "Berit"); // who has done none of them
  driver.settle();
  CHECK_FALSE(driver.shows_in("side", "done, "));
}

TEST_CASE("a lesson says what was wrong, hints when asked, and begins a step again") {
  const OwnFolder folder("lesson-wrong");
  Driver driver(opened(folder / "sandling-14.build.toml"), learning_options(folder / "state"));
  driver.click("lesson.one-tooth");
  driver.settle();
  turn(driver, 300.0); // to 360, where the camshaft's mark is up
  driver.settle();
  driver.keep("lesson-wrong");
  INFO("crank " << driver.view().crank_deg);
  CHECK(driver.shows_in("lesson", "One more"));
  driver.key(Key::h);
  driver.settle();
  CHECK(driver.shows_in("lesson", "Hint:"));
  CHECK_FALSE(driver.bench().can_undo()); // what the step has set up
  driver.key(Key::l);                     // a tooth in the plan, which is no business of this step
  CHECK(driver.bench().document().planned.lay == 1);
  driver.key(Key::backspace);
  driver.settle();
  CHECK(driver.view().crank_deg == 60.0);
  CHECK(driver.bench().document().planned.lay == 0);
  CHECK_FALSE(driver.shows_in("lesson", "Hint:"));
  // While the engine turns by itself it stands nowhere.
  driver.key(Key::space);
  driver.frames(500);
  CHECK_FALSE(driver.shows_in("lesson", "They face"));
  driver.key(Key::space);
  driver.key(Key::backspace);
  turn(driver, 660.0);
  driver.settle();
  CHECK(driver.shows_in("lesson", "They face"));
  driver.click("lesson.leave");
  driver.settle();
  CHECK_FALSE(driver.has("panel.lesson"));
  CHECK_FALSE(fs::exists(folder / "state" / learners_file_name)); // no name, nothing kept
}

TEST_CASE("a lesson's instruments follow the hand, and its step is judged once the hand is off") {
  const OwnFolder folder("lesson-hand");
  Driver driver(opened(folder / "sandling-14.build.toml"), learning_options(folder / "state"));
  driver.click("lesson.lobe-centre");
  driver.settle();
  const char* right = "It shows";
  const double before_mm = figure_beside(driver, "lesson", "indicator, inlet tappet");
  const ScreenRect strip = driver.where("strip");
  const float middle = (strip.top + strip.bottom) / 2.0f;
  const float deg = strip.width() / 720.0f;
  driver.press(strip.left + 107.5f * deg, middle, true);
  driver.point(strip.left + 112.0f * deg, middle);
  driver.settle();
  CHECK(figure_beside(driver, "lesson", "indicator, inlet tappet") < before_mm);
  CHECK_FALSE(driver.shows_in("lesson", right));
  driver.press(strip.left + 112.0f * deg, middle, false);
  driver.settle();
  CHECK(driver.shows_in("lesson", right));
}

TEST_CASE("where a wheel that errs is asked about only the wheel says how the crank stands") {
  const OwnFolder folder("lesson-wheel");
  Driver driver(opened(folder / "sandling-14.build.toml"), learning_options(folder / "state"));
  const Result<OpenedLesson> opened =
      open_lesson(fs::path(PHASEWRIGHT_LESSONS) / "4-tdc-by-a-stop.toml", PHASEWRIGHT_MODELS);
  REQUIRE(opened.ok());
  driver.click("lesson.tdc-by-a-stop");
  for (const LessonStep& step : opened->lesson.steps) {
    driver.settle();
    const bool asks = !step.question.empty();
    INFO(step.say);
    CHECK(driver.shows_in("strip", "Covered until this is answered") == asks);
    CHECK(driver.shows_in("strip", "by the wheel") == asks);
    if (asks) {
      // 6.5 degrees too much by the wheel.
      CHECK(driver.shows_in("strip", fmt::format("{:.1f}°", wrap_720(driver.view().crank_deg + 6.5))));
      CHECK_FALSE(driver.shows_in("strip", fmt::format("{:.1f}°", wrap_720(driver.view().crank_deg))));
    }
    if (asks) {
      CHECK_FALSE(new_reading_deg(driver.view()));
      driver.click("step.sheet");
      CHECK_FALSE(driver.has("output.make"));
      driver.click("step.readings");
      driver.key(Key::digit_1);
      driver.settle();
    }
    const bool on_crank = asks && point_at(driver, "crankshaft");
    CHECK(on_crank == asks);
    CHECK_FALSE((asks && driver.shows_in("hint", "crank at")));
    make(driver, step.answer);
    CHECK_FALSE(driver.shows_in("strip", "Covered"));
    if (asks) {
      CHECK(point_at(driver, "crankshaft"));
      CHECK(driver.shows_in("hint", "crank at"));
    }
    driver.key(Key::enter);
  }
}

TEST_CASE("nothing of a lesson is saved, and closing the window in one asks about the work that waits") {
  const OwnFolder folder("lesson-work");
  const fs::path file = folder / "sandling-14.build.toml";
  const std::string before = text_of(file);
  Driver driver(opened(file), learning_options(folder / "state"));
  driver.click("step.base_timing");
  driver.enter("fitted.cam_key", "1");
  driver.click("step.lessons");
  driver.click("lesson.one-tooth");
  driver.settle();
  driver.key(Key::s, true);
  driver.settle();
  CHECK(driver.shows_in("notice", "nothing of it is saved"));
  CHECK(text_of(file) == before);
  CHECK_FALSE(driver.app().ask_to_close());
  driver.settle();
  REQUIRE(driver.has("save.leave"));
  driver.click("save.stay");
  CHECK(driver.has("panel.lesson")); // practice goes on
  CHECK_FALSE(driver.app().ask_to_close());
  driver.settle();
  driver.click_last("save.leave");
  driver.frames(2);
  CHECK(driver.app().leaving());
  CHECK(driver.bench().document().fitted.cam_key_deg == 1.0);
}

TEST_CASE("what waits while one practises is saved, and practice goes on when it cannot be") {
  const OwnFolder folder("lesson-saving");
  const fs::path file = folder / "sandling-14.build.toml";
  const fs::path other = folder / "other.build.toml";
  fs::copy_file(file, other);
  Driver driver(opened(file), learning_options(folder / "state"));
  driver.click("step.base_timing");
  driver.enter("fitted.cam_key", "1");
  driver.click("step.lessons");
  driver.click("lesson.one-tooth");
  driver.click("step.base_timing");
  driver.enter("fitted.cam_key", "3"); // on the bench for practice
  const auto saved = [&] { return phasewright::viewer::opened(file).build.fitted; };
  SECTION("on closing") {
    CHECK_FALSE(driver.app().ask_to_close());
    driver.settle();
    driver.enter("save.path", (folder / "no" / "such" / "folder.build.toml").string());
    driver.settle();
    CHECK(driver.has("panel.lesson"));
    CHECK_FALSE(driver.app().leaving());
    driver.click("save.stay");
    CHECK_FALSE(driver.app().ask_to_close());
    driver.settle();
    driver.click_last("save.do");
    driver.frames(2);
    CHECK(driver.app().leaving());
    CHECK(saved().cam_key_deg == 1.0);
  }
  SECTION("before another file is opened") {
    driver.drop(other.string());
    driver.settle();
    REQUIRE(driver.has("save.stay"));
    CHECK(driver.has("panel.lesson"));
    driver.key(Key::enter);
    driver.settle();
    CHECK_FALSE(driver.has("panel.lesson"));
    CHECK(driver.bench().path() == other.string());
    CHECK(saved().cam_key_deg == 1.0);
  }
  SECTION("before another file that is gone then") {
    driver.drop(other.string());
    driver.settle();
    fs::remove(other);
    driver.click("save.leave");
    CHECK(driver.has("panel.lesson"));
    CHECK(driver.has("open.path"));
    CHECK(saved().cam_key_deg == 0.0);
  }
}

TEST_CASE("a bad lesson file is said beside the good ones") {
  const OwnFolder folder("lesson-bad");
  fs::create_directory(folder / "lessons");
  fs::copy_file(fs::path(PHASEWRIGHT_LESSONS) / "3-one-tooth.toml", folder / "lessons" / "1.toml");
  std::ofstream(folder / "lessons" / "2.toml") << "format = \"phasewright-lesson/1\"\nname = 3\n";
  ViewerOptions options = learning_options();
  options.lessons = folder / "lessons";
  Driver driver(opened(folder / "sandling-14.build.toml"), options);
  CHECK(driver.has("lesson.one-tooth"));
  CHECK(driver.shows_in("side", "2.toml:2"));
}

TEST_CASE("lessons read well with large letters, by night and in a low window") {
  for (const double scale : {1.0, 1.5}) {
    ViewerOptions options = learning_options();
    options.theme = Theme::night;
    options.scale = scale;
    options.width_px = scale > 1.0 ? 1600 : 1024;
    options.height_px = scale > 1.0 ? 1000 : 640;
    INFO("scale " << scale);
    const Result<Opened> demo = open_demo();
    REQUIRE(demo.ok());
    Driver driver(*demo, options);
    check_screen(driver);
    for (const char* name : {"tdc-by-a-stop", "valves-and-piston"}) {
      driver.click(std::string("lesson.") + name);
      driver.settle();
      check_screen(driver);
      driver.keep(fmt::format("lesson-{}-{}", name, scale));
      driver.click("lesson.leave");
      driver.settle();
    }
  }
}
