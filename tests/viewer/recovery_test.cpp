// Work that is not saved outlives the viewer's being ended by the system, and is asked about once.
#include "viewer/driver.hpp"
#include "viewer/own_folder.hpp"
#include "viewer/screen_checks.hpp"

#include "support/catch.hpp"
#include "viewer/recovery.hpp"

#include <chrono>

using namespace phasewright;
using namespace phasewright::viewer;

namespace {

namespace fs = std::filesystem;

ViewerOptions keeping_in(const fs::path& folder) {
  ViewerOptions options = test_options();
  options.state_folder = folder;
  return options;
}

// The files in which work is kept.
std::vector<fs::path> kept_in(const fs::path& folder) {
  std::vector<fs::path> files;
  if (!fs::exists(folder)) return files;
  for (const auto& entry : fs::directory_iterator(folder))
    if (entry.path().extension() == ".toml" && entry.path().filename().string().starts_with("unsaved-"))
      files.push_back(entry.path());
  return files;
}

// But for the list of files that were open.
bool is_idle(const fs::path& state) {
  return std::distance(fs::directory_iterator(state), {}) == 1 && fs::exists(state / "recent");
}

void set_cam_key(Driver& driver, const std::string& deg) {
  driver.click("step.base_timing");
  driver.enter("fitted.cam_key", deg);
}

// A viewer that changes one thing and is then gone, as if it were killed.
void leave_work_behind(const fs::path& file, const fs::path& state, const std::string& deg = "1") {
  Driver driver(opened(file), keeping_in(state));
  set_cam_key(driver, deg);
}

} // namespace

TEST_CASE("nothing is written while nothing is changed") {
  const OwnFolder folder("recovery-idle");
  const fs::path state = folder / "state";
  {
    Driver driver(opened(folder / "sandling-14.build.toml"), keeping_in(state));
    driver.key(Key::right);
    driver.click("plan.cam_key.plus"); // only tried
    driver.frames(20);
    CHECK(driver.app().ask_to_close());
  }
  CHECK(is_idle(state));
}

TEST_CASE("work that was left behind is asked about and taken up in one step") {
  const OwnFolder folder("recovery-take-up");
  const fs::path file = folder / "sandling-14.build.toml";
  const fs::path state = folder / "state";
  const std::string before = text_of(file);
  Fitted tried;
  {
    Driver driver(opened(file), keeping_in(state));
    set_cam_key(driver, "1");
    driver.click("step.end_float");
    driver.enter("float.new", "0.13");
    driver.click("step.correction");
    driver.click("plan.cam_key.plus");
    tried = driver.bench().document().planned;
  }
  REQUIRE(kept_in(state).size() == 1);
  CHECK(text_of(file) == before);

  Driver driver(opened(file), keeping_in(state));
  REQUIRE(driver.has("left.take_up"));
  CHECK(driver.shows_in("left_card", "sandling-14.build.toml"));
  CHECK(driver.shows_in("left_card", "2 things differ there"));
  driver.keep("left");
  check_screen(driver);
  check_apart(driver, "left_card");
  CHECK_FALSE(driver.bench().unsaved());
  driver.key(Key::k); // nothing below the card can be worked
  CHECK_FALSE(driver.bench().can_undo());
  driver.key(Key::enter);
  driver.settle();
  CHECK_FALSE(driver.has("left.take_up"));
  CHECK(driver.bench().document().fitted.cam_key_deg == 1.0);
  CHECK(driver.bench().document().measured.float_mm.back() == 0.13);
  CHECK(driver.bench().document().planned == tried);
  CHECK(driver.bench().unsaved());
  driver.key(Key::z, true);
  driver.settle();
  CHECK_FALSE(driver.bench().unsaved());
  CHECK_FALSE(driver.bench().can_undo());
}

TEST_CASE("what was taken up stays kept until it is saved") {
  const OwnFolder folder("recovery-kept-on");
  const fs::path file = folder / "sandling-14.build.toml";
  const fs::path state = folder / "state";
  leave_work_behind(file, state);
  {
    Driver driver(opened(file), keeping_in(state));
    driver.click("left.take_up");
  }
  REQUIRE(kept_in(state).size() == 1);
  {
    Driver driver(opened(file), keeping_in(state));
    driver.click("left.take_up");
    driver.key(Key::s, true);
    driver.settle();
    CHECK_FALSE(driver.bench().unsaved());
    CHECK(kept_in(state).empty());
  }
  CHECK(is_idle(state)); // nor is a lock left
  CHECK(opened(file).build.fitted.cam_key_deg == 1.0);
  Driver driver(opened(file), keeping_in(state));
  CHECK_FALSE(driver.has("left.take_up"));
}

