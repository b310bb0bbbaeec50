// Lesson files: a sound one, and faulty ones with every word of what is said about them.
#include "files/lesson_reader.hpp"

#include "files/folder.hpp"

using namespace phasewright;
using namespace phasewright::testing;

namespace {

constexpr const char* sound = R"(format = "phasewright-lesson/1"
name = "test-lesson"
title = "A lesson"
works_on = "marram-1420.toml"
cautions = ["By hand only."]
wheel_error_deg = 6.5

[words]
lobe = "what opens a valve"
"lobe centre" = "its middle"

[[step]]
say = "Read this."
page = "timing"

[[step]]
say = """
The inlet
  valve, {inlet_lift_mm} mm.
"""
task = "Open it."
right = "It is open {planned.inlet_lift_mm} mm."
view = "valve"
show = "both"
camshaft = "cam"
cylinder = 2
magnify = 3
apart = 0.5
crank_deg = 540
stop_mm = 12
set = ["fitted.lay=1", "planned.crank_key_deg=2"]
hints = ["Turn.", "Further."]
must = [
  { what = "inlet_lift_mm", of = "planned", cylinder = 3, least = 5 },
  { what = "phase_deg", camshaft = "cam", near = 19, within = 1 },
  { what = "stroke", is = "inlet" },
]
answer = [{ turn_by_deg = 100 }, { set = "fitted.elongation_percent=0.5" }]
[[step.wrong]]
when = [{ what = "turned_back_deg", least = 1, most = 20 }]
say = "Back."
[[step.wrong_answer]]
moves = [{ turn_to_deg = 10 }, { page = "degree" }, { view = "end" }, { show = "planned" }]

[[step]]
say = "Last."
question = "How?"
must = [{ what = "marks", is = "facing" }]
answer = [{ turn_to_deg = 0 }]
wrong_answer = [{ moves = [{ turn_by_deg = 30 }] }]
)";

struct Broken {
  const char* what;
  Edits edits;
  const char* said;
};

std::string said_of(const Folder& folder, const Edits& edits) {
  folder.write("lesson.toml", edited(sound, edits));
  const auto opened = open_lesson(folder / "lesson.toml", {});
  if (opened) return "";
  std::string text = to_text(opened.problems());
  const std::string prefix = folder.path().string() + "/";
  for (std::size_t at; (at = text.find(prefix)) != std::string::npos;) text.erase(at, prefix.size());
  return text;
}

const std::vector<Broken>& broken_heads() {
  static const std::vector<Broken> files{
      {"not a lesson",
       {{"phasewright-lesson/1", "phasewright-lesson/2"}},
       "lesson.toml:1:10: format: found \"phasewright-lesson/2\", allowed \"phasewright-lesson/1\"\n"},
      {"no format",
       {{"format = \"phasewright-lesson/1\"\n", ""}},
       "lesson.toml:1:1: format: found nothing, allowed \"phasewright-lesson/1\"\n"},
      {"not TOML", {{"name = \"test-lesson\"", "name = test"}}, "lesson.toml:2:9: not TOML: "},
      {"no name",
       {{"name = \"test-lesson\"\n", ""}},
       "lesson.toml:1:1: name: found nothing, allowed 1 to 200 characters in quotes, on one line\n"},
      {"a name that is none",
       {{"\"test-lesson\"", "\"Test lesson\""}},
       "lesson.toml:2:8: name: found \"Test lesson\", allowed a word of small letters, figures and hyphens\n"},
      {"engine missing",
       {{"marram-1420", "marram-1421"}},
       "lesson.toml:4:12: works_on: found \"marram-1421.toml\", allowed an engine or build file beside the lesson file "
       "or "
       "in the models folder; there is no such file\n"},
      {"wheel error out of range",
       {{"6.5", "31"}},
       "lesson.toml:6:19: wheel_error_deg: found 31, allowed -30 to 30 deg\n"},
      {"a word that is not explained",
       {{"lobe = \"what opens a valve\"", "lobe = \" \""}},
       "lesson.toml:9:8: words.lobe: found \" \", allowed 1 to 1200 characters in quotes, or in triple quotes over "
       "several lines\n"},
      {"unknown key with a hint",
       {{"title =", "titel ="}},
       "lesson.toml:1:1: title: found nothing, allowed 1 to 200 characters in quotes, on one line\n"
       "lesson.toml:3:1: titel: found an unknown key; did you mean title?\n"},
      {"unknown key of a step",
       {{"magnify =", "magnifies ="}},
       "lesson.toml:27:1: step[2].magnifies: found an unknown key; did you mean magnify?\n"},
      {"everything at once, in the order of the file",
       {{"6.5", "99"}, {"page = \"timing\"", "page = \"times\""}, {"magnify = 3", "magnify = 11"}},
       "lesson.toml:6:19: wheel_error_deg: found 99, allowed -30 to 30 deg\n"
       "lesson.toml:14:8: step[1].page: found \"times\", allowed parts, key, spread, alignment, endfloat, timing, "
       "events, "
       "lobes, compression, degree, found, explain, earlier, correction, clearance, phase, readings, sheet, lessons\n"
       "lesson.toml:27:11: step[2].magnify: found 11, allowed 1 to 10\n"},
  };
  return files;
}

