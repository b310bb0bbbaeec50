#include "cli/lesson_sheet.hpp"

#include "cli/fit_page.hpp"
#include "cli/words.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cmath>

namespace phasewright::cli {

namespace {

std::string move_words(const LessonMove& move) {
  if (move.turn_by_deg)
    return fmt::format("turn the crank {}° {}", std::fabs(*move.turn_by_deg), *move.turn_by_deg < 0.0 ? "back" : "on");
  if (move.turn_to_deg) return fmt::format("turn the crank on to {}°", *move.turn_to_deg);
  if (!move.set.empty()) return "set " + move.set;
  if (!move.page.empty()) return fmt::format("open the page {}", move.page);
  if (!move.view.empty()) return fmt::format("take the view {}", move.view);
  return "show " + move.shown;
}

std::string moves_words(const LessonMoves& moves) {
  std::string words;
  for (const LessonMove& move : moves) words += (words.empty() ? "" : "; ") + move_words(move);
  return words;
}

std::string must_words(const LessonStep& step) {
  std::string words;
  for (const LessonCondition& condition : step.must)
    words += fmt::format("{}{}: {}", words.empty() ? "" : "; ", subject_words(condition), wanted_words(condition));
  return words;
}

std::string beginning_words(const LessonStep& step) {
  std::vector<std::string> words;
  if (!step.page.empty()) words.push_back("page " + step.page);
  if (!step.view.empty()) words.push_back("view " + step.view);
  if (step.crank_deg) words.push_back(fmt::format("crank at {}°", *step.crank_deg));
  if (step.stop_mm) words.push_back(fmt::format("piston stop {} mm down", *step.stop_mm));
  for (const std::string& setting : step.set) words.push_back("set " + setting);
  return fmt::format("{}", fmt::join(words, ", "));
}

std::string answer_page(const LessonStep& step, const StepWalked& walked) {
  std::string page;
  if (const std::string begins = beginning_words(step); !begins.empty())
    page += fmt::format("    Begins: {}.\n", begins);
  if (step.must.empty()) return page;
  page += fmt::format("    Wanted: {}.\n    Answer: {}.\n", must_words(step), moves_words(step.answer));
  if (!walked.right.empty()) page += fmt::format("    Then it says: {}\n", walked.right);
  for (std::size_t i = 0; i < walked.hints.size(); ++i)
    page += fmt::format("    Hint {}: {}\n", i + 1, walked.hints[i]);
  for (std::size_t i = 0; i < step.wrong_answers.size(); ++i)
    page += fmt::format("    Wrong: {}.{}\n", moves_words(step.wrong_answers[i]),
                        walked.wrong_said[i].empty() ? "" : " It says: " + walked.wrong_said[i]);
  return page;
}

std::string sheet_page(const Lesson& lesson, const LessonWalk& walk, const std::string& engine, bool answers) {
  std::string page = fmt::format("{}{}\nOn the {}. About {} minutes.\n", lesson.title, answers ? " - with answers" : "",
                                 engine, fixed(lesson_minutes(lesson), 0));
  if (!answers) page += "Name ______________________________  Date ______________\n";
  if (!lesson.words.empty()) page += "\nWords\n";
  for (const auto& [term, meaning] : lesson.words) page += fmt::format("  {}: {}\n", term, meaning);
  if (!lesson.cautions.empty()) page += "\nTake care\n";
  for (const std::string& caution : lesson.cautions) page += fmt::format("  {}\n", caution);
  for (std::size_t i = 0; i < lesson.steps.size(); ++i) {
    const LessonStep& step = lesson.steps[i];
    const StepWalked& walked = walk.steps[i];
    page += fmt::format("\n{}. {}\n", i + 1, walked.say);
    if (!walked.task.empty()) page += fmt::format("    Do: {}\n", walked.task);
    if (!walked.question.empty()) page += fmt::format("    Question: {}\n", walked.question);
    if (answers)
      page += answer_page(step, walked);
    else if (!step.must.empty())
      page += "    [ ] done   What I saw: ________________________________________________\n";
  }
  return page + "\n" + cautions();
}

Json condition_json(const LessonCondition& condition) {
  return Json::object({{"what", std::string(row_of(condition.what).name)},
                       {"of", condition.planned ? "planned" : "fitted"},
                       {"camshaft", condition.camshaft},
                       {"cylinder", condition.cylinder},
                       {"least", condition.least},
                       {"most", condition.most},
                       {"near", condition.near},
                       {"within", condition.near ? Json(condition.within) : Json()},
                       {"is", condition.is},
                       {"words", subject_words(condition) + ": " + wanted_words(condition)}});
}

Json moves_json(const LessonMoves& moves) {
  std::vector<std::string> words;
  for (const LessonMove& move : moves) words.push_back(move_words(move));
  return words_json(words);
}

Json step_json(const LessonStep& step, const StepWalked& walked, bool answers) {
  Json json = Json::object({{"say", walked.say},
                            {"task", walked.task},
                            {"question", walked.question},
                            {"page", walked.begun.page},
                            {"view", walked.begun.view},
                            {"crank_deg", walked.begun.crank.crank_deg}});
  if (!answers) return json;
  Json must = Json::array();
  for (const LessonCondition& condition : step.must) must.add(condition_json(condition));
  Json wrong = Json::array();
  for (std::size_t i = 0; i < step.wrong_answers.size(); ++i)
    wrong.add(Json::object({{"moves", moves_json(step.wrong_answers[i])}, {"said", walked.wrong_said[i]}}));
  return json.set("set", words_json(step.set))
      .set("must", must)
      .set("answer", moves_json(step.answer))
      .set("right", walked.right)
      .set("hints", words_json(walked.hints))
      .set("wrong_answers", wrong);
}

} // namespace

Answer lesson_sheet(const Lesson& lesson, const LessonWalk& walk, const std::string& engine, bool answers) {
  Json words = Json::object();
  for (const auto& [term, meaning] : lesson.words) words.set(term.c_str(), meaning);
  Json steps = Json::array();
  for (std::size_t i = 0; i < lesson.steps.size(); ++i) steps.add(step_json(lesson.steps[i], walk.steps[i], answers));
  Answer answer;
  answer.page = sheet_page(lesson, walk, engine, answers);
  answer.json = Json::object({{"name", lesson.name},
                              {"title", lesson.title},
                              {"works_on", lesson.works_on},
                              {"engine", engine},
                              {"minutes", lesson_minutes(lesson)},
                              {"words", words},
                              {"take_care", words_json(lesson.cautions)},
                              {"steps", steps}});
  return answer;
}

} // namespace phasewright::cli
