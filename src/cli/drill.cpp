// Fault drills.
#include "bench/drill.hpp"

#include "cli/commands.hpp"
#include "cli/drill_sheets.hpp"
#include "cli/save.hpp"
#include "cli/words.hpp"
#include "files/files.hpp"

#include <fmt/format.h>

#include <utility>
#include <vector>

namespace phasewright::cli {

namespace {

constexpr const char* page_break = "\f\n";

// One drill is drawn quicker by itself than from a course.
Result<std::vector<Drill>> draw_all(const Context& context) {
  const Opened& opened = context.opened;
  const DrillOptions& asked = context.options.drill;
  std::vector<Drill> drills;
  const auto add = [&](Result<Drill> drill) {
    if (!drill) return drill.problems();
    drills.push_back(*std::move(drill));
    return Problems{};
  };
  if (asked.count == 1) {
    if (Problems problems = add(draw_drill(opened.engine, opened.build, {asked.seed, asked.level})); !problems.empty())
      return problems;
    return drills;
  }
  const Result<DrillCourse> course = DrillCourse::make(opened.engine, opened.build);
  if (!course) return course.problems();
  for (int i = 0; i < asked.count; ++i)
    if (Problems problems = add(course->draw({asked.seed + static_cast<std::uint64_t>(i), asked.level}));
        !problems.empty())
      return problems;
  return drills;
}

// The apprentice's build, with all readings in it where they are wanted.
Build build_of(const DrillSheet& sheet) {
  Build build = sheet.drill.given;
  if (sheet.shows_readings) build.measured = sheet.taken.measured;
  return build;
}

// A level that this engine has nothing for is the option's fault, not the file's.
Problems as_of_option(Problems problems) {
  for (Problem& problem : problems)
    if (problem.key == "level") problem.key = "--level";
  return problems;
}

} // namespace

Result<Answer> drill_command(const Context& context) {
  const DrillOptions& asked = context.options.drill;
  const Result<std::vector<Drill>> drills = draw_all(context);
  if (!drills) return as_of_option(drills.problems());
  Answer answer;
  Json all = Json::array();
  for (const Drill& drill : *drills) {
    const DrillSheet sheet{drill, careful_readings(drill), asked.readings};
    if (!answer.page.empty()) answer.page += page_break;
    answer.page += class_sheet(sheet);
    Json one = class_json(sheet);
    one.set("build", build_text(build_of(sheet)));
    if (asked.answers) {
      Result<Debrief> told = debrief(drill, sheet.taken);
      if (!told) return told.problems();
      const DrillAnswers answers{*std::move(told), right_cure(drill)};
      answer.page += page_break + answer_sheet(sheet, answers);
      one.set("answers", answers_json(sheet, answers));
    }
    all.add(one);
  }
  answer.json.set("drills", all);
  if (context.options.save.output.empty()) return answer;
  const Result<std::string> saved =
      save_new(context, build_of({drills->front(), careful_readings(drills->front()), asked.readings}));
  if (!saved) return saved.problems();
  answer.page +=
      fmt::format("\n{}: the build to work on. The viewer opens it, and so does every other command.\n", *saved);
  answer.json.set("saved", *saved);
  return answer;
}

} // namespace phasewright::cli
