// Readings put by before something is changed.
#include "bench/history.hpp"

#include "cli/commands.hpp"
#include "cli/save.hpp"
#include "cli/words.hpp"

#include <fmt/format.h>

namespace phasewright::cli {

namespace {

// What the file says of its readings goes before the command line, which then must not say otherwise.
std::optional<Problem> said_otherwise(const char* option, const std::string& asked, const char* key,
                                      const std::string& in_file) {
  if (asked.empty() || in_file.empty() || asked == in_file) return std::nullopt;
  return problem_at(option, asked, fmt::format("what {} says in the file, \"{}\"; change it there", key, in_file));
}

} // namespace

Result<Answer> keep_command(const Context& context) {
  const Build& build = context.opened.build;
  const SaveOptions& asked = context.options.save;
  if (!has_readings(build.measured))
    return problem_at("measured", "no readings", "some to put by; there is nothing on the bench");
  if (auto fault = said_otherwise("--date", asked.date, "measured.date", build.measured.date)) return *fault;
  if (auto fault = said_otherwise("--note", asked.note, "measured.note", build.measured.note)) return *fault;
  const Build kept = put_by(build, asked.date, asked.note);
  const Result<std::string> saved = save_changed(context, kept);
  if (!saved) return saved.problems();
  const Measured& set = kept.history.back();
  Answer answer;
  answer.page = title_words(*context.opened.engine, build) + "\n" +
                wrapped(fmt::format("{}: the readings are set {} of the history{}, with what was fitted when they were "
                                    "taken. The bench is clear for the next; degree --against last compares them.",
                                    *saved, kept.history.size(),
                                    set.date.empty() ? std::string(", undated") : fmt::format(", of {}", set.date)));
  answer.json = Json::object(
      {{"saved", *saved}, {"sets", static_cast<int>(kept.history.size())}, {"date", set.date}, {"note", set.note}});
  return answer;
}

} // namespace phasewright::cli
