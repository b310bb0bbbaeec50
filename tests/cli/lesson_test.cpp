// Lessons on the command line: the list, class sheets, what a teacher does with a file of their own.
#include "cli/answer.hpp"
#include "cli/scratch.hpp"
#include "cli/usage_checks.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <sstream>

using namespace phasewright::testing;
using nlohmann::json;

namespace {

const std::string lessons = std::string(PHASEWRIGHT_TEST_DIR) + "/../assets/lessons/";

std::string replaced(std::string text, const std::string& from, const std::string& to) {
  INFO(from);
  const std::size_t at = text.find(from);
  REQUIRE(at != std::string::npos);
  return text.replace(at, from.size(), to);
}

// In one line, as pages are broken at their width.
std::string joined(const std::string& page) {
  std::istringstream in(page);
  std::string all;
  for (std::string word; in >> word;) all += word + " ";
  return all;
}

bool holds(const std::string& text, const std::string& what) {
  return text.find(what) != std::string::npos;
}

} // namespace

TEST_CASE("lesson: the list says how long each takes", "[cli][lesson]") {
  const json all = answer({"lesson"});
  REQUIRE(all["lessons"].size() >= 9);
  CHECK(all["faults"].empty());
  CHECK(all["lessons"][0]["name"] == "four-strokes");
  const std::string page = run_program({"lesson"}).out;
  for (const json& lesson : all["lessons"]) {
    CHECK(number(lesson["minutes"]) >= 3);
    CHECK(number(lesson["minutes"]) <= 6);
    CHECK(lesson["done"] == false);
    CHECK(holds(page, lesson["name"].get<std::string>()));
    CHECK(holds(page, lesson["title"].get<std::string>()));
    // Each is sound.
    const Run run = run_program({"lesson", lesson["name"].get<std::string>(), "--check"});
    INFO(run.err);
    CHECK(run.exit_code == 0);
    CHECK(holds(run.out, "sound"));
  }
}

TEST_CASE("lesson: what a learner has done is told by name", "[cli][lesson]") {
  const Scratch scratch;
  std::filesystem::create_directory(scratch.path() / "phasewright");
  const std::string file = scratch.write("phasewright/learners.toml", R"(format = "phasewright-learners/1"
[[learner]]
name = "Asta"
lessons = [
  { name = "four-strokes", step = 6, done = true, date = "2026-05-14" },
  { name = "one-tooth", step = 2 },
]
drills = [{ engine = "Marram 1420", number = 7, level = 2, named = true, date = "2026-05-15" }]
)");
  const RunWith state{{"XDG_STATE_HOME=" + scratch.path().string()}, {}, {}};
  const Run told = run_program({"lesson", "--learner", "Asta"}, state);
  CHECK(told.exit_code == 0);
  CHECK(holds(told.out, "done 2026-05-14"));
  CHECK(holds(told.out, "2 of 4 steps"));
  const Run other = run_program({"lesson", "--learner", "Bo"}, state);
  CHECK_FALSE(holds(other.out, "done 2026-05-14"));
  CHECK(holds(told.out, "Asta: 1 drill answered: 1 rightly named, 0 put right."));
  CHECK(holds(other.out, "Bo: no drill answered yet."));
  const Run as_json = run_program({"lesson", "--learner", "Asta", "--json"}, state);
  const json all = json::parse(as_json.out);
  CHECK(all["lessons"][0]["done"] == true);
  CHECK(all["lessons"][2]["steps_done"] == 2);
  REQUIRE(all["drills"].size() == 1);
  CHECK(all["drills"][0]["seed"] == 7);
  CHECK(all["drills"][0]["named"] == true);
  CHECK(all["drills"][0]["cured"] == false);
  CHECK(scratch.write("phasewright/learners.toml", "format = 3\n") == file);
  check_refused(run_program({"lesson", "--learner", "Asta"}, state), file + ":1:10: format: found 3");
}

TEST_CASE("lesson: the sheet asks, the teacher's sheet answers", "[cli][lesson]") {
  const std::string sheet = joined(run_program({"lesson", "four-strokes"}).out);
  CHECK(holds(sheet, "Do: Turn the crank on until the inlet valve is 8 mm open or more."));
  CHECK(holds(sheet, "Question: How far must the crank turn"));
  CHECK(holds(sheet, "Name ____"));
  CHECK(holds(sheet, "Turn the engine by hand only"));
  CHECK_FALSE(holds(sheet, "Answer:"));
  CHECK_FALSE(holds(sheet, "Two whole turns"));
  CHECK_FALSE(holds(sheet, "{"));
  const std::string answers = joined(run_program({"lesson", "four-strokes", "--answers"}).out);
  CHECK(holds(answers, "Answer: turn the crank 720° on."));
  CHECK(holds(answers, "Two whole turns"));
  CHECK(holds(answers, "Wrong: turn the crank 360° on. It says: The piston is back at the top"));
  CHECK_FALSE(holds(answers, "{"));
  // The figure in the sheet is the one that pose has.
  const json pose = answer({"pose", models_path("marram-1420.toml"), "--crank", "106"});
  const auto valve = std::ranges::find_if(
      pose["valves"], [](const json& one) { return one["valve"] == "inlet" && one["cylinder"] == 1; });
  REQUIRE(valve != pose["valves"].end());
  CHECK(holds(answers, fmt::format("{:.2f} mm. The piston is on its way down", number((*valve)["lift_mm"]))));
}

