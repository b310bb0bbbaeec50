// Files made from within the viewer: each is the one that the command makes which the panel names, byte for byte.
#include "viewer/driver.hpp"
#include "viewer/own_folder.hpp"
#include "viewer/screen_checks.hpp"

#include "cli/maker.hpp"
#include "support/catch.hpp"
#include "viewer/output.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>

using namespace phasewright;
using namespace phasewright::viewer;

namespace {

namespace fs = std::filesystem;

ViewerOptions making_options() {
  ViewerOptions options = test_options();
  options.maker =
      cli::command_maker({.models = PHASEWRIGHT_MODELS, .shaders = PHASEWRIGHT_SHADERS, .assets = {}, .lessons = {}});
  options.page = ViewerPage::sheet;
  return options;
}

// Whether the preview has something drawn in it: not all of one colour.
bool is_drawn(Driver& driver) {
  const Image screen = driver.read();
  const ScreenRect leaf = driver.where("output.leaf");
  const ScreenRect pane = driver.where("output");
  const auto pixel = [&screen](int x, int y) {
    const std::size_t at =
        (static_cast<std::size_t>(y) * static_cast<std::size_t>(screen.width_px) + static_cast<std::size_t>(x)) * 4;
    return std::array{screen.rgba[at], screen.rgba[at + 1], screen.rgba[at + 2]};
  };
  const int left = static_cast<int>(std::max(leaf.left, pane.left)) + 3;
  const int right = static_cast<int>(std::min(leaf.right, pane.right)) - 3;
  const int top = static_cast<int>(std::max(leaf.top, pane.top + 50)) + 3;
  const int bottom = static_cast<int>(std::min(leaf.bottom, pane.bottom)) - 3;
  const auto first = pixel(left, top);
  for (int y = top; y < bottom; ++y)
    for (int x = left; x < right; ++x)
      if (pixel(x, y) != first) return true;
  return false;
}

// What the command does that the panel names, its file going elsewhere.
int run_named_command(Driver& driver, const std::string& output) {
  const Result<Order> order = order_of(driver.bench(), driver.view());
  REQUIRE(order.ok());
  Order elsewhere = *order;
  REQUIRE(elsewhere.at(elsewhere.size() - 2) == "-o");
  elsewhere.back() = output;
  std::string line = command_line(elsewhere, driver.bench().path());
  REQUIRE(line.starts_with("phasewright "));
  line = fmt::format("'{}' {} > /dev/null", PHASEWRIGHT_PROGRAM, line.substr(std::string("phasewright ").size()));
  INFO(line);
  return std::system(line.c_str()); // NOLINT: a shell is what the words are for
}

} // namespace

TEST_CASE("each file is previewed, made, and the one its command makes") {
  const OwnFolder folder("output 'each'"); // a shell must not stumble over it
  Driver driver(opened(folder / "sandling-14.build.toml"), making_options());
  struct Row {
    const char* kind;
    const char* file; // its choice; empty = the only one
    const char* ending;
    bool leaf; // its preview is a leaf, else lines
  };
  const std::array<Row, 12> rows{{{"build sheet", "PDF", ".pdf", true},
                                  {"build sheet", "web page", ".html", true},
                                  {"build sheet", "SVG", ".svg", true},
                                  {"degree wheel", "PDF", ".pdf", true},
                                  {"degree wheel", "PNG", ".png", true},
                                  {"key card", "PDF", ".pdf", true},
                                  {"picture", "", ".png", true},
                                  {"film", "GIF", ".gif", true},
                                  {"film", "MP4", ".mp4", true},
                                  {"3D model", "", ".glb", true},
                                  {"curves", "", ".csv", false},
                                  {"all figures", "", ".json", false}}};
  for (const Row& row : rows) {
    INFO(row.kind << " " << row.file);
    driver.click(std::string("output.kind.") + row.kind);
    if (*row.file != '\0') driver.click(std::string("output.file.") + row.file);
    if (std::string(row.kind) == "film") {
      driver.enter("output.frames", "3");
      driver.enter("output.width", "320");
      driver.enter("output.height", "200");
    }
    driver.settle();
    CHECK(driver.has("output.leaf") == row.leaf);
    if (row.leaf) CHECK(is_drawn(driver));
    check_screen(driver);
    driver.keep(fmt::format("output-{}-{}", row.kind, row.file));
    const fs::path made = output_path(driver.bench(), driver.view());
    CHECK(made.parent_path() == (folder / "x").parent_path());
    CHECK(made.extension() == row.ending);
    driver.click("output.make");
    driver.settle();
    CHECK(driver.shows_in("side", "It is made"));
    const fs::path other = made.parent_path() / fmt::format("by-command{}", row.ending);
    const int status = run_named_command(driver, other.string());
    const bool stands_ill = driver.shows_in("side", "not safe or out of limits");
    CHECK(WEXITSTATUS(status) == (stands_ill ? 1 : 0));
    // Of a print on several pages the files are numbered.
    const bool numbered = !fs::exists(made);
    const auto name = [numbered](const fs::path& path) {
      return numbered ? path.parent_path() / fmt::format("{}-1{}", path.stem().string(), path.extension().string())
                      : path;
    };
    REQUIRE(fs::exists(name(made)));
    CHECK(fs::file_size(name(made)) > 200);
    CHECK((text_of(name(made)) == text_of(name(other))));
  }
}

