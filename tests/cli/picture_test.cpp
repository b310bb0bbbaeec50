// Pictures drawn with no display.
#include "cli/answer.hpp"
#include "cli/program.hpp"
#include "cli/scratch.hpp"
#include "cli/usage_checks.hpp"
#include "support/catch.hpp"

#include <stb/stb_image.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <memory>

using namespace phasewright::testing;

namespace {

struct Picture {
  int width = 0;
  int height = 0;
  std::vector<unsigned char> rgba;
};

Picture decode(const std::string& path) {
  Picture picture;
  int channels = 0;
  const std::unique_ptr<stbi_uc, void (*)(void*)> pixels(
      stbi_load(path.c_str(), &picture.width, &picture.height, &channels, 4), stbi_image_free);
  REQUIRE(pixels != nullptr);
  picture.rgba.assign(pixels.get(), pixels.get() + static_cast<std::ptrdiff_t>(picture.width) * picture.height * 4);
  return picture;
}

// Share of the pixels that have the commonest colour: 1 for a blank picture.
double commonest_share(const Picture& picture) {
  std::map<std::array<unsigned char, 3>, std::size_t> counts;
  for (std::size_t i = 0; i < picture.rgba.size(); i += 4)
    ++counts[{picture.rgba[i], picture.rgba[i + 1], picture.rgba[i + 2]}];
  std::size_t most = 0;
  for (const auto& [colour, count] : counts) most = std::max(most, count);
  return 4.0 * static_cast<double>(most) / static_cast<double>(picture.rgba.size());
}

// With what would lead to a display taken away. Leaks are not looked for: with some sizes of picture the sanitizer's
// own tracer faults among the software renderer's threads. The viewer's and the renderer's tests look for them.
Run without_display(const std::vector<std::string>& arguments) {
  return run_program(arguments, {.environment = {"DISPLAY=", "WAYLAND_DISPLAY=", "ASAN_OPTIONS=detect_leaks=0"},
                                 .out_file = {},
                                 .directory = {}});
}

Run draw(const std::vector<std::string>& arguments) {
  std::vector<std::string> words{"picture"};
  words.insert(words.end(), arguments.begin(), arguments.end());
  return without_display(words);
}

Picture drawn(const Scratch& scratch, std::vector<std::string> arguments) {
  const std::string file = scratch / "drawn.png";
  arguments.insert(arguments.end(), {"-o", file});
  const Run run = draw(arguments);
  INFO(run.err);
  REQUIRE(run.exit_code == 0);
  return decode(file);
}

} // namespace

TEST_CASE("a picture has the size asked for, is not blank, and comes out the same twice", "[cli][picture]") {
  const Scratch scratch;
  const Picture first = drawn(scratch, {"--size", "400x300"});
  CHECK(first.width == 400);
  CHECK(first.height == 300);
  CHECK(commonest_share(first) < 0.95);
  CHECK(drawn(scratch, {"--size", "400x300"}).rgba == first.rgba);
  CHECK(scratch.files() == 1); // no temporary file is left
}

TEST_CASE("what is asked for shows in the picture", "[cli][picture]") {
  const Scratch scratch;
  const std::vector<std::string> small{"--size", "320x240"};
  const auto with = [&](std::vector<std::string> words) {
    words.insert(words.end(), small.begin(), small.end());
    return drawn(scratch, words).rgba;
  };
  const std::vector<unsigned char> plain = with({});
  CHECK(with({"--crank", "40"}) != plain);
  CHECK(with({"--theme", "night"}) != plain);
  CHECK(with({"--plan", "1"}) != plain);
  CHECK(with({"--as", "reference"}) != plain);
  CHECK(with({"--from", "end"}) == plain);
  for (const char* view : {"side", "key", "valve", "whole"}) {
    INFO(view);
    CHECK(with({"--from", view}) != plain);
  }
}