const std::vector<Broken>& broken_steps() {
  static const std::vector<Broken> files{
      {"nothing said",
       {{"say = \"Read this.\"\n", ""}},
       "lesson.toml:12:1: step[1].say: found nothing, allowed 1 to 1200 characters in quotes, or in triple quotes over "
       "several lines\n"},
      {"a view there is not",
       {{"view = \"valve\"", "view = \"top\""}},
       "lesson.toml:23:8: step[2].view: found \"top\", allowed end, side, key, valve, whole\n"},
      {"shown is none",
       {{"show = \"both\"", "show = \"all\""}},
       "lesson.toml:24:8: step[2].show: found \"all\", allowed fitted, both, planned\n"},
      {"no such camshaft",
       {{"camshaft = \"cam\"\ncylinder", "camshaft = \"exhaust\"\ncylinder"}},
       "lesson.toml:25:12: step[2].camshaft: found \"exhaust\", allowed a camshaft: cam\n"},
      {"no such cylinder",
       {{"cylinder = 2", "cylinder = 5"}},
       "lesson.toml:26:12: step[2].cylinder: found 5, allowed 1 to 4\n"},
      {"a setting that is none",
       {{"\"fitted.lay=1\", ", "\"fitted.ley=1\", "}},
       "lesson.toml:31:8: step[2].set[1]: found \"fitted.ley=1\", allowed a setting as --set takes it; fitted.ley: "
       "found "
       "an unknown key; did you mean lay?\n"},
      {"a setting of the engine",
       {{"\"fitted.lay=1\", ", "\"block.bore_mm=80\", "}},
       "lesson.toml:31:8: step[2].set[1]: found \"block.bore_mm=80\", allowed a setting as --set takes it; "
       "block.bore_mm=80: allowed a setting of fitted, planned or measured, such as fitted.lay=1, or stock.shim_mm\n"},
      {"a setting out of range, of what is planned",
       {{"planned.crank_key_deg=2", "planned.crank_key_deg=25"}},
       "lesson.toml:31:24: step[2].set[2]: found \"planned.crank_key_deg=25\", allowed a setting as --set takes it; "
       "fitted.crank_key_deg: found 25, allowed -20 to 20 deg\n"},
      {"task and question",
       {{"task = \"Open it.\"", "task = \"Open it.\"\nquestion = \"Open?\""}},
       "lesson.toml:22:12: step[2].question: found \"Open?\", allowed a task or a question, not both\n"},
      {"nothing asked",
       {{"task = \"Open it.\"\n", ""}},
       "lesson.toml:16:1: step[2].task: found nothing, allowed what to do, in words; or question\n"},
      {"asked for nothing",
       {{"say = \"Read this.\"", "say = \"Read this.\"\ntask = \"Read it.\""}},
       "lesson.toml:12:1: step[1].must: found nothing, allowed what the task or question is to make true\n"},
      {"an answer to nothing",
       {{"page = \"timing\"", "page = \"timing\"\nanswer = [{ turn_by_deg = 1 }]"}},
       "lesson.toml:15:10: step[1].answer: found [{ turn_by_deg = 1 }], allowed nothing in a step where nothing must "
       "become "
       "true\n"},
      {"no answers",
       {{"answer = [{ turn_to_deg = 0 }]\nwrong_answer = [{ moves = [{ turn_by_deg = 30 }] }]\n", ""}},
       "lesson.toml:45:1: step[3].answer: found nothing, allowed the moves that make it true\n"
       "lesson.toml:45:1: step[3].wrong_answer: found nothing, allowed moves that do not make it true, at least one\n"},
      {"no question at the end",
       {{"question = \"How?\"", "task = \"Do.\""}},
       "lesson.toml:45:1: step[3].question: found nothing, allowed a question: the last step has one, to be answered "
       "by "
       "doing\n"},
      {"a figure in the text that is none",
       {{"{inlet_lift_mm}", "{inlet_lift}"}},
       "lesson.toml:17:7: step[2].say: found {inlet_lift}, allowed a quantity; did you mean inlet_lift_mm?\n"},
      {"a figure of the plan that has no plan",
       {{"{planned.inlet_lift_mm}", "{planned.crank_deg}"}},
       "lesson.toml:22:9: step[2].right: found {planned.crank_deg}, allowed {crank_deg}: it is the same as fitted and "
       "as "
       "planned\n"},
      {"a brace left open",
       {{"\"Turn.\"", "\"Turn {crank_deg.\""}},
       "lesson.toml:32:10: step[2].hints[1]: found a brace that is not closed, allowed figures as {inlet_lift_mm}\n"},
  };
  return files;
}