TEST_CASE("lesson: JSON has the answers only when they are asked for", "[cli][lesson]") {
  const json sheet = answer({"lesson", "one-tooth"});
  check_has(sheet, {"name", "title", "works_on", "engine", "minutes", "words", "take_care", "steps"});
  CHECK(sheet["works_on"] == "marram-1420.toml");
  CHECK_FALSE(sheet["steps"][0].contains("answer"));
  const json answers = answer({"lesson", "one-tooth", "--answers"});
  const json& step = answers["steps"][1];
  check_has(step, {"say", "task", "must", "answer", "right", "hints", "wrong_answers"});
  CHECK(step["must"][0]["what"] == "lay");
  CHECK(step["must"][0]["of"] == "planned");
  CHECK(step["answer"][0] == "set planned.lay=1");
  CHECK(answer({"lesson", "one-tooth", "--check"})["sound"] == true);
}

TEST_CASE("lesson: a teacher writes one by copying a file, and is told what is wrong with it", "[cli][lesson]") {
  const Scratch scratch;
  const std::string copied = read_file(lessons + "1-four-strokes.toml");
  std::string own = replaced(copied, "title = \"Four strokes", "title = \"Our four strokes");
  own = replaced(own, "{ what = \"inlet_lift_mm\", least = 8 }", "{ what = \"inlet_lift_mm\", least = 7 }");
  const std::string file = scratch.write("our-lesson.toml", own);
  const Run sound = run_program({"lesson", "--check", file});
  INFO(sound.err);
  CHECK(sound.exit_code == 0);
  CHECK(holds(joined(sound.out), "sound. 6 steps"));
  CHECK(run_program({"lesson", file}).out.starts_with("Our four strokes"));

  // More than the valve lifts.
  CHECK(scratch.write("our-lesson.toml",
                      replaced(own, "\"inlet_lift_mm\", least = 7 }", "\"inlet_lift_mm\", least = 12 }")) == file);
  const Run missed = run_program({"lesson", "--check", file});
  check_refused(missed, ": step[2].answer: found [{ turn_by_deg = 106 }]; step 2: the answer does not make it true: "
                        "inlet_lift_mm is 8.67, wanted 12 mm or more\n");
  CHECK(missed.err.starts_with(file + ":"));
  // So little that the wrong answer does it too.
  CHECK(scratch.write("our-lesson.toml",
                      replaced(own, "\"inlet_lift_mm\", least = 7 }", "\"inlet_lift_mm\", least = 2 }")) == file);
  check_refused(run_program({"lesson", "--check", file}), "step 2: wrong answer 2 makes it true");
  CHECK(scratch.write("our-lesson.toml",
                      replaced(own, "\"inlet_lift_mm\", least = 7 }", "\"inlet_lft_mm\", least = 7 }")) == file);
  check_refused(run_program({"lesson", "--check", file}),
                "step[2].must[1].what: found \"inlet_lft_mm\", allowed a quantity; did you mean inlet_lift_mm?");
}

TEST_CASE("lesson: the quantities are those of the developers' page", "[cli][lesson]") {
  const json all = answer({"lesson", "--quantities"});
  REQUIRE(all["quantities"].size() > 50);
  const std::string page = joined(run_program({"lesson", "--quantities"}).out);
  const std::string developers = read_file(std::string(PHASEWRIGHT_TEST_DIR) + "/../DEVELOPERS.md");
  for (const json& row : all["quantities"]) {
    const std::string name = row["name"];
    INFO(name);
    CHECK(holds(page, name));
    CHECK(holds(developers, "| `" + name + "` | "));
    CHECK(holds(developers, row["meaning"].get<std::string>()));
    for (const json& word : row["words"]) CHECK(holds(developers, word.get<std::string>()));
  }
}

TEST_CASE("lesson: what fits nothing is refused", "[cli][lesson]") {
  struct Refusal {
    std::vector<std::string> arguments;
    const char* said;
  };
  const std::vector<Refusal> refusals{
      {{"lesson", "four-stroke"}, "no such lesson: \"four-stroke\"; did you mean four-strokes?"},
      {{"lesson", "xyzzyxyzzy"}, "no such lesson: \"xyzzyxyzzy\"; phasewright lesson lists them"},
      {{"lesson", "nowhere.toml"}, "nowhere.toml: there is no such file"},
      {{"lesson", models_path("marram-1420.toml")},
       "format: found \"phasewright-engine/1\", allowed \"phasewright-lesson/1\""},
      {{"lesson", "--check"}, "--check: found no lesson beside it, allowed a lesson's name or file"},
      {{"lesson", "--answers"}, "--answers: found no lesson beside it"},
      {{"lesson", "one-tooth", "--answers", "--check"}, "--answers: found --check beside it, allowed one of the two"},
      {{"lesson", "one-tooth", "--quantities"}, "--quantities: found a lesson beside it"},
      {{"lesson", "--check", "--quantities"}, "--quantities: found --check beside it"},
      {{"lesson", "one-tooth", "--learner", "Asta"}, "--learner: found a lesson beside it"},
      {{"lesson", "--learner", "  "}, "--learner: found   , allowed a name"},
      {{"lesson", "--set", "fitted.lay=1"}, "no such option: --set"},
      {{"lesson", "one-tooth", "wear-retards"}, "one FILE at a time"},
      {{"leson"}, "did you mean lesson?"},
  };
  for (const Refusal& refusal : refusals) check_refused(run_program(refusal.arguments), refusal.said);
  const Run example = run_program(example_of("lesson"));
  CHECK(example.exit_code == 0);
  CHECK_FALSE(example.out.empty());
}