TEST_CASE("a picture of the valves says in figures what its dimension lines are of", "[cli][picture]") {
  const Scratch scratch;
  const auto with = [&](std::vector<std::string> words, int exit_code = 0) {
    words.insert(words.begin(), "picture");
    words.insert(words.end(), {"--size", "160x120", "-o", scratch / "gaps.png"});
    return answer(words, exit_code)["gaps"];
  };
  const std::string model = models_path("marram-1420.toml");
  CHECK(with({model, "--from", "end"}).empty());
  const nlohmann::json plain = with({model, "--from", "valve", "--crank", "5"});
  REQUIRE(plain.size() == 2);
  const std::vector<std::string> late{"--from", "valve", "--set", "fitted.lay=3", "--crank", "5"};
  std::vector<std::string> words{model, "--plan", "1"};
  words.insert(words.end(), late.begin(), late.end());
  const nlohmann::json both = with(words);
  REQUIRE(both.size() == 4);
  // The plan is the straight drive; the ghost is as the same picture without a plan has it.
  CHECK(number(both[0]["mm"]) == number(plain[0]["mm"]));
  CHECK(both[0]["of"] == "shown");
  words = {model};
  words.insert(words.end(), late.begin(), late.end());
  CHECK(number(both[2]["mm"]) == number(with(words, 1)[0]["mm"]));
  CHECK(both[2]["of"] == "ghost");
  CHECK(both[2]["valve"] == "inlet");
  CHECK(both[2]["what"] == "piston");
  CHECK(number(both[2]["mm"]) < 0.0);
  CHECK(both[2]["verdict"] == "they meet");
  words.insert(words.begin(), "picture");
  words.insert(words.end(), {"--size", "160x120", "-o", scratch / "gaps.png"});
  const Run run = without_display(words);
  CHECK(run.out.find("inlet to piston: -") != std::string::npos);
  CHECK(run.out.find(", they meet") != std::string::npos);
}

TEST_CASE("a picture of what is not safe is drawn, says so first and ends with 1", "[cli][picture]") {
  const Scratch scratch;
  const std::string file = scratch / "unsafe.png";
  const nlohmann::json options = answer({"plan"})["options"];
  REQUIRE(options.back()["safe"] == false);
  const std::string last = std::to_string(options.size());
  const std::string words = options.back()["words"];
  for (const bool window : {false, true}) {
    std::vector<std::string> asked{"-o", file, "--plan", last};
    if (window) asked.emplace_back("--window");
    const Run page = draw(asked);
    CHECK(page.exit_code == 1);
    CHECK(page.out.find("NOT SAFE: as planned, option " + last + " (") == 0);
    CHECK(decode(file).width == 1280);
    asked.insert(asked.begin(), "picture");
    const nlohmann::json said = answer(asked, 1);
    CHECK(said["safe"] == false);
    CHECK(said["option"] == std::stoi(last));
    CHECK(said["words"] == words);
    CHECK(said["drawn"].get<std::string>().find("option " + last + " (" + words + ")") != std::string::npos);
  }
  CHECK(answer({"picture", "-o", file, "--set", "fitted.lay=2"}, 1)["safe"] == false);
  CHECK(answer({"picture", "-o", file, "--as", "reference"})["safe"].is_null());
  CHECK(answer({"picture", "-o", file, "--plan", "1"})["safe"] == true);
}

TEST_CASE("what is drawn too large is confessed", "[cli][picture]") {
  const Scratch scratch;
  const Run run = draw({"-o", scratch / "key.png", "--plan", "1", "--from", "key", "--magnify", "6"});
  CHECK(run.exit_code == 2);
  CHECK(run.err.find("--magnify: found 6, allowed 1 without --window or --labels") != std::string::npos);
  const Picture plain = drawn(scratch, {"--window", "--from", "key"});
  const Picture magnified = drawn(scratch, {"--window", "--from", "key", "--magnify", "6"});
  CHECK(magnified.rgba != plain.rgba);
}

namespace {

// How many pixels have a colour.
std::ptrdiff_t count_of(const Picture& picture, std::array<unsigned char, 3> rgb) {
  std::ptrdiff_t count = 0;
  for (std::size_t i = 0; i < picture.rgba.size(); i += 4)
    count += picture.rgba[i] == rgb[0] && picture.rgba[i + 1] == rgb[1] && picture.rgba[i + 2] == rgb[2];
  return count;
}

} // namespace

