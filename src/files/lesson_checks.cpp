#include "files/lesson_checks.hpp"

#include "files/lesson_reader.hpp"
#include "files/measured_reader.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace phasewright {

namespace {

std::vector<std::string> quantity_names() {
  std::vector<std::string> names;
  for (const LessonQuantityRow& row : lesson_quantities()) names.emplace_back(row.name);
  return names;
}

// Every "{...}" of a text.
void check_figures(const std::string& text, const std::string& key, Report& report) {
  for (std::size_t open = text.find('{'); open != std::string::npos; open = text.find('{', open + 1)) {
    const std::size_t close = text.find('}', open);
    if (close == std::string::npos) {
      report.add(key, "a brace that is not closed", "figures as {inlet_lift_mm}");
      return;
    }
    std::string name = text.substr(open + 1, close - open - 1);
    const bool planned = name.starts_with(planned_prefix);
    if (planned) name.erase(0, planned_prefix.size());
    const LessonQuantityRow* row = find_lesson_quantity(name);
    if (row == nullptr)
      refuse_quantity(key, "{" + name + "}", name, report);
    else if (planned && !row->by_state)
      report.add(key, "{planned." + name + "}", fmt::format("{{{}}}: it is the same as fitted and as planned", name));
  }
}

bool is_lesson_name(const std::string& name) {
  return std::ranges::all_of(name, [](char c) { return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-'; });
}

// The engine has that camshaft and cylinder.
class EngineCheck {
public:
  EngineCheck(const Engine& engine, Report& report)
      : engine_(engine), report_(report), camshafts_(camshaft_names(engine)) {}

  void check(const std::string& camshaft, int cylinder, const std::string& path) {
    if (!camshaft.empty() && std::ranges::find(camshafts_, camshaft) == camshafts_.end())
      report_.add(join_key(path, "camshaft"), "", "a camshaft: " + name_list(camshafts_));
    if (cylinder > engine_.block.cylinders)
      report_.add(join_key(path, "cylinder"), "", fmt::format("1 to {}", engine_.block.cylinders));
  }

  void check(const std::vector<LessonCondition>& conditions, const std::string& path) {
    for (std::size_t i = 0; i < conditions.size(); ++i)
      check(conditions[i].camshaft, conditions[i].cylinder, join_index(path, i));
  }

private:
  const Engine& engine_;
  Report& report_;
  std::vector<std::string> camshafts_;
};

// Puts settings into a build, one after the other; those that cannot be are reported and left out.
class SettingCheck {
public:
  SettingCheck(Build build, const Engine& engine, Report& report)
      : build_(std::move(build)), engine_(engine), report_(report) {}

  void put(const std::string& setting, const std::string& key) {
    const bool planned = setting.starts_with(planned_prefix);
    const std::string own = planned ? "fitted." + setting.substr(planned_prefix.size()) : setting;
    Result<Build> changed = set_in_build(build_, engine_, {own});
    if (!changed) {
      Problem problem = changed.problems().front();
      problem.file.clear();
      problem.line = problem.column = 0;
      report_.add(key, "", "a setting as --set takes it", to_text(problem));
    } else if (!planned) {
      build_ = *std::move(changed);
    }
  }

  void put(const LessonMoves& moves, const std::string& path) {
    for (std::size_t i = 0; i < moves.size(); ++i)
      if (!moves[i].set.empty()) put(moves[i].set, join_key(join_index(path, i), "set"));
  }

private:
  Build build_;
  const Engine& engine_;
  Report& report_;
};

} // namespace

void refuse_quantity(const std::string& key, const std::string& found, const std::string& name, Report& report) {
  const std::vector<std::string> names = quantity_names();
  const std::string near = nearest_word(name, names);
  report.add(key, found, near.empty() ? "a quantity: " + name_list(names) : "a quantity",
             near.empty() ? "" : fmt::format("did you mean {}?", near));
}

void check_step(const LessonStep& step, Reader& table) {
  Report& report = table.report();
  const bool asks = table.has("task") || table.has("question");
  const bool must = table.has("must");
  if (table.has("task") && table.has("question"))
    report.add(table.path("question"), "", "a task or a question, not both");
  if (must && !asks) table.missing("task", "what to do, in words; or question");
  if (!must && asks) table.missing("must", "what the task or question is to make true");
  if (must && !table.has("answer")) table.missing("answer", "the moves that make it true");
  if (must && !table.has("wrong_answer")) table.missing("wrong_answer", "moves that do not make it true, at least one");
  if (must && table.has("answer") && step.answer.empty()) report.add(table.path("answer"), "", "at least one move");
  if (!must)
    for (const char* key : {"answer", "wrong_answer", "wrong", "hints", "right"})
      if (table.has(key)) report.add(table.path(key), "", "nothing in a step where nothing must become true");
}

void check_lesson(const Lesson& lesson, Report& report) {
  if (!lesson.name.empty() && report.sound("name") && !is_lesson_name(lesson.name))
    report.add("name", "", "a word of small letters, figures and hyphens");
  if (!lesson.steps.empty() && lesson.steps.back().question.empty())
    report.add(join_key(join_index("step", lesson.steps.size() - 1), "question"), "nothing",
               "a question: the last step has one, to be answered by doing");
  for (std::size_t i = 0; i < lesson.steps.size(); ++i) {
    const LessonStep& step = lesson.steps[i];
    const std::string path = join_index("step", i);
    check_figures(step.say, join_key(path, "say"), report);
    check_figures(step.task, join_key(path, "task"), report);
    check_figures(step.question, join_key(path, "question"), report);
    check_figures(step.right, join_key(path, "right"), report);
    for (std::size_t k = 0; k < step.hints.size(); ++k)
      check_figures(step.hints[k], join_index(join_key(path, "hints"), k), report);
    for (std::size_t k = 0; k < step.wrong.size(); ++k)
      check_figures(step.wrong[k].say, join_key(join_index(join_key(path, "wrong"), k), "say"), report);
  }
}

void check_with_engine(const Lesson& lesson, const Opened& opened, Report& report) {
  EngineCheck engine(*opened.engine, report);
  SettingCheck settings(opened.build, *opened.engine, report);
  for (std::size_t i = 0; i < lesson.steps.size(); ++i) {
    const LessonStep& step = lesson.steps[i];
    const std::string path = join_index("step", i);
    engine.check(step.camshaft, step.cylinder, path);
    engine.check(step.must, join_key(path, "must"));
    for (std::size_t k = 0; k < step.wrong.size(); ++k)
      engine.check(step.wrong[k].when, join_key(join_index(join_key(path, "wrong"), k), "when"));
    for (std::size_t k = 0; k < step.set.size(); ++k) settings.put(step.set[k], join_index(join_key(path, "set"), k));
    for (std::size_t k = 0; k < step.wrong_answers.size(); ++k) {
      SettingCheck aside = settings;
      aside.put(step.wrong_answers[k], join_key(join_index(join_key(path, "wrong_answer"), k), "moves"));
    }
    settings.put(step.answer, join_key(path, "answer"));
  }
}

} // namespace phasewright
