// Lessons: the list of them, one as a sheet, and trying one out.
#include "files/lesson_reader.hpp"

#include "cli/commands.hpp"
#include "cli/fit_page.hpp"
#include "cli/lesson_sheet.hpp"
#include "cli/places.hpp"
#include "cli/words.hpp"
#include "files/key_path.hpp"
#include "files/learners.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

namespace phasewright::cli {

namespace {

std::string engine_words(const OpenedLesson& opened) {
  return title_words(*opened.opened.engine, opened.opened.build);
}

LessonWalk walked(const OpenedLesson& opened) {
  const SetInBuild set = [&opened](const Build& build, const std::vector<std::string>& settings) {
    return set_in_build(build, *opened.opened.engine, settings);
  };
  LessonWalk walk = walk_lesson(opened.lesson, first_bench(opened.opened.engine, opened.opened.build), set);
  locate(walk.problems, opened.sources);
  return walk;
}

bool is_path(const std::string& word) {
  return word.ends_with(".toml") || word.find('/') != std::string::npos;
}

// A lesson by its name, or of a file.
Result<OpenedLesson> find_lesson(const Context& context) {
  const std::string& asked = context.options.file;
  if (is_path(asked)) return open_lesson(asked, context.resources.models);
  std::vector<std::string> names;
  Problems faulty;
  for (LessonInFolder& one : lessons_in(context.resources.lessons, context.resources.models)) {
    if (!one.opened) {
      faulty.insert(faulty.end(), one.opened.problems().begin(), one.opened.problems().end());
      continue;
    }
    if (one.opened->lesson.name == asked) return *std::move(one.opened);
    names.push_back(one.opened->lesson.name);
  }
  std::error_code fault;
  if (std::filesystem::exists(asked, fault)) return open_lesson(asked, context.resources.models);
  const std::string near = nearest_word(asked, names);
  Problem problem;
  problem.advice = fmt::format("no such lesson: \"{}\"{}", asked,
                               near.empty() ? "; phasewright lesson lists them" : "; did you mean " + near + "?");
  // It may be in a file that cannot be read.
  faulty.insert(faulty.begin(), problem);
  return faulty;
}

std::string progress_words(const LessonProgress* progress, std::size_t steps) {
  if (progress == nullptr) return "";
  if (progress->done) return progress->date.empty() ? "done" : "done " + progress->date;
  return fmt::format("{} of {} steps", progress->step, steps);
}

Json drills_json(const std::vector<DrillAnswered>& drills) {
  Json json = Json::array();
  for (const DrillAnswered& drill : drills)
    json.add(Json::object({{"engine", drill.engine},
                           {"seed", drill.number},
                           {"level", drill.level},
                           {"named", drill.named},
                           {"cured", drill.cured},
                           {"date", drill.date}}));
  return json;
}

Result<Answer> list_lessons(const Context& context) {
  const std::string& learner = context.options.lesson.learner;
  const Result<std::vector<Learner>> learners =
      learner.empty() ? std::vector<Learner>{} : read_learners(usual_state_folder());
  if (!learners) return learners.problems();
  std::vector<Align> columns{Align::left, Align::right, Align::left, Align::left};
  std::vector<std::vector<std::string>> rows{{"name", "minutes", learner.empty() ? "" : learner, "about"}};
  Json lessons = Json::array();
  Json faults = Json::array();
  std::string fault_lines;
  for (const LessonInFolder& one : lessons_in(context.resources.lessons, context.resources.models)) {
    if (!one.opened) {
      for (const Problem& problem : one.opened.problems()) faults.add(to_text(problem));
      fault_lines += to_text(one.opened.problems());
      continue;
    }
    const Lesson& lesson = one.opened->lesson;
    const LessonProgress* progress = find_progress(*learners, learner, lesson.name);
    rows.push_back(
        {lesson.name, fixed(lesson_minutes(lesson), 1), progress_words(progress, lesson.steps.size()), lesson.title});
    lessons.add(Json::object({{"name", lesson.name},
                              {"title", lesson.title},
                              {"file", one.path},
                              {"works_on", lesson.works_on},
                              {"minutes", lesson_minutes(lesson)},
                              {"steps", static_cast<int>(lesson.steps.size())},
                              {"done", progress != nullptr && progress->done},
                              {"steps_done", progress == nullptr ? 0 : progress->step}}));
  }
  if (learner.empty()) {
    columns.erase(columns.begin() + 2);
    for (std::vector<std::string>& row : rows) row.erase(row.begin() + 2);
  }
  Answer answer;
  answer.page = "Lessons\n\n" + table(columns, rows) +
                "\nA sheet for a class: phasewright lesson NAME, for the teacher "
                "with --answers.\n";
  const std::vector<DrillAnswered> drills = drills_answered(*learners, learner);
  if (!learner.empty()) answer.page += fmt::format("\n{}: {}.\n", learner, drills_words(drills));
  if (!fault_lines.empty()) answer.page += "\nThese cannot be used:\n" + fault_lines;
  answer.exit_code = fault_lines.empty() ? exit_done : exit_unusable;
  answer.json =
      Json::object({{"learner", learner}, {"lessons", lessons}, {"drills", drills_json(drills)}, {"faults", faults}});
  return answer;
}

std::string takes_words(const LessonQuantityRow& row) {
  std::string words;
  for (const auto& [takes, key] :
       {std::pair(row.by_state, "of"), std::pair(row.by_camshaft, "camshaft"), std::pair(row.by_cylinder, "cylinder")})
    if (takes) words += (words.empty() ? "" : ", ") + std::string(key);
  return words;
}

std::string word_list(const LessonQuantityRow& row) {
  std::string words;
  for (const std::string_view word : row.words) words += (words.empty() ? "" : ", ") + std::string(word);
  return words;
}

Answer list_quantities() {
  std::vector<std::vector<std::string>> rows{{"name", "unit", "takes", "meaning"}};
  Json all = Json::array();
  for (const LessonQuantityRow& row : lesson_quantities()) {
    const std::string words = word_list(row);
    const std::string meaning(row.meaning);
    rows.push_back({std::string(row.name), row.words.empty() ? std::string(row.unit) : "a word", takes_words(row),
                    words.empty() ? meaning : fmt::format("{}: {}", meaning, words)});
    Json allowed = Json::array();
    for (const std::string_view word : row.words) allowed.add(std::string(word));
    all.add(Json::object({{"name", std::string(row.name)},
                          {"unit", std::string(row.unit)},
                          {"meaning", meaning},
                          {"period", row.period > 0.0 ? Json(row.period) : Json()},
                          {"takes", takes_words(row)},
                          {"words", allowed}}));
  }
  Answer answer;
  answer.page = "What a lesson's conditions may be about (what = \"...\"), and what they take beside it. deg: crank "
                "degrees unless it says otherwise. A figure is held against least, most or both, or against near and "
                "within; a word against is.\n\n" +
                table({Align::left, Align::left, Align::left, Align::left}, rows);
  answer.json = Json::object({{"quantities", all}});
  return answer;
}

Answer checked(const OpenedLesson& opened) {
  const Lesson& lesson = opened.lesson;
  std::size_t wrong = 0;
  for (const LessonStep& step : lesson.steps) wrong += step.wrong_answers.size();
  Answer answer;
  answer.page =
      fmt::format("{}: sound. {} steps, each done by its answer and by none of {} wrong answers; {} minutes.\n",
                  opened.path, lesson.steps.size(), wrong, fixed(lesson_minutes(lesson), 1));
  answer.json = Json::object({{"file", opened.path},
                              {"name", lesson.name},
                              {"sound", true},
                              {"steps", static_cast<int>(lesson.steps.size())},
                              {"wrong_answers", static_cast<int>(wrong)},
                              {"minutes", lesson_minutes(lesson)}});
  return answer;
}

} // namespace

Result<Answer> lesson_command(const Context& context) {
  const LessonOptions& asked = context.options.lesson;
  if (asked.quantities) return list_quantities();
  if (context.options.file.empty()) return list_lessons(context);
  const Result<OpenedLesson> opened = find_lesson(context);
  if (!opened) return opened.problems();
  const LessonWalk walk = walked(*opened);
  if (!walk.problems.empty()) return walk.problems;
  if (asked.check) return checked(*opened);
  return lesson_sheet(opened->lesson, walk, engine_words(*opened), asked.answers);
}

} // namespace phasewright::cli