TEST_CASE("labels are written into a picture where they are asked for, by day and by night", "[cli][picture]") {
  const Scratch scratch;
  constexpr std::array<unsigned char, 3> day_panel{0xFB, 0xFA, 0xF5};
  constexpr std::array<unsigned char, 3> night_panel{0x23, 0x28, 0x2C};
  constexpr std::array<unsigned char, 3> ink{0x20, 0x24, 0x2A};
  const std::vector<std::string> size{"--size", "800x600"};
  const auto with = [&](std::vector<std::string> words) {
    words.insert(words.end(), size.begin(), size.end());
    return drawn(scratch, words);
  };
  const Picture plain = with({});
  const Picture labelled = with({"--labels"});
  CHECK(count_of(plain, day_panel) < 100);
  CHECK(count_of(labelled, day_panel) > 4000); // four labels and more, each over a thousand
  CHECK(count_of(labelled, ink) > count_of(plain, ink) + 50);
  CHECK(with({"--labels"}).rgba == labelled.rgba);
  CHECK(with({"--labels", "--scale", "1.5"}).rgba != labelled.rgba);
  CHECK(count_of(with({"--labels", "--theme", "night"}), night_panel) > 4000);
  // Under the words it is the same picture.
  std::size_t same = 0;
  for (std::size_t i = 0; i < plain.rgba.size(); i += 4)
    if (std::equal(&plain.rgba[i], &plain.rgba[i] + 4, &labelled.rgba[i])) ++same;
  CHECK(same > plain.rgba.size() / 4 * 85 / 100);
  // With them it may exaggerate, for then it says so.
  constexpr std::array<unsigned char, 3> warning{0x8F, 0x5F, 0x00};
  const std::vector<std::string> key{"--labels", "--plan", "1", "--from", "key"};
  std::vector<std::string> magnified = key;
  magnified.insert(magnified.end(), {"--magnify", "6"});
  CHECK(count_of(with(magnified), warning) > count_of(with(key), warning) + 50);
}

TEST_CASE("a picture can be of any cylinder's valves", "[cli][picture]") {
  const Scratch scratch;
  // Firing order 1 3 4 2: No. 3 runs 180 degrees behind No. 1.
  const auto gap = [&](const char* cylinder, const char* crank) {
    return answer({"picture", "--from", "valve", "--cylinder", cylinder, "--crank", crank, "--size", "160x120", "-o",
                   scratch / "a.png"})["gaps"];
  };
  const auto lift = [&](int cylinder, const char* crank, const std::string& kind) {
    const nlohmann::json pose = answer({"pose", "--crank", crank});
    for (const nlohmann::json& valve : pose["valves"])
      if (valve["valve"] == kind && valve["cylinder"] == cylinder) return number(valve["lift_mm"]);
    FAIL("no such valve");
    return 0.0;
  };
  const nlohmann::json first = gap("1", "5");
  const nlohmann::json third = gap("3", "185");
  REQUIRE(first.size() == 2);
  REQUIRE(third.size() == 2);
  for (std::size_t k = 0; k < 2; ++k) {
    const auto kind = first[k]["valve"].get<std::string>();
    CHECK(third[k]["valve"] == kind);
    // The pistons stand alike; what differs is what the chain's ripple does to the lifts.
    const double more_open_mm = lift(3, "185", kind) - lift(1, "5", kind);
    CHECK(number(third[k]["mm"]) == Approx(number(first[k]["mm"]) - more_open_mm).margin(1e-9));
    CHECK(std::fabs(more_open_mm) < 0.05);
  }
  CHECK(gap("3", "5").size() < 2); // its piston is half way down
  const auto shown = [&](const char* cylinder) {
    return drawn(scratch, {"--from", "valve", "--cylinder", cylinder, "--crank", "5", "--size", "160x120"}).rgba;
  };
  CHECK(shown("1") != shown("3"));
}

TEST_CASE("the whole viewer can be drawn", "[cli][picture]") {
  const Scratch scratch;
  const Picture viewer = drawn(scratch, {"--window", "--size", "800x600"});
  CHECK(viewer.width == 800);
  CHECK(viewer.height == 600);
  CHECK(commonest_share(viewer) < 0.95);
}

