// Another file takes the place of the one that is open: chosen in the card, typed, or dropped on the window.
#include "viewer/driver.hpp"
#include "viewer/own_folder.hpp"
#include "viewer/screen_checks.hpp"

#include "support/catch.hpp"
#include "viewer/background.hpp"
#include "viewer/folder_list.hpp"

#include <fmt/format.h>

#include <atomic>
#include <latch>
#include <utility>

using namespace phasewright;
using namespace phasewright::viewer;

namespace {

namespace fs = std::filesystem;

constexpr const char* first_name = "sandling-14.build.toml";
constexpr const char* second_name = "dunlin-3.build.toml";

ViewerOptions keeping_in(const fs::path& folder) {
  ViewerOptions options = test_options();
  options.state_folder = folder;
  return options;
}

std::string row_of(const fs::path& path) {
  return "open.row." + path.string();
}

void ask_for_file(Driver& driver) {
  driver.key(Key::o, true);
  driver.settle();
  REQUIRE(driver.has("open.do"));
}

void set_cam_key(Driver& driver, const std::string& deg) {
  driver.click("step.base_timing");
  driver.enter("fitted.cam_key", deg);
  REQUIRE(driver.bench().unsaved());
}

void check_shows(Driver& driver, const fs::path& file) {
  const Opened other = opened(file);
  CHECK(driver.bench().path() == file.string());
  CHECK(driver.bench().engine().name == other.engine->name);
  CHECK(driver.shows_in("top", other.build.title.substr(0, 8)));
  CHECK_FALSE(driver.bench().unsaved());
  CHECK_FALSE(driver.bench().can_undo());
  CHECK_FALSE(driver.has("open.do"));
}

} // namespace

TEST_CASE("a file opened lately can be chosen in its folder's rows as well") {
  const OwnFolder folder("open-twice");
  Driver driver(opened(folder / first_name), keeping_in(folder / "state"));
  ask_for_file(driver);
  int rows = 0;
  for (const OpenRow& row : driver.view().open_card.rows) rows += row.path == (folder / first_name).string() ? 1 : 0;
  REQUIRE(rows == 2); // the recorder has the lower one
  driver.click(row_of(folder / first_name));
  CHECK_FALSE(driver.has("open.do"));
  check_shows(driver, folder / first_name);
}

TEST_CASE("a figure that is being typed when a file is dropped belongs to the file that is open") {
  const OwnFolder folder("open-typing");
  Driver driver(opened(folder / first_name), keeping_in(folder / "state"));
  driver.click("step.base_timing");
  driver.click("fitted.cam_key");
  driver.type("3");
  driver.drop((folder / second_name).string());
  CHECK(driver.bench().document().fitted.cam_key_deg == 3.0);
  CHECK(driver.bench().unsaved());
  CHECK(driver.has("panel.save_card")); // and is asked about
}

TEST_CASE("a file is chosen in the card by pointer and the screen shows its engine") {
  const OwnFolder folder("open-pointer");
  Driver driver(opened(folder / first_name), keeping_in(folder / "state"));
  driver.key(Key::right);
  driver.settle();
  const std::uint64_t picture = driver.picture().hash();
  driver.click("open");
  REQUIRE(driver.has("open.list"));
  driver.keep("open");
  check_screen(driver);
  check_apart(driver, "open_card");
  driver.click(row_of(folder / second_name));
  check_shows(driver, folder / second_name);
  CHECK(driver.picture().hash() != picture);
  CHECK(driver.view().crank_deg == 0.0);
  driver.keep("opened");
  check_screen(driver);
  driver.click("step.valves");
  driver.click("step.readings");
  check_screen(driver);
}