TEST_CASE("work that is put aside is not asked about again and can still be had by hand") {
  const OwnFolder folder("recovery-aside");
  const fs::path file = folder / "sandling-14.build.toml";
  const fs::path state = folder / "state";
  leave_work_behind(file, state);
  const std::string kept = text_of(kept_in(state).at(0));
  {
    Driver driver(opened(file), keeping_in(state));
    driver.key(Key::left); // the button beside
    driver.key(Key::enter);
    driver.settle();
    CHECK_FALSE(driver.has("left.take_up"));
    CHECK_FALSE(driver.bench().unsaved());
  }
  CHECK(kept_in(state).empty());
  Driver driver(opened(file), keeping_in(state));
  CHECK_FALSE(driver.has("left.take_up"));
  fs::remove(state / "recent");
  REQUIRE(std::distance(fs::directory_iterator(state), {}) == 1);
  const fs::path aside = fs::directory_iterator(state)->path();
  CHECK(aside.filename().string().starts_with("aside-unsaved-"));
  CHECK(text_of(aside) == kept);
}

TEST_CASE("not now leaves the work where it is and other work beside it") {
  const OwnFolder folder("recovery-later");
  const fs::path file = folder / "sandling-14.build.toml";
  const fs::path state = folder / "state";
  leave_work_behind(file, state, "1");
  {
    Driver driver(opened(file), keeping_in(state));
    driver.key(Key::escape);
    driver.settle();
    CHECK_FALSE(driver.has("left.take_up"));
    set_cam_key(driver, "2");
  }
  CHECK(kept_in(state).size() == 2);
  {
    Driver driver(opened(file), keeping_in(state));
    driver.click("left.take_up");
    CHECK(driver.bench().document().fitted.cam_key_deg == 1.0);
    driver.key(Key::s, true);
    driver.settle();
  }
  // The work beside it goes by a file that is no more. Were it older than the new one, it would be put aside.
  fs::last_write_time(kept_in(state).at(0), fs::last_write_time(file) + std::chrono::seconds(1));
  Driver driver(opened(file), keeping_in(state));
  REQUIRE(driver.has("left.take_up"));
  CHECK(driver.shows_in("left_card", "changed by something else"));
  driver.click("left.take_up");
  CHECK(driver.bench().document().fitted.cam_key_deg == 2.0);
}

TEST_CASE("leaving without saving gives up what was kept") {
  const OwnFolder folder("recovery-given-up");
  const fs::path file = folder / "sandling-14.build.toml";
  const fs::path state = folder / "state";
  {
    Driver driver(opened(file), keeping_in(state));
    set_cam_key(driver, "1");
    CHECK_FALSE(driver.app().ask_to_close());
    driver.frames(2);
    driver.key(Key::left);
    driver.key(Key::enter);
    CHECK(driver.app().leaving());
  }
  CHECK(is_idle(state));
}

TEST_CASE("taking the changes back takes back what was kept") {
  const OwnFolder folder("recovery-undone");
  const fs::path state = folder / "state";
  {
    Driver driver(opened(folder / "sandling-14.build.toml"), keeping_in(state));
    set_cam_key(driver, "1");
    driver.key(Key::z, true);
    driver.settle();
  }
  CHECK(is_idle(state));
}

TEST_CASE("two viewers on one build keep their work apart") {
  const OwnFolder folder("recovery-two");
  const fs::path file = folder / "sandling-14.build.toml";
  const fs::path other = folder / "other.build.toml";
  fs::copy(file, other);
  const fs::path state = folder / "state";
  const WorkOf of = work_of(file);
  const Build build = opened(file).build;
  Recovery first(state);
  Recovery second(state);
  Recovery third(state);
  CHECK_FALSE(first.begin(of));
  Build changed = build;
  changed.fitted.cam_key_deg = 1.0;
  first.keep(changed, changed.fitted);
  first.finish();
  REQUIRE(kept_in(state).size() == 1);
  CHECK_FALSE(second.begin(of)); // the first is at work on it
  changed.fitted.cam_key_deg = 2.0;
  second.keep(changed, changed.fitted);
  second.finish();
  CHECK(kept_in(state).size() == 2);
  CHECK_FALSE(third.begin(work_of(other)));
  third.keep(changed, changed.fitted);
  third.finish();
  CHECK(kept_in(state).size() == 3);
  first.drop();
  first.finish();
  CHECK(kept_in(state).size() == 2);
}

TEST_CASE("work older than a file that was changed since is put aside and said so") {
  const OwnFolder folder("recovery-older");
  const fs::path file = folder / "sandling-14.build.toml";
  const fs::path state = folder / "state";
  leave_work_behind(file, state);
  Build other = opened(file).build;
  other.fitted.cam_key_deg = 3.0;
  REQUIRE_FALSE(save_build(file, other));
  fs::last_write_time(file, fs::last_write_time(kept_in(state).at(0)) + std::chrono::hours(1));
  Driver driver(opened(file), keeping_in(state));
  CHECK_FALSE(driver.has("left.take_up"));
  CHECK(driver.shows_in("notice", "older than the file"));
  driver.keep("notice");
  check_screen(driver);
  check_apart(driver, "notice");
  CHECK(kept_in(state).empty());
  driver.click("notice.away");
  CHECK_FALSE(driver.has("notice.away"));
}

