// Whatever a builder can say of fittings, aims, readings, earlier sets and tolerances is still said after saving.
#include "files/random_build.hpp"

#include <limits>

using namespace phasewright;
using namespace phasewright::testing;

TEST_CASE("Random builds come back from a new file as they were") {
  for (unsigned seed = 1; seed <= 200; ++seed) {
    INFO("seed " << seed);
    const Build build = some_build(seed);
    const Folder folder;
    folder.copy_model("marram-2050.toml");
    REQUIRE_FALSE(save_build(folder / "x.build.toml", build).has_value());
    check_same(opened_build(folder), build);
  }
}

TEST_CASE("A file that said one thing says another when it is saved over") {
  for (unsigned seed = 1; seed <= 100; ++seed) {
    INFO("seed " << seed);
    const Folder folder;
    folder.copy_model("marram-2050.toml");
    const Build first = some_build(seed);
    const Build then = some_build(seed + 1000);
    REQUIRE_FALSE(save_build(folder / "x.build.toml", first).has_value());
    REQUIRE_FALSE(save_build(folder / "x.build.toml", then).has_value());
    check_same(opened_build(folder), then);
  }
}

TEST_CASE("Readings that are put by leave the rest of the file as it is") {
  const Folder folder;
  folder.copy_build();
  const std::string path = "sandling-14.build.toml";
  const std::string before = slurp(folder / path);
  auto opened = open_any(folder / path);
  REQUIRE(opened.ok());
  Build build = opened->build;
  build.history.push_back(build.measured);
  REQUIRE(build.history.size() == 2);
  REQUIRE_FALSE(save_build(folder / path, build).has_value());
  const std::string after = slurp(folder / path);
  // A set comes to the end; not a byte before it is touched.
  REQUIRE(after.size() > before.size());
  CHECK(after.substr(0, before.size()) == before);
  CHECK(after.substr(before.size(), 13) == "\n[[history]]\n");
  opened = open_any(folder / path);
  REQUIRE(opened.ok());
  check_same(opened->build, build);

  // One changed in the middle: all are written anew and the rest stays.
  build.history[0].note = "as she came in";
  REQUIRE_FALSE(save_build(folder / path, build).has_value());
  opened = open_any(folder / path);
  REQUIRE(opened.ok());
  check_same(opened->build, build);
  const std::string anew = slurp(folder / path);
  const std::size_t head = before.find("[[history]]");
  REQUIRE(head != std::string::npos);
  CHECK(anew.substr(0, head) == before.substr(0, head));
}

TEST_CASE("A set that is put by comes after those that stand in one value") {
  const std::string head = "format = \"phasewright-build/1\"\nengine = \"marram-1420.toml\"\n";
  const auto with_one_more = [&](const std::string& history) {
    const Folder folder;
    folder.copy_engine();
    folder.write("x.build.toml", head + history);
    Build build = opened_build(folder);
    Measured set;
    set.date = "2026-06-02";
    set.with.lay = 1;
    set.float_mm = {0.12};
    build.history.push_back(set);
    REQUIRE_FALSE(save_build(folder / "x.build.toml", build).has_value());
    check_same(opened_build(folder), build);
    return slurp(folder / "x.build.toml").substr(head.size());
  };
  const std::string set = "{ date = \"2026-06-02\", with = { lay = 1 }, float_mm = [0.12] }";
  CHECK(with_one_more("history = [{ with = {}, float_mm = [0.10] }] # as she came in\n") ==
        "history = [{ with = {}, float_mm = [0.10] },\n  " + set + "] # as she came in\n");
  CHECK(with_one_more("history = [\n  { with = {}, float_mm = [0.10] }, # as she came in\n]\n") ==
        "history = [\n  { with = {}, float_mm = [0.10] },\n  " + set + ", # as she came in\n]\n");
  CHECK(with_one_more("history = [] # none yet\n") ==
        "# none yet\n\n[[history]]\ndate = \"2026-06-02\"\nwith = { lay = 1 }\nfloat_mm = [0.12]\n");
}

TEST_CASE("Nothing is saved that could not be read again") {
  const Folder folder;
  folder.copy_build();
  const std::string path = (folder / "sandling-14.build.toml").string();
  const std::string before = slurp(path);
  const auto refused = [&](const Build& build, const std::string& said) {
    const std::string other = (folder / "new.build.toml").string();
    for (const std::string& file : {path, other}) {
      const auto problem = save_build(file, build);
      REQUIRE(problem.has_value());
      CHECK(to_text(*problem) == file + ": " + said + "; nothing was saved");
    }
    CHECK(slurp(path) == before);
    CHECK_FALSE(std::filesystem::exists(other));
  };
  const auto opened = open_any(path);
  REQUIRE(opened.ok());
  Build full = opened->build;
  full.history.resize(201, full.history.front());
  refused(full, "history: found 201, allowed at most 200 sets of readings");
  Build noted = opened->build;
  noted.measured.note = "first\nsecond";
  refused(noted, "measured.note: found \"first\\u000Asecond\", allowed 1 to 200 characters in quotes, on one line");
  noted.measured.note = "\xFF";
  refused(noted, "found the byte 0xff, allowed UTF-8 text");
  Build wild = opened->build;
  wild.fitted.crank_key_deg = std::numeric_limits<double>::quiet_NaN();
  refused(wild, "fitted.crank_key_deg: found nan, allowed -20 to 20 deg");
  Build large = opened->build;
  large.measured.lobe.resize(1000, large.measured.lobe.front());
  large.history.assign(15, large.measured);
  refused(large, "found a longer file, allowed at most 1024 KiB");
}