TEST_CASE("a file is chosen by keyboard alone") {
  const OwnFolder folder("open-keyboard");
  fs::create_directories(folder / "below/deeper");
  fs::copy(folder / second_name, folder / "below");
  fs::copy(fs::path(PHASEWRIGHT_MODELS), folder / "below",
           fs::copy_options::skip_existing | fs::copy_options::recursive);
  Driver driver(opened(folder / first_name), test_options());
  ask_for_file(driver);
  CHECK(driver.view().open_card.path == (folder / "below/../..").parent_path().lexically_normal().string() + "..");
  driver.key(Key::down); // from the folder above to the first folder
  CHECK(driver.view().open_card.path == (folder / "below").string());
  driver.key(Key::enter);
  driver.settle();
  REQUIRE(driver.has("open.do"));
  CHECK(driver.view().open_card.folder == (folder / "below").string());
  driver.key(Key::backspace);
  driver.settle();
  CHECK(driver.view().open_card.folder == (folder / "").parent_path().string());
  driver.type("below/"); // goes into the field
  driver.type(second_name);
  driver.key(Key::enter);
  driver.settle();
  check_shows(driver, folder / "below" / second_name);
}

TEST_CASE("the card's list is walked by keys and by wheel and goes with escape") {
  const OwnFolder folder("open-long");
  for (int i = 100; i < 160; ++i) fs::copy(folder / first_name, folder / ("many-" + std::to_string(i) + ".toml"));
  Driver driver(opened(folder / first_name), test_options());
  ask_for_file(driver);
  const std::string last = row_of(folder / "sandling-14.build.toml");
  CHECK_FALSE(driver.has(last));
  for (int i = 0; i < 10; ++i) driver.key(Key::page_down);
  driver.settle();
  CHECK(driver.has(row_of(driver.view().open_card.path)));
  CHECK(driver.view().open_card.chosen + 1 == driver.view().open_card.rows.size());
  driver.wheel("open.list", 1.0f);
  driver.wheel("open.list", 100.0f);
  CHECK(driver.view().open_card.first + 3 * 2 <= driver.view().open_card.rows.size());
  for (int i = 0; i < 10; ++i) driver.key(Key::page_up);
  driver.settle();
  CHECK(driver.view().open_card.first <= 1);
  check_screen(driver);
  check_apart(driver, "open_card");
  driver.key(Key::escape);
  driver.settle();
  CHECK_FALSE(driver.has("open.do"));
  CHECK(driver.bench().path() == (folder / first_name).string());
}

TEST_CASE("a broken file is refused in the reader's words and the work stays") {
  const OwnFolder folder("open-broken");
  const fs::path broken = folder / "broken.build.toml";
  std::ofstream(broken) << "format = \"phasewright-build/1\"\nengine = \"marram-1420.toml\"\n\n[fitted]\nlay = 99\n";
  Driver driver(opened(folder / first_name), test_options());
  set_cam_key(driver, "1");
  const Result<Opened> reader = open_any(broken);
  REQUIRE_FALSE(reader.ok());
  driver.drop(broken.string());
  REQUIRE(driver.has("open.do"));
  CHECK(driver.view().open_card.faults == std::vector<std::string>{to_text(reader.problems().front())});
  CHECK(driver.shows_in("open_card", "broken.build.toml:5:"));
  driver.keep("open-broken");
  check_screen(driver);
  check_apart(driver, "open_card");
  CHECK(driver.bench().document().fitted.cam_key_deg == 1.0);
  CHECK(driver.bench().can_undo());
  driver.enter("open.path", "no-such-file.toml");
  CHECK(driver.shows_in("open_card", "no such file"));
  driver.key(Key::escape);
  driver.settle();
  CHECK(driver.bench().path() == (folder / first_name).string());
  CHECK(driver.bench().document().fitted.cam_key_deg == 1.0);
}