TEST_CASE("a film says how far it is and can be stopped, leaving nothing") {
  const OwnFolder folder("output-film");
  Driver driver(opened(folder / "sandling-14.build.toml"), making_options());
  driver.click("output.kind.film");
  driver.click("output.file.GIF");
  driver.enter("output.width", "160");
  driver.enter("output.height", "100");
  driver.enter("output.frames", "2000");
  driver.settle();
  driver.key(Key::p, true);
  int waited = 0;
  while (!driver.has("output.progress")) { // the first frame has come
    driver.frames();
    REQUIRE(++waited < 100000);
  }
  CHECK(driver.shows_in("side", "of 2000 frames"));
  CHECK_FALSE(driver.has("output.make"));
  const auto turned = driver.view().crank_deg;
  driver.key(Key::right); // the screen goes on meanwhile
  CHECK(driver.view().crank_deg == turned + 1.0);
  driver.click("output.cancel");
  driver.settle();
  CHECK(driver.shows_in("side", "Nothing was written"));
  CHECK_FALSE(fs::exists(output_path(driver.bench(), driver.view())));
  for (const auto& entry : fs::directory_iterator(folder / "")) CHECK(entry.path().extension() != ".tmp");
  check_screen(driver);
}

TEST_CASE("what cannot be made says why, and nothing is written") {
  const OwnFolder folder("output-refused");
  Driver driver(opened(folder / "sandling-14.build.toml"), making_options());
  driver.click("output.kind.degree wheel");
  driver.enter("output.bore", "400");
  driver.settle();
  CHECK(driver.shows_in("output", "--bore"));
  driver.click("output.make");
  driver.settle();
  CHECK(driver.shows_in("side", "It was not made"));
  CHECK(driver.shows_in("side", "--bore"));
  CHECK_FALSE(fs::exists(output_path(driver.bench(), driver.view())));
  driver.enter("output.bore", "30");
  driver.settle();
  CHECK(driver.has("output.leaf"));
  // Into a folder that is not there.
  driver.enter("output.path", (folder / "nowhere" / "wheel.pdf").string());
  driver.click("output.make");
  driver.settle();
  CHECK(driver.shows_in("side", "It was not made"));
  driver.enter("output.path", (folder / "wheel.doc").string());
  driver.settle();
  CHECK(driver.shows_in("output", ".pdf, .svg or .png"));
}

TEST_CASE("what is tried by hand is no option of the plan and is said so") {
  const OwnFolder folder("output-by-hand");
  Driver driver(opened(folder / "sandling-14.build.toml"), making_options());
  driver.click("step.correction");
  driver.enter("plan.cam_key", "1.7");
  driver.click("step.sheet");
  driver.settle();
  REQUIRE_FALSE(driver.bench().tried_option().has_value());
  CHECK(driver.shows_in("output", "no option of the plan"));
  const fs::path path = output_path(driver.bench(), driver.view());
  driver.key(Key::p, true);
  driver.settle();
  CHECK_FALSE(fs::exists(path));
  driver.click("shown.as fitted");
  driver.settle();
  CHECK(driver.has("output.leaf"));
  CHECK(driver.shows_in("side", "as fitted"));
  CHECK(driver.shows_in("side", "--record"));
}

