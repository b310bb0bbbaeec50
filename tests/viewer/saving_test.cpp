// A build is saved into its file and comes back; what is not saved is asked about before the viewer closes.
#include "viewer/driver.hpp"
#include "viewer/own_folder.hpp"

#include "support/catch.hpp"
#include "viewer/document.hpp"

#include <filesystem>

using namespace phasewright;
using namespace phasewright::viewer;

namespace {

namespace fs = std::filesystem;

void save(Driver& driver) {
  driver.key(Key::s, true);
  driver.settle();
}

} // namespace

TEST_CASE("a changed build is saved into its file, comments and all, and comes back") {
  const OwnFolder folder("own-file");
  const fs::path file = folder / "sandling-14.build.toml";
  Driver driver(opened(file));
  CHECK_FALSE(driver.shows_in("top", "• "));
  driver.click("step.alignment");
  driver.click("shim.pack");
  driver.click("step.readings");
  driver.enter("lobe.1.opens", "52");
  driver.enter("put_by.note", "read cold");
  driver.click("put_by");
  driver.click("step.end_float");
  driver.enter("float.new", "0.13");
  CHECK(driver.bench().unsaved());
  CHECK(driver.shows_in("top", "• "));
  save(driver);
  CHECK_FALSE(driver.bench().unsaved());
  CHECK_FALSE(driver.shows_in("top", "• "));
  CHECK_FALSE(driver.has("save.do"));

  const std::string text = text_of(file);
  CHECK(text.find("# main bearings line bored") != std::string::npos);
  const Build again = opened(file).build;
  CHECK(same(again.measured, driver.bench().document().measured));
  CHECK(same(again.history, driver.bench().document().history));
  CHECK(again.fitted == driver.bench().document().fitted);
  CHECK(again.stock.shim_mm == driver.bench().document().shelf_mm);
  REQUIRE(again.history.size() == 2); // one is the demo's
  CHECK(again.history.back().note == "read cold");
  CHECK(again.history.back().lobe.front().opens_deg == 52.0);
  driver.key(Key::z, true);
  driver.settle();
  CHECK(driver.bench().unsaved()); // as it was before is not in the file any more
}

TEST_CASE("a build with no file yet asks where it goes") {
  const OwnFolder folder("new-file");
  const fs::path file = folder / "new.build.toml";
  Driver driver(opened(folder / "marram-1420.toml"));
  driver.click("step.end_float");
  driver.enter("float.new", "0.12");
  save(driver);
  REQUIRE(driver.has("save.do"));
  CHECK(driver.view().save.path == (folder / "marram-1420.build.toml").string());
  driver.enter("save.path", (folder / "sandling-14.build.toml").string());
  CHECK(driver.shows_in("save_card", "there is such a file already"));
  CHECK(driver.bench().unsaved());
  driver.enter("save.path", (folder / "no-such-folder").string() + "/x.build.toml");
  CHECK_FALSE(driver.view().save.fault.empty());
  driver.keep("save");
  driver.enter("save.path", "new.build.toml"); // beside the engine
  CHECK_FALSE(driver.has("save.do"));
  CHECK(driver.bench().path() == file.string());
  CHECK(opened(file).build.measured.float_mm == std::vector<double>{0.12});
}

TEST_CASE("the demo has no file of its own: a name is put forward") {
  Driver driver;
  CHECK(driver.bench().path().empty());
  save(driver);
  REQUIRE(driver.has("save.do"));
  CHECK(driver.view().save.path == "launch-sandling-engine-out-14.build.toml");
  driver.key(Key::escape);
  driver.settle();
  CHECK_FALSE(driver.has("save.do"));
}

TEST_CASE("closing asks about what is not saved") {
  const OwnFolder folder("closing");
  const fs::path file = folder / "sandling-14.build.toml";
  Driver driver(opened(file));
  CHECK(driver.app().ask_to_close()); // nothing was changed
  driver.click("plan.cam_key.plus");
  CHECK(driver.app().ask_to_close()); // what is only tried is in no file
  driver.click("step.base_timing");
  driver.enter("fitted.cam_key", "1");
  CHECK_FALSE(driver.app().ask_to_close());
  driver.settle();
  CHECK(driver.shows_in("save_card", "Not saved yet"));
  driver.keep("closing");
  driver.click("save.stay");
  CHECK_FALSE(driver.has("save.stay"));
  CHECK_FALSE(driver.app().leaving());
  CHECK_FALSE(driver.app().ask_to_close());
  driver.frames(2);
  driver.click_last("save.leave");
  driver.frames(2);
  CHECK(driver.app().leaving());
  CHECK(driver.app().ask_to_close());
  CHECK(opened(file).build.fitted.cam_key_deg == 0.0);
}

TEST_CASE("saving on the way out closes") {
  const OwnFolder folder("saved-out");
  const fs::path file = folder / "sandling-14.build.toml";
  Driver driver(opened(file));
  driver.click("step.base_timing");
  driver.enter("fitted.cam_key", "1");
  REQUIRE_FALSE(driver.app().ask_to_close());
  driver.frames(2);
  driver.click_last("save.do");
  driver.frames(2);
  CHECK(driver.app().leaving());
  CHECK(opened(file).build.fitted.cam_key_deg == 1.0);
}
