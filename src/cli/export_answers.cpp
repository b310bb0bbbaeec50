// What every command answers, in one file.
#include "cli/cautions.hpp"
#include "cli/export.hpp"
#include "cli/fit_page.hpp"
#include "cli/words.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace phasewright::cli {

namespace {

// What draws or changes a file is no answer, nor is what is not about this build.
bool answers(const Command& command) {
  const auto takes = [&command](Takes what) { return std::ranges::find(command.takes, what) != command.takes.end(); };
  return !takes(Takes::curves) && !takes(Takes::keep) && !takes(Takes::fit) && !takes(Takes::drill) &&
         !takes(Takes::wheel) && !takes(Takes::key_card) && !takes(Takes::sheet) && !takes(Takes::picture) &&
         !takes(Takes::film) && !takes(Takes::window) && !takes(Takes::lesson);
}

Json problems_json(const Problems& problems) {
  Json all = Json::array();
  for (const Problem& problem : problems) all.add(phasewright::to_text(problem));
  return Json::object({{"problems", all}});
}

// The file's text, and whose answers it has or has not.
struct AnswersFile {
  std::string text;
  std::vector<std::string> given;
  std::vector<std::string> refused;
};

AnswersFile make_file(const Context& context) {
  Json all = Json::object({{"phasewright", PHASEWRIGHT_VERSION},
                           {"engine", context.opened.engine->name},
                           {"build", context.opened.build.title},
                           {"cautions", words_json(cautions_over(context.opened))}});
  std::vector<std::string> given;
  std::vector<std::string> refused;
  for (const Command& command : commands()) {
    if (!answers(command)) continue;
    Context asked = context;
    asked.options = {}; // the command's own defaults
    const Result<Answer> answer = command.run(asked);
    (answer ? given : refused).emplace_back(command.name);
    Problems problems;
    if (!answer) {
      problems = answer.problems();
      locate(problems, context.opened.sources);
    }
    all.set(command.name, answer ? answer->json : problems_json(problems));
  }
  return {all.text() + "\n", std::move(given), std::move(refused)};
}

} // namespace

std::string answers_text(const Context& context) {
  return make_file(context).text;
}

Result<Answer> export_answers(const Context& context) {
  const std::string& output = context.options.curves.output;
  const auto [text, given, refused] = make_file(context);
  if (std::optional<Problem> trouble = write_atomic(output, text)) return *std::move(trouble);

  Answer made;
  made.page = fmt::format("{}: what {} answer.\n", output, fmt::join(given, ", "));
  if (!refused.empty()) made.page += fmt::format("No answer, and why, of {}.\n", fmt::join(refused, ", "));
  made.page += "A plan, computed and not measured: confirm clearances physically before starting the engine.\n";
  made.json = Json::object({{"file", output}, {"given", words_json(given)}, {"refused", words_json(refused)}});
  return made;
}

Result<Answer> export_command(const Context& context) {
  switch (context.options.curves.kind) {
  case ExportKind::model:
    return export_model(context);
  case ExportKind::answers:
    return export_answers(context);
  case ExportKind::curves:
    break;
  }
  return export_curves(context);
}

} // namespace phasewright::cli