TEST_CASE("a file that is there is replaced when that is asked for twice, and no outcome stands for another choice") {
  const OwnFolder folder("output-replace");
  Driver driver(opened(folder / "sandling-14.build.toml"), making_options());
  const fs::path path = output_path(driver.bench(), driver.view());
  driver.click("output.make");
  driver.settle();
  CHECK(driver.shows_in("side", "It is made."));
  const std::string planned = text_of(path);
  driver.click("shown.as fitted");
  driver.settle();
  CHECK_FALSE(driver.shows_in("side", "It is made."));
  CHECK(driver.shows_in("side", "another choice"));
  driver.key(Key::p, true);
  driver.settle();
  CHECK((text_of(path) == planned));
  CHECK(driver.shows_in("side", "Press again to replace it"));
  driver.click("output.make");
  driver.settle();
  CHECK((text_of(path) != planned));
  CHECK(driver.shows_in("side", "It is made."));
  // Pages with numbers are there as well.
  driver.click("output.file.PNG");
  driver.click("output.make");
  driver.settle();
  REQUIRE(fs::exists(folder / "sandling-14-sheet-1.png"));
  driver.click("output.make");
  driver.settle();
  CHECK(driver.shows_in("side", "Press again to replace it"));
}

TEST_CASE("what is not safe is said before anything is made of it, and in the picture") {
  const OwnFolder folder("output-unsafe");
  Driver driver(opened(folder / "sandling-14.build.toml"), making_options());
  driver.click("output.kind.picture");
  driver.settle();
  const fs::path path = output_path(driver.bench(), driver.view());
  driver.click("output.labels.none");
  driver.click("shown.as fitted");
  driver.settle();
  CHECK_FALSE(driver.shows_in("side", "NOT SAFE"));
  driver.click("output.make");
  driver.settle();
  const std::string safe = text_of(path);
  driver.click("step.base_timing");
  driver.enter("fitted.lay", "6");
  driver.click("step.sheet");
  driver.settle();
  CHECK(driver.shows_in("side", "NOT SAFE"));
  driver.keep("output-unsafe");
  check_screen(driver);
}

TEST_CASE("a name alone that is typed is beside the build, and ~ the home folder") {
  const OwnFolder folder("output-name");
  Driver driver(opened(folder / "sandling-14.build.toml"), making_options());
  driver.enter("output.path", "mine.pdf");
  CHECK(output_path(driver.bench(), driver.view()) == (folder / "mine.pdf").string());
  driver.click("output.make");
  driver.settle();
  CHECK(fs::exists(folder / "mine.pdf"));
  const char* home = std::getenv("HOME");
  REQUIRE(home != nullptr);
  driver.enter("output.path", "~/mine.pdf");
  CHECK(output_path(driver.bench(), driver.view()) == std::string(home) + "/mine.pdf");
}

TEST_CASE("a preview stands only under its own kind of file") {
  const OwnFolder folder("output-own");
  Driver driver(opened(folder / "sandling-14.build.toml"), making_options());
  REQUIRE(driver.has("output.leaf"));
  driver.key(Key::p); // the frame in which the wheel's is not there yet
  CHECK_FALSE(driver.has("output.leaf"));
  CHECK(driver.shows_in("output", "Drawing"));
  driver.settle();
  CHECK(driver.has("output.leaf"));
}

TEST_CASE("a sheet has what is on the screen, saved or not") {
  const OwnFolder folder("output-unsaved");
  Driver driver(opened(folder / "sandling-14.build.toml"), making_options());
  driver.click("step.readings");
  driver.enter("put_by.date", "2026-03-09");
  REQUIRE(driver.bench().unsaved());
  driver.click("step.sheet");
  driver.click("output.file.web page");
  driver.settle();
  CHECK(driver.shows_in("side", "Save the build"));
  driver.click("output.make");
  driver.settle();
  CHECK(text_of(output_path(driver.bench(), driver.view())).find("2026-03-09") != std::string::npos);
}

