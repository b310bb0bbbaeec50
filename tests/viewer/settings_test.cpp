// What the viewer keeps of how a person likes it.
#include "viewer/driver.hpp"
#include "viewer/own_folder.hpp"

#include "support/catch.hpp"
#include "viewer/settings.hpp"

using namespace phasewright;
using namespace phasewright::viewer;

namespace fs = std::filesystem;

TEST_CASE("settings come back as they were written") {
  const OwnFolder folder("settings");
  const Settings settings{
      .theme = Theme::night, .scale = 1.25, .units = Units::thou, .width_px = 1400, .height_px = 900};
  std::ofstream(folder / "viewer.toml") << settings_text(settings);
  const Result<Settings> again = read_settings(folder / "viewer.toml");
  REQUIRE(again.ok());
  CHECK(*again == settings);
  const Result<Settings> none = read_settings(folder / "none.toml");
  REQUIRE(none.ok());
  CHECK(*none == Settings{});
}

TEST_CASE("a broken settings file is a problem with its place") {
  const OwnFolder folder("settings-broken");
  const fs::path file = folder / "viewer.toml";
  const auto problem_of = [&](const std::string& text) {
    std::ofstream(file) << text;
    const Result<Settings> read = read_settings(file);
    REQUIRE_FALSE(read.ok());
    return to_text(read.problems().front());
  };
  const std::string head = "format = \"phasewright-viewer/1\"\n";
  CHECK(problem_of("") == file.string() + ": found an empty file, allowed text");
  CHECK(problem_of("theme = \"night\"\n").find("format: found nothing") != std::string::npos);
  CHECK(problem_of(head + "theme = \"dusk\"\n").find(":2:9: theme: found \"dusk\", allowed \"day\" or \"night\"") !=
        std::string::npos);
  CHECK(problem_of(head + "scale = 12\n").find("scale: found 12, allowed 0.75 to 3") != std::string::npos);
  CHECK(problem_of(head + "scale = nan\n").find("scale: found nan") != std::string::npos);
  CHECK(problem_of(head + "width_px = \"wide\"\n").find("width_px: found \"wide\"") != std::string::npos);
  CHECK_FALSE(problem_of(head + "theme =\n").empty());
  CHECK_FALSE(problem_of(std::string("\x00\x01", 2)).empty());
}

TEST_CASE("only what is changed is kept") {
  const OwnFolder folder("settings-keeper");
  const fs::path file = folder / "config/phasewright/viewer.toml";
  Settings now{.theme = Theme::night, .scale = 1.0, .units = Units::mm, .width_px = 1280, .height_px = 800};
  SettingsKeeper keeper(file, now);
  keeper.update(now, false);
  keeper.update(now, true);
  CHECK_FALSE(fs::exists(file)); // the theme of the command line is for once
  now.units = Units::thou;
  keeper.update(now, false);
  Settings thou;
  thou.units = Units::thou;
  CHECK(*read_settings(file) == thou);
  now.width_px = 1500;
  keeper.update(now, false);
  CHECK(*read_settings(file) == thou); // a window is drawn large in many steps
  SettingsKeeper other(file, now);
  Settings others = now;
  others.scale = 1.5;
  other.update(others, false);
  keeper.update(now, true);
  CHECK(*read_settings(file) ==
        Settings{.theme = {}, .scale = 1.5, .units = Units::thou, .width_px = 1500, .height_px = 800});
}

TEST_CASE("settings that cannot be written are no trouble") {
  const OwnFolder folder("settings-nowhere");
  std::ofstream(folder / "config") << "a file where the folder would be";
  Settings now;
  SettingsKeeper keeper(folder / "config/viewer.toml", now);
  now.theme = Theme::night;
  keeper.update(now, true);
  CHECK(read_settings(folder / "config/viewer.toml").ok());
}

TEST_CASE("the units are those that were asked for") {
  const Result<Opened> demo = open_demo();
  REQUIRE(demo.ok());
  ViewerOptions options = test_options();
  options.thou = true;
  Driver driver(*demo, options);
  CHECK(driver.view().units == Units::thou);
}