TEST_CASE("kept work that cannot be read is put aside and said so") {
  const OwnFolder folder("recovery-broken");
  const fs::path file = folder / "sandling-14.build.toml";
  const fs::path state = folder / "state";
  leave_work_behind(file, state);
  const fs::path kept = kept_in(state).at(0);
  for (const std::string text : {"", "no TOML at all", "format = \"phasewright-build/1\"\nengine = 3\n"}) {
    std::ofstream(kept) << text;
    Driver driver(opened(file), keeping_in(state));
    CHECK_FALSE(driver.has("left.take_up"));
    CHECK(driver.shows_in("notice", "cannot be read"));
    CHECK(kept_in(state).empty());
  }
}

TEST_CASE("the demo's work is kept too") {
  const OwnFolder folder("recovery-demo");
  const ViewerOptions options = keeping_in(folder / "state");
  const Result<Opened> demo = open_demo();
  REQUIRE(demo.ok());
  {
    Driver driver(*demo, options);
    set_cam_key(driver, "1");
  }
  Driver driver(*demo, options);
  REQUIRE(driver.has("left.take_up"));
  CHECK(driver.shows_in("left_card", "demo."));
  driver.click("left.take_up");
  CHECK(driver.bench().document().fitted.cam_key_deg == 1.0);
}

TEST_CASE("a folder that cannot be written is said once and work goes on") {
  const OwnFolder folder("recovery-no-folder");
  std::ofstream(folder / "state") << "a file where the folder would be";
  Driver driver(opened(folder / "sandling-14.build.toml"), keeping_in(folder / "state"));
  set_cam_key(driver, "1");
  driver.finish_keeping();
  driver.settle();
  CHECK(driver.shows_in("notice", "What is not saved is lost if the viewer ends by itself"));
  driver.keep("notice-fault");
  set_cam_key(driver, "1.5"); // it does not keep anyone from working
  CHECK(driver.bench().document().fitted.cam_key_deg == 1.5);
  CHECK(driver.has("notice.away"));
  driver.key(Key::escape);
  driver.settle();
  CHECK_FALSE(driver.has("notice.away"));
  set_cam_key(driver, "2");
  driver.finish_keeping();
  driver.settle();
  CHECK_FALSE(driver.has("notice.away"));
  driver.key(Key::s, true);
  driver.settle();
  CHECK_FALSE(driver.bench().unsaved());
}

TEST_CASE("kept text says where it belongs and comes back whole") {
  const Result<Opened> demo = open_demo();
  REQUIRE(demo.ok());
  UnsavedWork work{{"/a folder/with \"quotes\" and\na line.toml", "0123456789abcdef"}, demo->build, {}};
  work.tried = work.build.fitted;
  work.tried.lay = 1;
  work.tried.cam_key_deg = 2.5;
  const std::string text = unsaved_text(work);
  const Result<UnsavedWork> again = read_unsaved(text, "kept", *demo->engine);
  INFO((again ? std::string() : to_text(again.problems())));
  REQUIRE(again.ok());
  CHECK(again->of.file == work.of.file);
  CHECK(again->of.digest == work.of.digest);
  CHECK(again->tried == work.tried);
  CHECK(build_text(again->build) == build_text(work.build));
}

// Asking while the thread takes away what was asked for before must not leave it with nothing to write. That is met
// once in some hundred thousand times.
TEST_CASE("kept over and over it is never less than the whole build") {
  const OwnFolder folder("recovery-over-and-over");
  const fs::path state = folder / "state";
  const Result<Opened> demo = open_demo();
  REQUIRE(demo.ok());
  Recovery recovery(state, Recovery::Pause(0));
  CHECK_FALSE(recovery.begin({}).has_value());
  Build build = demo->build;
  recovery.keep(build, build.fitted);
  recovery.finish();
  const std::vector<fs::path> files = kept_in(state);
  REQUIRE(files.size() == 1);
  const std::string engine = "\nengine = \"marram-1420.toml\"\n";
  int without = 0;
  for (int i = 0; i < 500000; ++i) {
    build.measured.note = std::to_string(i);
    recovery.keep(build, build.fitted);
    without += text_of(files[0]).find(engine) == std::string::npos ? 1 : 0;
  }
  CHECK(without == 0);
  recovery.finish();
  const Result<UnsavedWork> kept = read_unsaved(text_of(files[0]), "kept", *demo->engine);
  REQUIRE(kept.ok());
  CHECK(kept->build.measured.note == build.measured.note);
}