TEST_CASE("by keyboard alone: the kind, its choices, pages, nearer, made") {
  const OwnFolder folder("output-keys");
  ViewerOptions options = making_options();
  options.page = ViewerPage::correction;
  Driver driver(opened(folder / "sandling-14.build.toml"), options);
  // Left while it turns, the drive's picture is not smooth yet, and is not waited for.
  driver.key(Key::space);
  driver.frames(3);
  driver.key(Key::space);
  driver.key(Key::p, true);
  driver.settle();
  REQUIRE(driver.view().step == Step::sheet);
  REQUIRE(driver.view().output.leaves > 1);
  driver.key(Key::page_down);
  CHECK(driver.view().output.leaf == 1);
  driver.key(Key::plus);
  driver.key(Key::plus);
  driver.key(Key::plus);
  driver.settle();
  CHECK(driver.view().output.seen_high < 0.5);
  driver.key(Key::page_up); // up the page first
  driver.settle();
  CHECK(driver.view().output.leaf == 1);
  for (int i = 0; i < 8 && driver.view().output.leaf > 0; ++i) {
    driver.key(Key::page_up);
    driver.settle();
  }
  CHECK(driver.view().output.leaf == 0);
  CHECK(driver.view().output.seen_y > 0.5); // its foot
  driver.key(Key::f);
  CHECK(driver.view().output.zoom == 1.0);
  driver.key(Key::r);
  CHECK(driver.view().output.letter);
  driver.key(Key::x);
  driver.key(Key::x, false, true);
  CHECK(driver.view().output.ending[0] == 0);
  driver.key(Key::v);
  CHECK(driver.view().shown == Shown::planned);
  const Fitted planned = driver.bench().document().planned;
  driver.key(Key::p); // the wheel
  driver.key(Key::l);
  driver.key(Key::a);
  CHECK(driver.view().output.kind == OutputKind::wheel);
  CHECK(driver.view().output.reads == 1);
  CHECK(driver.view().output.events);
  CHECK((driver.bench().document().planned == planned)); // L lays no chain here
  driver.key(Key::p, false, true);
  driver.settle();
  driver.key(Key::p, true);
  driver.settle();
  CHECK(fs::exists(output_path(driver.bench(), driver.view())));
}

TEST_CASE("the preview is moved and zoomed by the pointer, and stays in sight") {
  const OwnFolder folder("output-pointer");
  Driver driver(opened(folder / "sandling-14.build.toml"), making_options());
  const ScreenRect all = driver.where("output.leaf");
  for (int i = 0; i < 10; ++i) driver.wheel("output", 1.0f);
  driver.settle();
  const ScreenRect near = driver.where("output.leaf");
  CHECK(near.width() > 4.0f * all.width());
  CHECK(is_drawn(driver));
  driver.drag("output", 0.5f, 0.9f);
  driver.drag("output", 0.5f, 0.5f, 0.5f, 0.9f);
  driver.settle();
  const ScreenRect moved = driver.where("output.leaf");
  CHECK(moved.left > near.left);
  CHECK(moved.top > near.top);
  for (int i = 0; i < 20; ++i) driver.drag("output", 0.1f, 0.9f);
  driver.settle();
  const ScreenRect pane = driver.where("output");
  CHECK(driver.where("output.leaf").left < pane.left + 40.0f);
  driver.click("output.fit");
  driver.settle();
  CHECK(driver.where("output.leaf").width() == all.width());
}

TEST_CASE("another file that is opened has its own previews") {
  const OwnFolder folder("output-other");
  Driver driver(opened(folder / "sandling-14.build.toml"), making_options());
  driver.drop((folder / "marram-1420.toml").string());
  driver.settle();
  REQUIRE(driver.bench().build().title.empty());
  CHECK(driver.view().step == Step::sheet);
  CHECK(driver.has("output.leaf"));
  CHECK(is_drawn(driver));
  check_screen(driver);
}

TEST_CASE("without a maker the panel says so and makes nothing") {
  ViewerOptions options = making_options();
  options.maker = nullptr;
  const Result<Opened> demo = open_demo();
  REQUIRE(demo.ok());
  Driver driver(*demo, options);
  CHECK(driver.shows_in("output", "Nothing here can make files"));
  driver.key(Key::p, true);
  driver.settle();
  CHECK_FALSE(driver.shows_in("side", "It is made"));
}

TEST_CASE("every kind of file reads well in a low window, by night, with large letters, and at any engine") {
  for (const char* model : {"dunlin-3.build.toml", "marram-2050.toml", "sandling-14.build.toml"})
    for (const double scale : {1.0, 1.5}) {
      ViewerOptions options = making_options();
      options.theme = scale > 1.0 ? Theme::night : Theme::day;
      options.scale = scale;
      options.width_px = scale > 1.0 ? 1600 : 1024;
      options.height_px = scale > 1.0 ? 1000 : 640;
      options.thou = scale > 1.0;
      INFO(model << " at " << scale);
      Driver driver(opened(fs::path(PHASEWRIGHT_MODELS) / model), options);
      for (std::size_t kind = 0; kind < output_kinds; ++kind) {
        driver.settle();
        check_screen(driver);
        driver.keep(fmt::format("output-{}-{}-{}", model, scale, kind));
        driver.key(Key::p);
      }
    }
}