const std::vector<Broken>& broken_conditions() {
  static const std::vector<Broken> files{
      {"a quantity that is not, with a hint",
       {{"{ what = \"inlet_lift_mm\"", "{ what = \"inlet_lft_mm\""}},
       "lesson.toml:34:12: step[2].must[1].what: found \"inlet_lft_mm\", allowed a quantity; did you mean "
       "inlet_lift_mm?\n"},
      {"no figure",
       {{", least = 5 }", " }"}},
       "lesson.toml:34:3: step[2].must[1]: found no figure, allowed least, most or both; or near and within\n"},
      {"near and least",
       {{"near = 19, within = 1", "near = 19, within = 1, least = 3"}},
       "lesson.toml:35:50: step[2].must[2].near: found 19, allowed near and within, or least and most, not both\n"},
      {"near without within",
       {{"near = 19, within = 1", "near = 19"}},
       "lesson.toml:35:3: step[2].must[2].within: found nothing, allowed how far it may be from near, either way\n"},
      {"within without near",
       {{"near = 19, within = 1", "least = 19, within = 1"}},
       "lesson.toml:35:3: step[2].must[2].near: found nothing, allowed the figure that it is to be within of\n"},
      {"within nothing",
       {{"within = 1", "within = 0"}},
       "lesson.toml:35:63: step[2].must[2].within: found 0, allowed 1e-06 to 10000\n"},
      {"most below least",
       {{"least = 1, most = 20", "least = 21, most = 20"}},
       "lesson.toml:40:56: step[2].wrong[1].when[1].most: found 20, allowed 21 or more, as least has it\n"},
      {"a word that it cannot be",
       {{"is = \"inlet\"", "is = \"intake\""}},
       "lesson.toml:36:27: step[2].must[3].is: found \"intake\", allowed inlet, compression, power, exhaust\n"},
      {"a figure for a word",
       {{"is = \"inlet\"", "least = 1"}},
       "lesson.toml:36:3: step[2].must[3].is: found nothing, allowed inlet, compression, power, exhaust\n"
       "lesson.toml:36:30: step[2].must[3].least: found 1, allowed nothing: stroke has no least\n"},
      {"a word for a figure",
       {{"least = 5 }", "least = 5, is = \"open\" }"}},
       "lesson.toml:34:75: step[2].must[1].is: found \"open\", allowed nothing: inlet_lift_mm has no is\n"},
      {"of what it is not of",
       {{"{ what = \"stroke\", is", "{ what = \"stroke\", of = \"planned\", camshaft = \"cam\", is"}},
       "lesson.toml:36:27: step[2].must[3].of: found \"planned\", allowed nothing: stroke has no of\n"
       "lesson.toml:36:49: step[2].must[3].camshaft: found \"cam\", allowed nothing: stroke has no camshaft\n"},
      {"a cylinder it has not",
       {{"cylinder = 3, least", "cylinder = 6, least"}},
       "lesson.toml:34:56: step[2].must[1].cylinder: found 6, allowed 1 to 4\n"},
      {"two moves in one",
       {{"{ turn_by_deg = 100 }", "{ turn_by_deg = 100, page = \"degree\" }"}},
       "lesson.toml:38:11: step[2].answer[1]: found 2 of them, allowed one of turn_by_deg, turn_to_deg, set, page, "
       "view, "
       "show\n"},
      {"no move",
       {{"{ turn_by_deg = 100 }", "{}"}},
       "lesson.toml:38:11: step[2].answer[1]: found 0 of them, allowed one of turn_by_deg, turn_to_deg, set, page, "
       "view, "
       "show\n"},
      {"an answer that cannot be set",
       {{"fitted.elongation_percent=0.5", "fitted.elongation_percent=50"}},
       "lesson.toml:38:42: step[2].answer[2].set: found \"fitted.elongation_percent=50\", allowed a setting as --set "
       "takes "
       "it; fitted.elongation_percent: found 50, allowed 0 to 5 %\n"},
      {"a wrong answer without moves",
       {{"wrong_answer = [{ moves = [{ turn_by_deg = 30 }] }]", "wrong_answer = [{}]"}},
       "lesson.toml:50:17: step[3].wrong_answer[1].moves: found nothing, allowed a list of moves\n"},
      {"a remark on nothing",
       {{"when = [{ what = \"turned_back_deg\", least = 1, most = 20 }]\n", ""}},
       "lesson.toml:39:1: step[2].wrong[1].when: found nothing, allowed 1 to 8 conditions\n"},
  };
  return files;
}

} // namespace