TEST_CASE("a picture that cannot be had is refused", "[cli][picture]") {
  const Scratch scratch;
  const std::string file = scratch / "a.png";
  const std::vector<std::pair<std::vector<std::string>, std::string>> refusals{
      {{}, "say where the picture goes"},
      {{"-o", scratch / "a.jpg"}, "allowed a file name that ends in .png"},
      {{"-o", scratch / "none/a.png"}, "a.png"},
      {{"-o", "/proc/a.png"}, "a.png"},
      {{"-o", file, "--size", "0x0"}, "--size: found 0x0"},
      {{"-o", file, "--size", "100000x10"}, "--size: found 100000x10"},
      {{"-o", file, "--size", "big"}, "--size: found big"},
      {{"-o", file, "--size", "320x240", "--window"}, "640x480 or more"},
      {{"-o", file, "--from", "above"}, "--from: found above, allowed end, side, key, valve or whole"},
      {{"-o", file, "--labels", "--window"}, "--labels: found --window beside it, allowed one of the two"},
      {{"-o", file, "--cylinder", "5"}, "--cylinder: found 5, allowed 1 to 4"},
      {{"-o", file, "--cylinder", "0"}, "--cylinder: found 0, allowed 1 to 16"},
      {{"-o", file, "--cylinder", "2", "--window"}, "--cylinder: found --window beside it"},
      {{"-o", file, "--theme", "dusk"}, "--theme: found dusk, allowed day or night"},
      {{"-o", file, "--plan", "0"}, "--plan: found 0"},
      {{"-o", file, "--plan", "100000"}, "--plan: found 100000, allowed 1 to 189"},
      {{"-o", file, "--plan", "1", "--as", "fitted"}, "--plan: found --as beside it"},
      {{"-o", file, "--as", "new"}, "--as: found new, allowed fitted or reference"},
      {{"-o", file, "--magnify", "11"}, "--magnify: found 11, allowed 1 to 10 times"},
      {{"-o", file, "--magnify", "nan"}, "--magnify: found nan"},
      {{"-o", file, "--apart", "nan"}, "--apart: found nan, allowed 0 to 1"},
      {{"-o", file, "--apart", "1.5"}, "--apart: found 1.5, allowed 0 to 1"},
      {{"-o", file, "--section"}, "--section: found no --from, allowed --from key beside it"},
      {{"-o", file, "--section", "--from", "side"}, "--section: found --from side, allowed --from key beside it"},
      {{"-o", file, "--crank", "inf"}, "--crank: found inf"},
  };
  for (const auto& [arguments, said] : refusals) {
    check_refused(draw(arguments), said);
  }
  CHECK(scratch.files() == 0);
}

TEST_CASE("the viewer says what it lacks", "[cli][view]") {
  const std::vector<std::vector<std::string>> openings{
      {}, {"view"}, {models_path("sandling-14.build.toml")}, {"--theme", "night"}};
  for (const auto& arguments : openings) {
    const Run run = without_display(arguments);
    INFO(run.err);
    CHECK(run.exit_code == 2);
    CHECK(run.out.empty());
    CHECK(run.err.find("display") != std::string::npos);
  }
  const std::vector<std::pair<std::vector<std::string>, std::string>> refusals{
      {{"view", "--json"}, "no such option: --json"},
      {{"view", "--theme", "dusk"}, "--theme: found dusk"},
      {{"view", "--size", "320x240"}, "--size: found 320x240, allowed 640x480 or more"},
      {{"view", "--scale", "4"}, "--scale: found 4, allowed 1 to 3 times"},
      {{"view", "--frames", "0"}, "--frames: found 0, allowed 1 to 100000 frames"},
      {{"view", "--crank", "north"}, "--crank: found north"},
      {{"none.toml"}, "none.toml: there is no such file"},
      {{"--set", "fitted.lay=99"}, "fitted.lay: found 99"},
  };
  for (const auto& [arguments, said] : refusals) {
    const Run run = without_display(arguments);
    INFO(said);
    INFO(run.err);
    CHECK(run.exit_code == 2);
    CHECK(run.out.empty());
    CHECK(run.err.find(said) != std::string::npos);
  }
}