TEST_CASE("a file with a great many faults leaves room for the list") {
  const OwnFolder folder("open-faults");
  std::string text = "format = \"phasewright-build/1\"\nengine = \"marram-1420.toml\"\n";
  for (int i = 0; i < 120; ++i) text += "unknown_key_" + std::to_string(i) + " = 1\n";
  std::ofstream(folder / "faults.toml") << text;
  for (const auto& [width, height, scale] :
       {std::tuple{1024, 700, 1.0}, {1280, 800, 1.0}, {1920, 1080, 1.0}, {3840, 2160, 2.0}}) {
    ViewerOptions options = test_options();
    options.width_px = width;
    options.height_px = height;
    options.scale = scale;
    options.state_folder = folder / "state";
    Driver driver(opened(folder / first_name), options);
    driver.drop((folder / "faults.toml").string());
    CHECK(driver.shows_in("open_card", "more"));
    REQUIRE(driver.has("open.list"));
    CHECK(driver.where("open.list").height() > 100.0f * static_cast<float>(scale));
    check_screen(driver);
    check_apart(driver, "open_card");
    driver.keep("open-faults-" + std::to_string(width));
  }
}

TEST_CASE("what is not saved is asked about before another file is opened") {
  const OwnFolder folder("open-unsaved");
  const fs::path file = folder / first_name;
  const fs::path other = folder / second_name;
  Driver driver(opened(file), keeping_in(folder / "state"));
  set_cam_key(driver, "1");
  SECTION("stay") {
    driver.drop(other.string());
    REQUIRE(driver.has("save.stay"));
    driver.keep("open-unsaved");
    check_screen(driver);
    check_apart(driver, "save_card");
    driver.click("save.stay");
    CHECK(driver.bench().path() == file.string());
    CHECK(driver.bench().document().fitted.cam_key_deg == 1.0);
    CHECK(driver.bench().unsaved());
    CHECK_FALSE(driver.has("save.stay"));
  }
  SECTION("save") {
    driver.drop(other.string());
    driver.key(Key::enter);
    driver.settle();
    check_shows(driver, other);
    CHECK(opened(file).build.fitted.cam_key_deg == 1.0);
  }
  SECTION("don't save") {
    const std::string before = text_of(file);
    driver.drop(other.string());
    driver.click("save.leave");
    check_shows(driver, other);
    CHECK_FALSE(driver.app().leaving());
    CHECK(text_of(file) == before);
    driver.drop(file.string()); // nor is it asked about again
    check_shows(driver, file);
    CHECK_FALSE(driver.has("left.take_up"));
  }
  SECTION("a drop while it is asked is nothing") {
    driver.drop(other.string());
    driver.drop(file.string());
    CHECK(driver.view().save.then_open == other.string());
  }
}

TEST_CASE("work goes on in the file that was opened and is kept and saved there") {
  const OwnFolder folder("open-work-on");
  const fs::path file = folder / first_name;
  const fs::path other = folder / second_name;
  const std::string before = text_of(file);
  {
    Driver driver(opened(file), keeping_in(folder / "state"));
    driver.drop(other.string());
    driver.click("step.end_float");
    driver.enter("float.new", "0.14");
  }
  {
    Driver driver(opened(file), keeping_in(folder / "state"));
    CHECK_FALSE(driver.has("left.take_up"));
    driver.drop(other.string());
    REQUIRE(driver.has("left.take_up"));
    driver.click("left.take_up");
    driver.key(Key::s, true);
    driver.settle();
  }
  CHECK(opened(other).build.measured.float_mm.back() == 0.14);
  CHECK(text_of(file) == before);
}

TEST_CASE("a file is opened while another's figures are sought, and shows none of them") {
  const OwnFolder folder("open-working");
  Driver driver(opened(folder / first_name), test_options());
  driver.click("step.parts");
  driver.key(Key::p);
  driver.key(Key::p); // what to expect, worked out beside the screen
  REQUIRE((driver.bench().working() || driver.bench().spread() != nullptr));
  driver.drop((folder / second_name).string());
  check_shows(driver, folder / second_name);
  CHECK_FALSE(driver.bench().working());
  CHECK(driver.bench().spread() == nullptr);
}