TEST_CASE("a sound lesson is read as it stands", "[lesson]") {
  const Folder folder;
  folder.copy_engine();
  folder.write("lesson.toml", sound);
  const auto opened = open_lesson(folder / "lesson.toml", {});
  if (!opened) FAIL(to_text(opened.problems()));
  const Lesson& lesson = opened->lesson;
  CHECK(opened->opened.engine->name == "Marram 1420");
  CHECK(lesson.name == "test-lesson");
  CHECK(lesson.wheel_error_deg == 6.5);
  REQUIRE(lesson.words.size() == 2);
  CHECK(lesson.words[1].first == "lobe centre");
  REQUIRE(lesson.steps.size() == 3);
  CHECK(lesson.steps[0].must.empty());
  const LessonStep& step = lesson.steps[1];
  CHECK(step.say == "The inlet valve, {inlet_lift_mm} mm.");
  CHECK(step.view == "valve");
  CHECK(step.shown == "both");
  CHECK(step.cylinder == 2);
  CHECK(step.magnify == 3);
  CHECK(step.apart == 0.5);
  CHECK(step.crank_deg == 540);
  CHECK(step.stop_mm == 12);
  CHECK(step.set == std::vector<std::string>{"fitted.lay=1", "planned.crank_key_deg=2"});
  CHECK(step.hints == std::vector<std::string>{"Turn.", "Further."});
  REQUIRE(step.must.size() == 3);
  CHECK(step.must[0].planned);
  CHECK(step.must[0].cylinder == 3);
  CHECK(step.must[0].least == 5);
  CHECK(step.must[1].camshaft == "cam");
  CHECK(step.must[1].near == 19);
  CHECK(step.must[1].within == 1);
  CHECK(step.must[2].is == "inlet");
  REQUIRE(step.wrong.size() == 1);
  CHECK(step.wrong[0].when[0].most == 20);
  REQUIRE(step.answer.size() == 2);
  CHECK(step.answer[0].turn_by_deg == 100);
  CHECK(step.answer[1].set == "fitted.elongation_percent=0.5");
  REQUIRE(step.wrong_answers.size() == 1);
  CHECK(step.wrong_answers[0][0].turn_to_deg == 10);
  CHECK(step.wrong_answers[0][1].page == "degree");
  CHECK(step.wrong_answers[0][3].shown == "planned");
  CHECK(lesson.steps[2].question == "How?");
}

TEST_CASE("faulty lessons are refused with file, line, key, what was found and what is allowed", "[lesson]") {
  const Folder folder;
  folder.copy_engine();
  for (const auto* files : {&broken_heads(), &broken_steps(), &broken_conditions()})
    for (const Broken& broken : *files) {
      INFO(broken.what);
      const std::string said = said_of(folder, broken.edits);
      const std::string wanted = broken.said;
      if (wanted.ends_with('\n'))
        CHECK(said == wanted);
      else
        CHECK(said.starts_with(wanted)); // what the TOML library goes on to say is its own
    }
}

TEST_CASE("a quantity that is like no other is answered with all of them", "[lesson]") {
  const Folder folder;
  folder.copy_engine();
  const std::string said = said_of(folder, {{"{ what = \"inlet_lift_mm\"", "{ what = \"temperature\""}});
  for (const LessonQuantityRow& row : lesson_quantities()) CHECK(said.find(std::string(row.name)) != std::string::npos);
}

TEST_CASE("what a lesson works on is looked for beside it, then among the models", "[lesson]") {
  const Folder folder;
  folder.write("lesson.toml", sound);
  CHECK_FALSE(open_lesson(folder / "lesson.toml", {}).ok());
  const auto among = open_lesson(folder / "lesson.toml", models_folder());
  REQUIRE(among.ok());
  CHECK(among->opened.engine->name == "Marram 1420");
  folder.copy_engine({{"name = \"Marram 1420\"", "name = \"Marram beside\""}});
  CHECK(open_lesson(folder / "lesson.toml", models_folder())->opened.engine->name == "Marram beside");
  // Faults of what it works on are said with that file's own lines.
  folder.copy_engine({{"bore_mm = 72.0", "bore_mm = 7"}});
  const auto faulty = open_lesson(folder / "lesson.toml", {});
  REQUIRE_FALSE(faulty.ok());
  CHECK(to_text(faulty.problems()).find("marram-1420.toml:10:11: block.bore_mm: found 7") != std::string::npos);
}

TEST_CASE("a folder of lessons is listed by file name, faults and all", "[lesson]") {
  const Folder folder;
  CHECK(lessons_in(folder / "nowhere", {}).empty());
  folder.copy_engine();
  std::filesystem::create_directory(folder / "lessons");
  folder.write("lessons/2.toml", edited(sound, {{"\"test-lesson\"", "\"second\""}}));
  folder.write("lessons/1.toml", sound);
  folder.write("lessons/3.toml", sound);
  folder.write("lessons/4.toml", "format = 1\n");
  folder.write("lessons/notes.txt", "none");
  const std::vector<LessonInFolder> all = lessons_in(folder / "lessons", folder.path());
  REQUIRE(all.size() == 4);
  CHECK(all[0].opened->lesson.name == "test-lesson");
  CHECK(all[1].opened->lesson.name == "second");
  REQUIRE_FALSE(all[2].opened.ok());
  CHECK(to_text(all[2].opened.problems()).find("3.toml:2:8: name: found \"test-lesson\", allowed a name of its own") !=
        std::string::npos);
  CHECK_FALSE(all[3].opened.ok());
}

TEST_CASE("a stranger's lesson file can neither hang nor crash the reader", "[lesson]") {
  const Folder folder;
  folder.copy_engine();
  const std::string whole = sound;
  for (std::size_t length = 0; length + 8 < whole.size(); length += 7) {
    folder.write("lesson.toml", whole.substr(0, length));
    CHECK_FALSE(open_lesson(folder / "lesson.toml", {}).ok());
  }
  for (const char* text : {"\xFF\xFE", "step = 1\nformat = \"phasewright-lesson/1\"\n",
                           "format = \"phasewright-lesson/1\"\nstep = [[[[[[[[[[[]]]]]]]]]]]\n"}) {
    folder.write("lesson.toml", text);
    CHECK_FALSE(open_lesson(folder / "lesson.toml", {}).ok());
  }
}