// As the workbench of a file that is closed is put by, until its work has ended.
TEST_CASE("work under way goes on where it is put by, without being waited for") {
  std::latch allowed(1);
  std::atomic<int> woken = 0;
  Background<int> work;
  work.start(
      [&allowed] {
        allowed.wait();
        return 7;
      },
      [&woken] { ++woken; });
  std::vector<Background<int>> put_by;
  put_by.push_back(std::exchange(work, {}));
  CHECK_FALSE(work.busy());
  CHECK(put_by.front().busy());
  CHECK_FALSE(put_by.front().ready());
  allowed.count_down();
  CHECK(put_by.front().take() == 7); // waits
  CHECK(woken == 1);
}

TEST_CASE("files that were open stand in the card with the last one first") {
  const OwnFolder folder("open-recent");
  const fs::path state = folder / "state";
  {
    Driver driver(opened(folder / first_name), keeping_in(state));
    driver.drop((folder / second_name).string());
  }
  CHECK(read_recent(state) ==
        std::vector<std::string>{(folder / second_name).string(), (folder / first_name).string()});
  Driver driver(opened(folder / first_name), keeping_in(state));
  ask_for_file(driver);
  CHECK(driver.shows_in("open_card", "open lately"));
  CHECK(driver.view().open_card.rows.at(1).path == (folder / first_name).string());
}

TEST_CASE("of the list of recent files what is broken or gone is passed over") {
  const OwnFolder folder("recent");
  const fs::path state = folder / "state";
  fs::create_directories(state);
  const std::string there = (folder / first_name).string();
  std::ofstream(state / "recent") << "not a whole path\n\n/no/such/file.toml\n" << there << "\n\x01/x\n" << there;
  CHECK(read_recent(state) == std::vector<std::string>{there});
  add_recent(state, folder / second_name);
  CHECK(read_recent(state) == std::vector<std::string>{(folder / second_name).string(), there});
  CHECK(text_of(state / "recent").find("/no/such/file.toml\n") != std::string::npos); // its disk may come back
  for (int i = 0; i < 15; ++i) {
    const fs::path copy = folder / ("copy-" + std::to_string(i) + ".toml");
    fs::copy(folder / first_name, copy);
    add_recent(state, copy);
  }
  CHECK(read_recent(state).size() == 10);
  CHECK(read_recent(state).front() == (folder / "copy-14.toml").string());
  std::ofstream(state / "recent") << std::string("\xFF\xFE\x00", 3);
  CHECK(read_recent(state).empty());
  CHECK(read_recent(folder / "none").empty());
}

TEST_CASE("a folder's list has folders first and nothing hidden") {
  const OwnFolder folder("list");
  fs::create_directories(folder / "a/zebra");
  fs::create_directories(folder / "a/.hidden");
  for (const char* name : {"b.toml", "a.build.toml", ".c.toml", "d.csv"}) std::ofstream(folder / "a" / name) << "x";
  const FolderList list = list_folder(folder / "a");
  REQUIRE(list.entries.size() == 3);
  CHECK(list.entries[0].folder);
  CHECK(list.entries[0].name == "zebra");
  CHECK(list.entries[1].name == "a.build.toml");
  CHECK(list.entries[2].name == "b.toml");
  CHECK(list.fault.empty());
  CHECK_FALSE(list.cut);
  CHECK_FALSE(list_folder(folder / "none").fault.empty());
}

TEST_CASE("a folder with more files than the card lists says so") {
  const OwnFolder folder("list-many");
  fs::create_directories(folder / "many");
  for (std::size_t i = 0; i < most_entries; ++i) std::ofstream(folder / "many" / fmt::format("{:04}.toml", i)) << "x";
  CHECK_FALSE(list_folder(folder / "many").cut);
  std::ofstream(folder / "many" / "last.toml") << "x";
  CHECK(list_folder(folder / "many").cut);
  CHECK(list_folder(folder / "many").entries.size() == most_entries);
  Driver driver(opened(folder / first_name), test_options());
  driver.drop((folder / "many").string());
  REQUIRE(driver.has("open.do"));
  const std::string says = "2000 of them are shown";
  CHECK(driver.view().open_card.rows.back().label.starts_with(says));
  CHECK(driver.view().open_card.rows.back().path.empty());
}
